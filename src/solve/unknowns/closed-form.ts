import { toDegrees } from '../../geometry/angle.ts';
import { INDEPENDENT } from '../../geometry/tolerance.ts';
import { type TrigPolynomial, trigPolynomial, trigRoots } from '../../geometry/trigonometric.ts';
import type { CompiledGoal } from './goals.ts';
import { decompose, determinant, type Rows } from './matrix.ts';
import { reduced } from './reduce.ts';
import type { System } from './system.ts';

/** Highest degree of a condition on one angle: four bends by one angle, with a straight. */
const MOST_DEGREE = 16;

/**
 * Every place where the goals may be met, for the layouts that have a closed form; undefined for the others. A candidate
 * still has to be tried: not all goals need have a say in it.
 *
 * With angles fixed, places are linear in the straights. In one angle they are trigonometric polynomials: of degree 1 in a
 * bend and in an equal-bend offset, so that p cosA + q sinA + r = 0. Two bends in one plane with a heading given, a rolling
 * offset and two bends to a point are first brought to one angle.
 */
export function closedForm(system: System): readonly (readonly number[])[] | undefined {
  const angles = system.lengths.filter((isLength) => !isLength).length;
  if (angles === 0) return straightsOnly(system);
  if (angles === 1) return oneAngle(system);
  return reduced(system, closedForm);
}

/** Straights alone: a linear system; a single one at a distance from an axis, a quadratic equation. */
function straightsOnly(system: System): readonly (readonly number[])[] | undefined {
  const zero = system.lengths.map(() => 0);
  const linear = system.goals.filter(({ shape }) => shape !== 'distance');
  const trial = system.trial(zero);
  const rates = decompose(system.rates(trial, linear), system.size);
  if (linear.length > 0 && rates.rank === system.size) return [rates.step(system.left(trial, linear), 0)];
  const [goal] = system.goals.filter(({ square }) => square);
  if (system.size > 1 || !goal?.square) return undefined;
  const at = (s: number): number => goal.square!(system.place(system.trial([s]), goal));
  const h = system.reach;
  const [low, middle, high] = [at(-h), at(0), at(h)];
  return quadraticRoots((high + low) / 2 - middle, (high - low) / 2, middle).map((x) => [x * h]);
}

/** Real roots of p x^2 + q x + r, by the form that keeps its digits; where it only touches zero, that place. */
function quadraticRoots(p: number, q: number, r: number): readonly number[] {
  const size = Math.abs(p) + Math.abs(q) + Math.abs(r);
  if (Math.abs(p) < INDEPENDENT * size) return Math.abs(q) < INDEPENDENT * size ? [] : [-r / q];
  const square = q * q - 4 * p * r;
  if (Math.abs(square) < 1e-12 * (q * q + Math.abs(4 * p * r))) return [-q / (2 * p)];
  if (square < 0) return [];
  const sum = -(q + Math.sign(q || 1) * Math.sqrt(square)) / 2;
  return sum === 0 ? [0] : [sum / p, r / sum];
}

/** One angle and any number of straights. */
function oneAngle(system: System): readonly (readonly number[])[] | undefined {
  const angle = system.lengths.indexOf(false);
  const straights = system.lengths.flatMap((isLength, k) => (isLength ? [k] : []));
  const linear = system.goals.filter(({ shape }) => shape === 'linear');
  const at = (t: number): readonly number[] => system.lengths.map((_, k) => (k === angle ? t * system.reach : 0));
  /** At an angle, with straights of nothing: what is left, and how it goes with the straights. */
  const rows = (t: number): { left: readonly number[]; rates: Rows } => {
    const trial = system.trial(at(t));
    const rates = system.rates(trial, linear).map((row) => straights.map((k) => row[k]!));
    return { left: system.left(trial, linear), rates };
  };
  const turns = angleRoots(system, { rows, straights: straights.length, at });
  if (!turns) return undefined;
  const candidates = turns.map((deg): readonly number[] | undefined => {
    const x = at((deg * Math.PI) / 180);
    if (straights.length === 0) return x;
    const { left, rates } = rows((deg * Math.PI) / 180);
    const fitted = decompose(rates, straights.length);
    if (fitted.rank < straights.length) return undefined;
    const lengths = fitted.step(left, 0);
    return x.map((v, k) => (k === angle ? v : lengths[straights.indexOf(k)]!));
  });
  return candidates.every((x) => x !== undefined) ? candidates : undefined;
}

interface OneAngle {
  readonly rows: (t: number) => { readonly left: readonly number[]; readonly rates: Rows };
  readonly straights: number;
  readonly at: (t: number) => readonly number[];
}

/** Angles, degrees, at which straights can be found for the goals: none are missed, some may be too many. */
function angleRoots(system: System, { rows, straights, at }: OneAngle): readonly number[] | undefined {
  const noise = INDEPENDENT * system.reach * 10;
  const polynomial = (f: (t: number) => number): TrigPolynomial | undefined =>
    trigPolynomial(f, { most: MOST_DEGREE, noise });
  const samples = [0.3, 1.9, 4.4].map(rows);
  const count = samples[0]!.left.length;
  const free = Array.from({ length: count }, (_, i) => i).filter((i) =>
    samples.every(({ rates }) => rates[i]!.every((rate) => Math.abs(rate) < 1e-9)),
  );
  // Conditions on the angle alone come first: a heading, or whatever there is when no straight is to solve.
  const alone = [
    ...free.map((i) => (t: number) => rows(t).left[i]!),
    ...(straights === 0 ? distances(system, at) : []),
  ];
  for (const condition of alone) {
    const p = polynomial(condition);
    const roots = p && trigRoots(p);
    if (roots) return roots;
  }
  const dependent = Array.from({ length: count }, (_, i) => i).filter((i) => !free.includes(i));
  if (straights === 0 || dependent.length <= straights) return undefined;
  // Straights can meet one row more than they are many when the determinant of rates and what is left vanishes.
  const p = polynomial((t) => {
    const { left, rates } = rows(t);
    return determinant(
      mixed(
        dependent.map((i) => [...rates[i]!, left[i]!]),
        straights + 1,
      ),
    );
  });
  return p && trigRoots(p);
}

const distances = (system: System, at: (t: number) => readonly number[]): readonly ((t: number) => number)[] =>
  system.goals.flatMap((goal: CompiledGoal) => {
    const { square } = goal;
    return square ? [(t: number) => square(system.place(system.trial(at(t)), goal))] : [];
  });

/** As many rows as wanted: the rows themselves, or fixed mixtures of them when they are more. */
function mixed(rows: Rows, wanted: number): Rows {
  if (rows.length === wanted) return rows;
  return Array.from({ length: wanted }, (_, r) =>
    rows[0]!.map((_, j) =>
      rows.reduce((sum, row, i) => sum + row[j]! * Math.cos(1 + 1.7 * i + 2.9 * r + 0.61 * i * r), 0),
    ),
  );
}

/** Degrees of an angular coordinate. */
export const degreesOf = (system: System, coordinate: number): number => toDegrees(coordinate / system.reach);
