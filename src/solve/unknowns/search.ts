import { turnDeg } from '../../geometry/angle.ts';
import { GOAL, GOAL_ANGLE, SAME_VALUE } from '../../geometry/tolerance.ts';
import { closedForm } from './closed-form.ts';
import { type Bounds, dampedSteps, type Rest } from './damped.ts';
import type { CompiledGoal } from './goals.ts';
import { decompose } from './matrix.ts';
import { tidyValue, type Unknown } from './parameters.ts';
import type { System } from './system.ts';

/** What the unknowns can be, in coordinates of the system. */
export interface Domain {
  readonly unknowns: readonly Unknown[];
  readonly bounds: Bounds;
}

/** Straights are not negative, a bend turns by no more than half a turn; what the file says lies between narrows that. */
export function domainOf(system: System, unknowns: readonly Unknown[]): Domain {
  const ranges = unknowns.map(({ kind, wanted: { between } }): readonly [number, number] => {
    if (kind === 'straight') return between ?? [0, Number.POSITIVE_INFINITY];
    if (kind === 'bend angle') return between ?? [0, 180];
    return [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY];
  });
  const low = system.coordinates(ranges.map(([v]) => v));
  return { unknowns, bounds: { low, high: system.coordinates(ranges.map(([, v]) => v)) } };
}

/** How far each goal is missed, mm or degrees. */
export function missesOf(
  system: System,
  x: readonly number[],
): readonly { readonly goal: CompiledGoal; readonly miss: number }[] {
  const trial = system.trial(x);
  return system.goals.map((goal) => ({ goal, miss: goal.miss(system.place(trial, goal)) }));
}

const meets = (system: System, x: readonly number[]): boolean =>
  missesOf(system, x).every(({ goal, miss }) => miss <= (goal.unit === 'mm' ? GOAL : GOAL_ANGLE));

/** How many directions of the unknowns the goals feel, at values with nothing special about them. */
export const rankOf = (system: System): number =>
  Math.max(...halton(system, 4).map((x) => decompose(system.rates(system.trial(x)), system.size).rank));

/**
 * All values (mm, degrees) that meet the goals, whether a tube can have them or not: from the closed form where there is
 * one, else by damped steps from many places. The same job always gives the same, in the same order.
 */
export function solutionsOf(system: System, { unknowns, bounds }: Domain): readonly (readonly number[])[] {
  const closed = closedForm(system);
  const rests = closed
    ? closed.map((x) => dampedSteps(system, x))
    : startsOf(system, unknowns).map((x) => dampedSteps(system, x, { bounds, onlyToZero: true }));
  const found = distinct(system, { unknowns, rests });
  if (closed || found.length > 0) return found;
  const free = startsOf(system, unknowns).map((x) => dampedSteps(system, x, { onlyToZero: true }));
  return distinct(system, { unknowns, rests: free });
}

/** The values within bounds that come nearest to meeting the goals. */
export function nearestOf(system: System, { unknowns, bounds }: Domain): Rest {
  const rests = [...startsOf(system, unknowns), ...(closedForm(system) ?? [])].map((x) =>
    dampedSteps(system, x, { bounds }),
  );
  return rests.reduce((best, rest) => (rest.left < best.left - GOAL ? rest : best));
}

interface Rests {
  readonly unknowns: readonly Unknown[];
  readonly rests: readonly Rest[];
}

/** Of values that mean one solution, the ones that meet the goals best; in the order of the values. */
function distinct(system: System, { unknowns, rests }: Rests): readonly (readonly number[])[] {
  const kept: { readonly values: readonly number[]; readonly left: number }[] = [];
  for (const { x, left } of rests) {
    if (!meets(system, x)) continue;
    const values = system.values(x).map((v, k) => tidyValue(unknowns[k]!, v));
    const same = kept.findIndex((other) =>
      other.values.every((v, k) => apart(unknowns[k]!, v, values[k]!) < SAME_VALUE),
    );
    if (same < 0) kept.push({ values, left });
    else if (left < kept[same]!.left) kept[same] = { values, left };
  }
  return kept.map(({ values }) => values).sort(byValues);
}

/** mm or degrees between two values; angles the short way round. */
export function apart({ kind }: Unknown, p: number, q: number): number {
  if (kind === 'straight') return Math.abs(p - q);
  const turn = turnDeg(p - q);
  return Math.min(turn, 360 - turn);
}

function byValues(p: readonly number[], q: readonly number[]): number {
  const k = p.findIndex((v, i) => Math.abs(v - q[i]!) > SAME_VALUE);
  return k < 0 ? 0 : p[k]! - q[k]!;
}

/** Tried for the best places to start from, and how many of those are gone on with, by the number of angles. */
const TRIED = [8, 48, 200, 500, 900] as const;
const FOLLOWED = [4, 12, 28, 40, 56] as const;

/** Places to start from: what the file wants nearest, then the best of many spread evenly, straights fitted to the angles. */
function startsOf(system: System, unknowns: readonly Unknown[]): readonly (readonly number[])[] {
  const angles = system.lengths.filter((isLength) => !isLength).length;
  const size = Math.min(angles, TRIED.length - 1);
  const tried = halton(system, TRIED[size]!, unknowns).map((x) => {
    const fitted = withFittedStraights(system, x);
    return { x: fitted, left: system.left(system.trial(fitted)).reduce((sum, v) => sum + v * v, 0) };
  });
  const best = [...tried]
    .sort((p, q) => p.left - q.left)
    .slice(0, Math.ceil(FOLLOWED[size]! * Math.min(1, 4 / system.size)));
  const near = unknowns.some(({ wanted }) => wanted.near !== undefined)
    ? best.slice(0, 4).map(({ x }) => {
        const wanted = system.coordinates(unknowns.map(({ wanted: { near } }) => near ?? Number.NaN));
        return x.map((v, k) => (Number.isNaN(wanted[k]!) ? v : wanted[k]!));
      })
    : [];
  return [...near, ...best.map(({ x }) => x)];
}

function withFittedStraights(system: System, x: readonly number[]): readonly number[] {
  const straights = system.lengths.flatMap((isLength, k) => (isLength ? [k] : []));
  const linear = system.goals.filter(({ shape }) => shape !== 'distance');
  if (straights.length === 0 || linear.length === 0) return x;
  const at0 = x.map((v, k) => (system.lengths[k] ? 0 : v));
  const trial = system.trial(at0);
  const rates = system.rates(trial, linear).map((row) => straights.map((k) => row[k]!));
  const fit = decompose(rates, straights.length).step(system.left(trial, linear), 0);
  return x.map((v, k) => {
    const fitted = fit[straights.indexOf(k)];
    return system.lengths[k] && fitted !== undefined && fitted > 0 ? fitted : v;
  });
}

const BASES = [2, 3, 5, 7, 11, 13, 17, 19, 23, 29] as const;

/** Values spread evenly over what unknowns usually are: sides all round, bends to half a turn, straights to twice the reach. */
function halton(system: System, count: number, unknowns: readonly Unknown[] = []): readonly (readonly number[])[] {
  const ranges = system.lengths.map((isLength, k): readonly [number, number] => {
    const unknown = unknowns[k];
    const { between } = unknown?.wanted ?? {};
    if (isLength) return between ?? [0, 2 * system.reach];
    if (between && unknown?.kind === 'bend angle') return between;
    return unknown && unknown.kind !== 'bend angle' ? [0, 360] : [0, 180];
  });
  return Array.from({ length: count }, (_, i) =>
    system.coordinates(
      ranges.map(([low, high], k) => low + (high - low) * radicalInverse(i + 1, BASES[k % BASES.length]!)),
    ),
  );
}

function radicalInverse(index: number, base: number): number {
  let [rest, share, sum] = [index, 1 / base, 0];
  while (rest > 0) {
    sum += (rest % base) * share;
    rest = Math.floor(rest / base);
    share /= base;
  }
  return sum;
}
