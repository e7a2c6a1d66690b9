import { outlineTable } from '../geometry/outline-table.ts';
import type { Job } from '../job/job.ts';
import type { Problem } from '../job/problem.ts';
import { keepOutReports } from './keep-out.ts';
import { keptTube } from './kept-tube.ts';
import { touchProblems } from './members-touch.ts';
import { mirrorProblems } from './mirror-check.ts';
import type { KeepOutReport, Piece } from './solution.ts';

/** What the pieces of a job do to each other and to what stands around them, once all are cut. */
export function layoutChecks(
  job: Job,
  pieces: readonly Piece[],
): { readonly keepOut: readonly KeepOutReport[]; readonly problems: readonly Problem[] } {
  const outlines = new Map(
    [...new Set(pieces.map(({ member }) => member.section))].map((section) => [section, outlineTable(section)]),
  );
  const kept = pieces.map((piece) => ({ piece, tube: keptTube(piece, outlines.get(piece.member.section)) }));
  const { reports, problems } = keepOutReports(job, kept);
  return { keepOut: reports, problems: [...touchProblems(job, kept), ...problems, ...mirrorProblems(job, pieces)] };
}
