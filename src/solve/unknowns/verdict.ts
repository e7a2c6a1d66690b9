import { turnDeg } from '../../geometry/angle.ts';
import { GOAL, LEAST_BEND, ROUNDED_GOAL } from '../../geometry/tolerance.ts';
import type { Mm } from '../../geometry/vector.ts';
import type { RunMember } from '../../job/job.ts';
import { angleText, lengthText, listed } from '../../job/wording.ts';
import { dampedSteps } from './damped.ts';
import type { CompiledGoal } from './goals.ts';
import { decompose } from './matrix.ts';
import { type Unknown, withValues } from './parameters.ts';
import { domainOf, missesOf, nearestOf, rankOf, solutionsOf } from './search.ts';
import { type System, systemOf } from './system.ts';

type Units = 'mm' | 'in';

/** Numbers that meet the goals and that a tube can have. */
export interface Answer {
  /** mm or degrees, in the order of the unknowns. */
  readonly values: readonly number[];
  readonly developedLength: Mm;
  /** All bends together. */
  readonly totalBendDeg: number;
  /** How far goals that were written to a few decimals are missed; absent when they are met. */
  readonly misses?: readonly Miss[];
}

export interface Miss {
  readonly goal: CompiledGoal;
  readonly miss: number;
}

/** What became of the unknowns of a run. */
export type Verdict =
  | { readonly kind: 'answers'; readonly answers: readonly Answer[] }
  /** Some numbers can be anything: which, and how many more goals they need. */
  | { readonly kind: 'free'; readonly free: readonly Unknown[]; readonly rank: number }
  /** Answers that no tube can have, with why; the nearest that one can have, and what that misses. */
  | {
      readonly kind: 'none';
      readonly refused: readonly string[];
      readonly nearest: readonly number[];
      readonly misses: readonly Miss[];
    };

export interface Question {
  readonly spec: RunMember;
  readonly unknowns: readonly Unknown[];
  readonly goals: readonly CompiledGoal[];
  readonly units: Units;
}

/** Solve a run for its unknowns, whatever may come out. */
export function verdictOf({ spec, unknowns, goals, units }: Question): Verdict {
  const system = systemOf(spec, unknowns, goals);
  const rank = rankOf(system);
  if (rank < system.size) return { kind: 'free', free: freeOf(system, unknowns), rank };
  const domain = domainOf(system, unknowns);
  const found = solutionsOf(system, domain);
  const told = found.map((values) => ({ values, refusal: refusalOf(unknowns, { values, units }) }));
  const allowed = told
    .filter(({ refusal }) => refusal === undefined)
    .map(({ values }) => withoutDust(unknowns, values));
  // One answer that can be walked away from is enough: then the goals do not say which of its neighbors is meant.
  const loose = allowed.flatMap((values) => {
    const drift = driftOf(system, system.coordinates(values));
    return drift ? [drift] : [];
  });
  if (loose.length > 0)
    return {
      kind: 'free',
      free: unknowns.filter((_, k) => loose.some((drift) => Math.abs(drift[k]!) > 1e-3)),
      rank: rank - 1,
    };
  const answer = (values: readonly number[]): Answer => answerOf({ spec, unknowns, values, system });
  if (allowed.length > 0) return { kind: 'answers', answers: allowed.map(answer) };
  const refusals = told.flatMap(({ refusal }) => refusal ?? []).sort((p, q) => p.weight - q.weight);
  const nearest = nearestOf(system, domain);
  const misses = missesOf(system, nearest.x);
  const values = system.values(nearest.x);
  const rounded = misses.every(({ miss }) => miss <= ROUNDED_GOAL);
  if (found.length === 0 && rounded && refusalOf(unknowns, { values, units }) === undefined)
    return { kind: 'answers', answers: [{ ...answer(values), misses }] };
  return { kind: 'none', refused: refusals.map(({ text }) => text), nearest: values, misses };
}

function answerOf({
  spec,
  unknowns,
  values,
  system,
}: {
  readonly spec: RunMember;
  readonly unknowns: readonly Unknown[];
  readonly values: readonly number[];
  readonly system: System;
}): Answer {
  const { places } = system.trial(system.coordinates(values));
  const totalBendDeg = withValues(spec.run, unknowns, values).reduce(
    (sum, item) => sum + (item.kind === 'bend' && typeof item.bendAngleDeg === 'number' ? item.bendAngleDeg : 0),
    0,
  );
  return { values, developedLength: places.at(-1)!.length, totalBendDeg };
}

/** A straight of nothing is one where rounding left a little. */
const withoutDust = (unknowns: readonly Unknown[], values: readonly number[]): readonly number[] =>
  values.map((v, k) => (unknowns[k]!.kind === 'straight' && Math.abs(v) <= GOAL ? 0 : v));

interface Refusal {
  readonly text: string;
  /** How far from what is wanted: what no tube can have weighs more than what the file does not want. */
  readonly weight: number;
}

/** Why a tube cannot have these values, or why they are not wanted. */
function refusalOf(
  unknowns: readonly Unknown[],
  { values, units }: { readonly values: readonly number[]; readonly units: Units },
): Refusal | undefined {
  const why = unknowns.flatMap((unknown, k): Refusal[] => {
    const value = values[k]!;
    const impossible = impossibleAs(unknown, value, units);
    const refused = impossible ?? unwantedAs(unknown, value, units);
    if (refused === undefined) return [];
    return [{ text: `${unknown.what} would have to be ${refused}`, weight: impossible ? 100 : 1 }];
  });
  if (why.length === 0) return undefined;
  return { text: listed(why.map(({ text }) => text)), weight: why.reduce((sum, { weight }) => sum + weight, 0) };
}

function impossibleAs(unknown: Unknown, value: number, units: Units): string | undefined {
  const told = valueText(unknown, value, units);
  if (unknown.kind === 'straight') return value < -GOAL ? told : undefined;
  if (unknown.kind !== 'bend angle') return undefined;
  if (value < LEAST_BEND || value > 360 - LEAST_BEND) return '0, no bend at all';
  return value > 180 ? `${told}, or ${angleText(360 - value)} the other way` : undefined;
}

function unwantedAs(unknown: Unknown, value: number, units: Units): string | undefined {
  const { kind, wanted } = unknown;
  if (!wanted.between) return undefined;
  const [low, high] = wanted.between;
  const inside =
    kind === 'straight' || kind === 'bend angle'
      ? value >= low - GOAL && value <= high + GOAL
      : turned(value - low) <= turned(high - low) + GOAL;
  if (inside) return undefined;
  const tell = (v: number): string => valueText(unknown, v, units);
  return `${tell(value)}, not between ${tell(low)} and ${tell(high)}`;
}

/** Clockwise from one side to another; a rounding before it counts as there. */
const turned = (deg: number): number => {
  const turn = turnDeg(deg);
  return turn > 360 - GOAL ? 0 : turn;
};

export const valueText = ({ unit }: Unknown, value: number, units: Units): string =>
  unit === 'mm' ? lengthText(value, units) : angleText(value);

/** Unknowns that move in a direction the goals do not feel. */
function freeOf(system: System, unknowns: readonly Unknown[]): readonly Unknown[] {
  const x = system.lengths.map((_, k) => system.reach * (0.4 + 0.13 * (k % 5)));
  const { free } = decompose(system.rates(system.trial(x)), system.size);
  return unknowns.filter((_, k) => free.some((step) => Math.abs(step[k]!) > 1e-6));
}

/**
 * A step away from an answer along which the goals stay met; undefined where the answer stands by itself. Where a goal only
 * just reaches, its rates vanish too, so the step is tried.
 */
function driftOf(system: System, x: readonly number[]): readonly number[] | undefined {
  const { rank, free } = decompose(system.rates(system.trial(x)), system.size);
  if (rank === system.size) return undefined;
  return free
    .flatMap((step) => [step, step.map((v) => -v)])
    .find((step) => {
      const far = 0.02 * system.reach;
      const rest = dampedSteps(
        system,
        x.map((v, k) => v + far * step[k]!),
      );
      const moved = rest.x.reduce((sum, v, k) => sum + (v - x[k]!) * step[k]!, 0);
      return rest.left <= GOAL && moved > far / 2;
    });
}
