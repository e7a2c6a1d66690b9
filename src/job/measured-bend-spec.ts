import type { MeasuredBend } from './measured-bend.ts';
import type { RawMember } from './member-schema.ts';
import type { JobPath, Problem } from './problem.ts';

/** The measured bends of a member, row by row; a row that says nothing and a bend named twice are told. */
export function measuredBends(
  rows: NonNullable<RawMember['measured']>,
  path: JobPath,
): { readonly measured: readonly MeasuredBend[]; readonly problems: readonly Problem[] } {
  const problems = rows.flatMap(({ bend, clr, angle }, i): readonly Problem[] => {
    const at: JobPath = [...path, i];
    const first = rows.findIndex((row) => row.bend === bend);
    if (first < i)
      return [
        refused(at, `bend ${bend} is measured twice, in rows ${first + 1} and ${i + 1}`, 'take one of the rows away'),
      ];
    if (clr !== undefined || angle !== undefined) return [];
    return [refused(at, `bend ${bend} is named, and nothing is measured of it`, 'add clr, angle or both')];
  });
  const measured = rows.map(
    ({ bend, clr, angle }, i): MeasuredBend => ({
      bend,
      path: [...path, i],
      ...(clr === undefined ? {} : { clr }),
      ...(angle === undefined ? {} : { bendAngleDeg: angle }),
    }),
  );
  return { measured, problems };
}

const refused = (path: JobPath, message: string, hint: string): Problem => ({
  code: 'field/conflict',
  severity: 'error',
  path,
  message,
  hint,
});
