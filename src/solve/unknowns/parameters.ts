import { turnDeg } from '../../geometry/angle.ts';
import type { Deg, Mm } from '../../geometry/vector.ts';
import type { RunItem, ToSolve } from '../../job/job.ts';
import type { JobPath } from '../../job/problem.ts';
import { type ToSolvePlace, toSolvePlaces } from '../../job/solve-names.ts';

/** One number to find: a straight, a bend angle or a bend's rotation, which may stand in several places of the run. */
export interface Unknown {
  readonly kind: ToSolvePlace['kind'];
  readonly unit: 'mm' | 'deg';
  /** Items of the run it stands in, ascending. */
  readonly items: readonly number[];
  readonly path: JobPath;
  /** What all its places together say about the answer wanted. */
  readonly wanted: ToSolve;
  /** "straight in run item 3", "bend angle a in run items 2 and 4". */
  readonly what: string;
}

/** The numbers to find in a run; places of one name are one number. */
export function unknownsOf(run: readonly RunItem[]): readonly Unknown[] {
  const places = toSolvePlaces(run);
  const firsts = places.filter(
    ({ wanted: { name } }, i) => name === undefined || places.findIndex((other) => other.wanted.name === name) === i,
  );
  return firsts.map((first) => {
    const { name } = first.wanted;
    const all = name === undefined ? [first] : places.filter((place) => place.wanted.name === name);
    const wanted: ToSolve = Object.assign({}, ...all.map((place) => place.wanted));
    const items = all.map(({ item }) => item);
    return {
      kind: first.kind,
      unit: first.kind === 'straight' ? 'mm' : 'deg',
      items,
      path: first.path,
      wanted,
      what: `${first.kind}${name === undefined ? '' : ` ${name}`} in run item${items.length > 1 ? 's' : ''} ${itemsText(items)}`,
    };
  });
}

const itemsText = (items: readonly number[]): string => items.map((item) => item + 1).join(', ');

/** The run with its numbers put in. */
export function withValues(
  run: readonly RunItem[],
  unknowns: readonly Unknown[],
  values: readonly number[],
): readonly RunItem[] {
  return unknowns.reduce((done, unknown, k) => withValue(done, unknown, values[k]!), run);
}

function withValue(run: readonly RunItem[], { kind, items }: Unknown, value: number): readonly RunItem[] {
  return run.map((item, i): RunItem => {
    if (!items.includes(i)) return item;
    if (item.kind === 'straight') return { ...item, length: value };
    if (item.kind !== 'bend') return item;
    return kind === 'bend angle'
      ? { ...item, bendAngleDeg: value }
      : { ...item, toward: { ...item.toward, deg: value } };
  });
}

/** A value as it is told: sides of the tube from 0 to 360, turns of the plane of bend from -180 to 180. */
export function tidyValue({ kind }: Unknown, value: number): Mm | Deg {
  if (kind === 'straight') return value;
  const deg = turnDeg(value);
  // Just under a whole turn is none, with rounding in it.
  const turned = deg > 360 - 1e-9 ? 0 : deg;
  return kind === 'plane of bend' && turned > 180 ? turned - 360 : turned;
}
