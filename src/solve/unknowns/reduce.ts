import { atan2d, toRadians } from '../../geometry/angle.ts';
import { INDEPENDENT } from '../../geometry/tolerance.ts';
import { type TrigPolynomial, trigPolynomial, trigRoots } from '../../geometry/trigonometric.ts';
import { cross, type Deg, dot, length, scale, squareTo, sub, unit, type Vec3 } from '../../geometry/vector.ts';
import type { CompiledGoal } from './goals.ts';
import { narrowed, type System } from './system.ts';

type Candidates = readonly (readonly number[])[] | undefined;
type Solver = (system: System) => Candidates;

/** A layout of several angles brought to fewer, where one of the known patterns allows it; `solver` takes on what is left. */
export function reduced(system: System, solver: Solver): Candidates {
  const angles = system.lengths.flatMap((isLength, k) => (isLength ? [] : [k]));
  return steered(system, { angles, solver }) ?? rolled(system, { angles, solver }) ?? twoToAPoint(system, angles);
}

interface Angles {
  readonly angles: readonly number[];
  readonly solver: Solver;
}

/** Trial values with nothing special about them: what holds at all of them holds. */
const TRIALS = [0, 1, 2].map(
  (i) =>
    (k: number): number =>
      0.35 + 1.1 * (((k + 1) * 0.618 + i * 0.377) % 1),
);
const trialsOf = (system: System): readonly (readonly number[])[] =>
  TRIALS.map((pick) => system.lengths.map((_, k) => pick(k) * system.reach));

/**
 * Two bends in one plane and a heading to reach: the heading fixes the sum of the two angles (their difference when they
 * turn opposite ways), which leaves one of them.
 */
function steered(system: System, { angles, solver }: Angles): Candidates {
  const trials = trialsOf(system).map(system.trial);
  const goals = system.goals.filter(({ unit: u, shape }) => u === 'deg' && shape === 'linear');
  for (const goal of goals) {
    const turns = (unknown: number): readonly Vec3[] => trials.map((trial) => system.rateOf(trial, goal, unknown).turn);
    const turning = angles.filter((k) => turns(k).some((turn) => length(turn) > INDEPENDENT));
    const [first, second] = turning;
    if (turning.length !== 2 || first === undefined || second === undefined) continue;
    const ratio = sameAxis(turns(first), turns(second));
    if (ratio === undefined) continue;
    const sums = headingRoots(system, { goal, angle: first });
    if (!sums) continue;
    const kept = system.lengths.flatMap((_, k) => (k === first ? [] : [k]));
    return gathered(
      sums.map((sum) => ({
        from: system.lengths.map((_, k) => (k === first ? toRadians(sum) * system.reach : 0)),
        steps: kept.map((k) => system.lengths.map((_, j) => (j === k ? 1 : j === first && k === second ? -ratio : 0))),
        lengths: kept.map((k) => system.lengths[k]!),
      })),
      { system, solver },
    );
  }
  return undefined;
}

/** q = ratio * p at all trials, the ratio 1 or -1. */
function sameAxis(p: readonly Vec3[], q: readonly Vec3[]): number | undefined {
  const ratios = p.map((turn, i) => dot(turn, q[i]!) / dot(turn, turn));
  const ratio = Math.sign(ratios[0]!);
  const same = p.every((turn, i) => length(sub(scale(turn, ratio), q[i]!)) < 1e-9);
  return same && Math.abs(ratio) === 1 ? ratio : undefined;
}

/** Values of one angle, degrees, that meet a goal of direction with the other angles at nothing. */
function headingRoots(
  system: System,
  { goal, angle }: { readonly goal: CompiledGoal; readonly angle: number },
): readonly Deg[] | undefined {
  const at = (t: number): readonly number[] =>
    system.left(system.trial(system.lengths.map((_, k) => (k === angle ? t * system.reach : 0))), [goal]);
  for (let i = 0; i < at(0).length; i++) {
    const p: TrigPolynomial | undefined = trigPolynomial((t) => at(t)[i]!, {
      most: 2,
      noise: INDEPENDENT * system.reach,
    });
    const roots = p && trigRoots(p);
    if (roots) return roots;
  }
  return undefined;
}

type Narrowing = Parameters<typeof narrowed>[1];

/** What the solver finds in each of the narrower systems, in the coordinates of the wide one. */
function gathered(
  narrowings: readonly Narrowing[],
  { system, solver }: { readonly system: System; readonly solver: Solver },
): Candidates {
  const found = narrowings.map((by) =>
    solver(narrowed(system, by))?.map((y) =>
      by.from.map((v, j) => by.steps.reduce((sum, step, k) => sum + step[j]! * y[k]!, v)),
    ),
  );
  return found.every((x) => x !== undefined) ? found.flat() : undefined;
}

/** A fixed line that the place of a goal turns about as one angle grows, whatever the others are; its direction is unit. */
function pivot(
  system: System,
  { goal, angle }: { readonly goal: CompiledGoal; readonly angle: number },
): { readonly point: Vec3; readonly axis: Vec3 } | undefined {
  const trials = trialsOf(system).map(system.trial);
  const unknown = system.unknownOf[angle];
  const [trial] = trials;
  const first = unknown === undefined ? undefined : trial?.motions[unknown]?.[0];
  if (!first || !trial) return undefined;
  const isBend = Math.abs(length(first.turn) - 1) < 1e-9 && first.grow > 0;
  const before = trial.places[first.after - 1]!.frame;
  const axis = isBend ? unit(first.turn) : before.heading;
  const point = isBend ? cross(axis, first.move) : before.origin;
  const holds = trials.every((each) => {
    const place = system.place(each, goal).frame.origin;
    const rate = system.rateOf(each, goal, angle).origin;
    return length(sub(rate, cross(axis, sub(place, point)))) < INDEPENDENT * 1e2 * system.reach;
  });
  return holds ? { point, axis } : undefined;
}

/** Degrees about a line from one place to another, clockwise seen along it; undefined when one lies on it. */
function azimuth(line: { readonly point: Vec3; readonly axis: Vec3 }, from: Vec3, to: Vec3): Deg | undefined {
  const [p, q] = [from, to].map((place) => squareTo(sub(place, line.point), line.axis));
  if (!p || !q || length(p) < 1e-9 || length(q) < 1e-9) return undefined;
  return atan2d(dot(cross(p, q), line.axis), dot(p, q));
}

/**
 * A rolling offset: the rest of the tube lies in one plane with the axis it is turned about, so that the rotation must bring
 * that plane onto the goal: two rotations, half a turn apart, whatever the angles and straights.
 */
function rolled(system: System, { angles, solver }: Angles): Candidates {
  for (const goal of system.goals.filter(({ aim }) => aim)) {
    const { point: to, along } = goal.aim!;
    for (const angle of angles) {
      const line = pivot(system, { goal, angle });
      if (!line || (along && length(cross(along, line.axis)) > INDEPENDENT * 1e2)) continue;
      const places = trialsOf(system).map(
        (x) => system.place(system.trial(x.map((v, k) => (k === angle ? 0 : v))), goal).frame.origin,
      );
      const turns = places.map((place) => azimuth(line, place, to));
      const [first] = turns;
      if (first === undefined) continue;
      // In one plane: all the same, or half a turn on.
      const same = turns.every((turn) => turn !== undefined && Math.abs(Math.sin(toRadians(turn - first))) < 1e-10);
      if (!same) continue;
      const kept = system.lengths.flatMap((_, k) => (k === angle ? [] : [k]));
      return gathered(
        [first, first + 180].map((deg) => ({
          from: system.lengths.map((_, k) => (k === angle ? toRadians(deg) * system.reach : 0)),
          steps: kept.map((k) => system.lengths.map((_, j) => (j === k ? 1 : 0))),
          lengths: kept.map((k) => system.lengths[k]!),
        })),
        { system, solver },
      );
    }
  }
  return undefined;
}

/**
 * Two angles to a point: how far the end lies from the axis of the first, and how far along it, is a matter of the second
 * alone; the first then swings it there.
 */
function twoToAPoint(system: System, angles: readonly number[]): Candidates {
  const goal = system.goals.find(({ aim }) => aim && !aim.along);
  if (!goal?.aim || system.size !== 2) return undefined;
  const { point: to } = goal.aim;
  for (const first of angles) {
    const second = angles.find((k) => k !== first)!;
    const line = pivot(system, { goal, angle: first });
    if (!line) continue;
    const at = (deg: Deg, other: number): Vec3 =>
      system.place(
        system.trial(system.lengths.map((_, k) => (k === first ? toRadians(deg) : other) * system.reach)),
        goal,
      ).frame.origin;
    const far = (place: Vec3): Vec3 => sub(place, line.point);
    const conditions = [
      (t: number): number => dot(sub(at(0, t), to), line.axis),
      (t: number): number => (dot(far(at(0, t)), far(at(0, t))) - dot(far(to), far(to))) / system.reach,
    ];
    for (const condition of conditions) {
      const p = trigPolynomial(condition, { most: 8, noise: INDEPENDENT * 10 * system.reach });
      const roots = p && trigRoots(p);
      if (!roots) continue;
      const found = roots.map((deg) => ({ deg, swing: azimuth(line, at(0, toRadians(deg)), to) }));
      if (found.some(({ swing }) => swing === undefined)) return undefined;
      return found.map(({ deg, swing }) =>
        [0, 1].map((k) => toRadians(k === second ? deg : ((swing! % 360) + 360) % 360) * system.reach),
      );
    }
  }
  return undefined;
}
