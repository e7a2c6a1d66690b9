import type { CutTable } from '../export/cut-table.ts';
import type { Solution } from '../solve/solution.ts';
import { eachJob, type ReadingOptions } from './each-job.ts';
import type { Io } from './io.ts';
import type { CutPictures } from './solve-text.ts';
import { type ExitCode, lettersOf, rounded } from './terminal.ts';

/** `kerfwright solve`: the cut table of each job, for reading or as JSON (mm, degrees, mm^2 whatever the job's unit). */
export async function solveCommand(io: Io, args: readonly string[], options: ReadingOptions): Promise<ExitCode> {
  const { cutTable } = await import('../export/cut-table.ts');
  const { cutTableText } = await import('./solve-text.ts');
  const { cutDrawing } = await import('./cut-drawing.ts');
  const letters = lettersOf(io);
  const pictures =
    (solution: Solution): CutPictures =>
    (member, name) => {
      const end = solution.ends.find((cut) => cut.member.name === member && cut.end === name);
      return end && !options.quiet ? cutDrawing(end, letters) : [];
    };
  return eachJob(io, {
    args,
    options,
    reader: {
      format: 'kerfwright-solve',
      text: ({ solution }) => (solution ? cutTableText(cutTable(solution), pictures(solution)) : ''),
      json: ({ solution }) => (solution ? tableJson(cutTable(solution)) : {}),
    },
  });
}

const tableJson = ({ job, units, ...rows }: CutTable): object =>
  JSON.parse(
    JSON.stringify({ job, units, ...rows }, (_, value) => (typeof value === 'number' ? rounded(value) : value)),
  );
