import { type Centerline, centerlineFrom, type RunStep, stepOf } from '../geometry/centerline.ts';
import type { Section } from '../geometry/section.ts';
import { acrossSection, measuredWarnings, tightProblem } from '../job/bend-spec.ts';
import type { MeasuredBend } from '../job/measured-bend.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import type { Units } from '../job/units.ts';

interface Bent {
  readonly name: string;
  readonly units: Units;
  readonly section: Section;
  readonly measured: readonly MeasuredBend[];
}

/**
 * A member as its bends came out: every straight is as long as it was meant to be, since the bender was set by lengths, and
 * all behind a measured bend moves. Ends then lie elsewhere, and what they meet is solved there.
 */
export function asBent(line: Centerline, { name, units, section, measured }: Bent): Outcome<Centerline> {
  if (measured.length === 0) return { value: line, problems: [] };
  const problems: Problem[] = [];
  const steps = line.segments.map(stepOf);
  const bends = steps.flatMap((step, i) => (step.kind === 'bend' && !step.elbow ? [i] : []));
  for (const row of measured) {
    const i = bends[row.bend - 1];
    const step = i === undefined ? undefined : steps[i];
    if (i === undefined || step?.kind !== 'bend') {
      problems.push(noSuchBend(row, { name, bends: bends.length }));
      continue;
    }
    const nominal = step.nominal ?? { clr: step.clr, bendAngleDeg: step.bendAngleDeg };
    const clr = row.clr ?? nominal.clr;
    const half = acrossSection(section, step.towardDeg) / 2;
    if (clr < half) problems.push(tightProblem({ clr, half, name, units, kind: 'bend', path: [...row.path, 'clr'] }));
    problems.push(
      ...measuredWarnings(
        { clr: row.clr, angle: row.bendAngleDeg },
        { nominal, name: `bend ${row.bend} of ${name}`, units, path: row.path },
      ),
    );
    steps[i] = { ...step, clr, bendAngleDeg: row.bendAngleDeg ?? nominal.bendAngleDeg, nominal } satisfies RunStep;
  }
  if (problems.some(({ severity }) => severity === 'error')) return { problems };
  const start = line.segments[0]?.start ?? line.end;
  return { value: centerlineFrom(start, steps), problems };
}

const noSuchBend = (
  row: MeasuredBend,
  { name, bends }: { readonly name: string; readonly bends: number },
): Problem => ({
  code: 'field/out-of-range',
  severity: 'error',
  path: [...row.path, 'bend'],
  message: `bend ${row.bend} of ${name} is measured, and it has ${bends === 0 ? 'none' : bends}`,
  hint: 'bends are counted from the start of the member; welded elbows do not count',
  measured: row.bend,
  limit: bends,
});
