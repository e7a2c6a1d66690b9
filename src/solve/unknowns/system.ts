import { toRadians } from '../../geometry/angle.ts';
import { add, type Mm, scale } from '../../geometry/vector.ts';
import type { RunMember } from '../../job/job.ts';
import { chainOf, type Place, type Rate, rateAt, type Trial } from './chain.ts';
import type { CompiledGoal } from './goals.ts';
import type { Rows } from './matrix.ts';
import type { Unknown } from './parameters.ts';

/**
 * What is to be solved, all of it in mm so that steps and misses can be weighed against each other: an angle counts as the
 * arc it sweeps at `reach`, a direction likewise.
 */
export interface System {
  readonly size: number;
  /** Which of the coordinates are lengths; the others are angles. */
  readonly lengths: readonly boolean[];
  readonly goals: readonly CompiledGoal[];
  /** mm per radian. */
  readonly reach: Mm;
  readonly trial: (x: readonly number[]) => Trial;
  /** What is left to the goals, one after the other. */
  readonly left: (trial: Trial, goals?: readonly CompiledGoal[]) => readonly number[];
  readonly rates: (trial: Trial, goals?: readonly CompiledGoal[]) => Rows;
  readonly place: (trial: Trial, goal: CompiledGoal) => Place;
  /** How the place of a goal moves as a coordinate grows, for an angle by a radian. */
  readonly rateOf: (trial: Trial, goal: CompiledGoal, coordinate: number) => Rate;
  /** Which unknown each coordinate is, where it is a single one. */
  readonly unknownOf: readonly (number | undefined)[];
  /** mm and degrees of the unknowns. */
  readonly values: (x: readonly number[]) => readonly number[];
  readonly coordinates: (values: readonly number[]) => readonly number[];
}

/** The system of a run, its unknowns and its goals. */
export function systemOf(spec: RunMember, unknowns: readonly Unknown[], goals: readonly CompiledGoal[]): System {
  const chain = chainOf(spec, unknowns);
  const reach = reachOf(spec);
  const lengths = unknowns.map(({ unit }) => unit === 'mm');
  const perDeg = toRadians(1) * reach;
  const values = (x: readonly number[]): readonly number[] => x.map((v, k) => (lengths[k] ? v : v / perDeg));
  const placeOf = (trial: Trial, { goal }: CompiledGoal): Place => trial.places[afterOf(trial, goal.after)]!;
  const weight = ({ unit }: CompiledGoal): number => (unit === 'mm' ? 1 : reach);
  return {
    size: unknowns.length,
    lengths,
    goals,
    reach,
    values,
    coordinates: (given) => given.map((v, k) => (lengths[k] ? v : v * perDeg)),
    trial: (x) => chain(values(x)),
    place: placeOf,
    rateOf: (trial, goal, unknown) => rateAt(trial, { after: afterOf(trial, goal.goal.after), unknown }),
    unknownOf: lengths.map((_, k) => k),
    left: (trial, some = goals) => some.flatMap((goal) => goal.left(placeOf(trial, goal)).map((v) => v * weight(goal))),
    rates: (trial, some = goals) =>
      some.flatMap((goal) => {
        const after = afterOf(trial, goal.goal.after);
        const columns = lengths.map((isLength, unknown) => {
          const scale = weight(goal) / (isLength ? 1 : reach);
          return goal.rates(trial.places[after]!, rateAt(trial, { after, unknown })).map((v) => v * scale);
        });
        return (columns[0] ?? []).map((_, row) => columns.map((column) => column[row]!));
      }),
  };
}

const afterOf = ({ places }: Trial, after: number | undefined): number =>
  Math.min(after ?? places.length, places.length - 1);

/** Size of the run as far as it is known: the lever that turns an angle into a length. */
function reachOf({ run }: RunMember): Mm {
  const known = run.reduce((sum, item) => {
    if (item.kind === 'straight') return sum + (typeof item.length === 'number' ? item.length : 0);
    return sum + (item.kind === 'taper' ? item.length : item.clr);
  }, 0);
  return known > 0 ? known : 100;
}

/** A system in fewer coordinates: x = from + the sum of y_k steps_k. Its own coordinates are all of one kind each. */
export function narrowed(
  system: System,
  by: { readonly from: readonly number[]; readonly steps: Rows; readonly lengths: readonly boolean[] },
): System {
  const lift = (y: readonly number[]): readonly number[] =>
    by.from.map((v, j) => by.steps.reduce((sum, step, k) => sum + step[j]! * y[k]!, v));
  return {
    ...system,
    size: by.steps.length,
    lengths: by.lengths,
    trial: (y) => system.trial(lift(y)),
    rateOf: (trial, goal, k) =>
      by.steps[k]!.reduce(
        (sum, step, j) => (step === 0 ? sum : plus(sum, times(system.rateOf(trial, goal, j), step))),
        STILL,
      ),
    unknownOf: by.steps.map((step) => {
      const moved = step.flatMap((v, j) => (v === 0 ? [] : [j]));
      return moved.length === 1 && step[moved[0]!] === 1 ? system.unknownOf[moved[0]!] : undefined;
    }),
    values: (y) => system.values(lift(y)),
    coordinates: () => {
      throw new Error('internal: coordinates of a narrowed system');
    },
    rates: (trial, some) =>
      system.rates(trial, some).map((row) => by.steps.map((step) => row.reduce((sum, v, j) => sum + v * step[j]!, 0))),
  };
}

const STILL: Rate = { origin: [0, 0, 0], turn: [0, 0, 0], length: 0 };

const times = (rate: Rate, k: number): Rate => ({
  origin: scale(rate.origin, k),
  turn: scale(rate.turn, k),
  length: rate.length * k,
});

const plus = (p: Rate, q: Rate): Rate => ({
  origin: add(p.origin, q.origin),
  turn: add(p.turn, q.turn),
  length: p.length + q.length,
});
