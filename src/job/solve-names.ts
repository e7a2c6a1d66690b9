import type { RunItem, ToSolve } from './job.ts';
import type { JobPath, Problem } from './problem.ts';
import { listed, quoted } from './wording.ts';

/** One place of a run where a number is left to the goals. */
export interface ToSolvePlace {
  readonly item: number;
  readonly kind: 'straight' | 'bend angle' | 'toward' | 'plane of bend';
  readonly wanted: ToSolve;
  readonly path: JobPath;
}

/** The places of a run where a number is to solve, in the order of the run. */
export function toSolvePlaces(run: readonly RunItem[]): readonly ToSolvePlace[] {
  return run.flatMap((item, i): ToSolvePlace[] => {
    if (item.kind === 'straight')
      return typeof item.length === 'number'
        ? []
        : [{ item: i, kind: 'straight', wanted: item.length, path: item.path }];
    if (item.kind === 'taper') return [];
    const { bendAngleDeg: angle, toward } = item;
    const side = toward.deg;
    return [
      ...(typeof side === 'number'
        ? []
        : [
            {
              item: i,
              kind: toward.kind === 'toward' ? ('toward' as const) : ('plane of bend' as const),
              wanted: side,
              path: [...item.path, toward.kind],
            },
          ]),
      ...(typeof angle === 'number'
        ? []
        : [{ item: i, kind: 'bend angle' as const, wanted: angle, path: [...item.path, 'angle'] }]),
    ];
  });
}

/** One name is one number: it cannot stand for a length and an angle, nor be wanted in two ways. */
export function solveNameProblems(run: readonly RunItem[], owner: string): Problem[] {
  const places = toSolvePlaces(run);
  return places.flatMap((place, i): Problem[] => {
    const { name } = place.wanted;
    const first = name === undefined ? undefined : places.find((other) => other.wanted.name === name);
    if (name === undefined || !first || first === place) return [];
    const conflict = (message: string, hint: string): Problem[] => [
      { code: 'field/conflict', severity: 'error', path: place.path, message, hint },
    ];
    if (first.kind !== place.kind)
      return conflict(
        `${quoted(name)} of ${owner} is a ${first.kind} in run item ${first.item + 1} and a ${place.kind} here: one number cannot be both`,
        'use two names',
      );
    const before = places.slice(0, i).filter((other) => other.wanted.name === name);
    const twice = (['near', 'between', 'oneOf'] as const).filter(
      (key) =>
        place.wanted[key] !== undefined &&
        before.some(
          (other) => other.wanted[key] !== undefined && String(other.wanted[key]) !== String(place.wanted[key]),
        ),
    );
    if (twice.length === 0) return [];
    return conflict(
      `${quoted(name)} of ${owner} is given ${listed(twice.map((key) => (key === 'oneOf' ? 'one-of' : key)))} twice, and they differ`,
      'say once what is wanted of it',
    );
  });
}
