import { decompose } from './matrix.ts';
import type { System } from './system.ts';

/** Where damped steps came to rest. */
export interface Rest {
  readonly x: readonly number[];
  /** Root of the sum of squares of what is left, mm. */
  readonly left: number;
}

/** Least and largest value of each coordinate; steps end at them. */
export interface Bounds {
  readonly low: readonly number[];
  readonly high: readonly number[];
}

const STEPS = 80;
/** mm. Below this what is left is rounding. */
const NOTHING = 1e-12;

/** Parts of what is left that one step takes away: a place where the goals are met is neared by more than half. */
const SLOW = 1e-3;
const STILL = 1e-10;
/** Slow steps one after the other that tell a place where they are not. */
const IDLE = 4;

const normOf = (left: readonly number[]): number => Math.sqrt(left.reduce((sum, v) => sum + v * v, 0));

/**
 * Damped least squares (Levenberg and Marquardt): steps that take away what is left to the goals, held back as far as they
 * must be to get nearer, each from the singular values of the rates. With bounds, a coordinate that stands at one and would
 * pass it is left there. Who only wants the goals met lets it give up where it settles short of them.
 */
export function dampedSteps(
  system: System,
  from: readonly number[],
  { bounds, onlyToZero = false }: { readonly bounds?: Bounds; readonly onlyToZero?: boolean } = {},
): Rest {
  const kept = (x: readonly number[]): readonly number[] =>
    bounds ? x.map((v, k) => Math.min(bounds.high[k]!, Math.max(bounds.low[k]!, v))) : x;
  let x = kept(from);
  let trial = system.trial(x);
  let left = system.left(trial);
  let size = normOf(left);
  let damping = 0.5;
  let idle = 0;
  for (let step = 0; step < STEPS && size > NOTHING; step++) {
    const rates = system.rates(trial);
    const stuck = bounds ? atBound(x, { bounds, slope: slopeOf(rates, left) }) : undefined;
    const felt = stuck ? rates.map((row) => row.map((v, k) => (stuck[k] ? 0 : v))) : rates;
    const parts = decompose(felt, system.size);
    if (parts.rank === 0) break;
    let better = false;
    for (let tries = 0; tries < 12 && !better; tries++) {
      const moved = kept(parts.step(left, damping * parts.largest).map((v, k) => x[k]! + v));
      const next = system.trial(moved);
      const nextLeft = system.left(next);
      const nextSize = normOf(nextLeft);
      if (nextSize < size) {
        const gain = (size - nextSize) / size;
        [x, trial, left, size] = [moved, next, nextLeft, nextSize];
        damping = damping < 1e-9 ? 0 : damping / 8;
        idle = gain < SLOW ? idle + 1 : 0;
        if (gain <= STILL || (onlyToZero && idle >= IDLE)) return { x, left: size };
        better = true;
      } else damping = Math.max(damping, 1e-7) * 6;
    }
    if (!better) break;
  }
  return { x, left: size };
}

/** Downhill is against this. */
const slopeOf = (rates: readonly (readonly number[])[], left: readonly number[]): readonly number[] =>
  (rates[0] ?? []).map((_, k) => rates.reduce((sum, row, i) => sum + row[k]! * left[i]!, 0));

const atBound = (
  x: readonly number[],
  { bounds, slope }: { readonly bounds: Bounds; readonly slope: readonly number[] },
): readonly boolean[] =>
  x.map((v, k) => (v <= bounds.low[k]! && slope[k]! > 0) || (v >= bounds.high[k]! && slope[k]! < 0));
