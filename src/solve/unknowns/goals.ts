import { atan2d, cosd } from '../../geometry/angle.ts';
import type { Centerline } from '../../geometry/centerline.ts';
import { PARALLEL_SINE } from '../../geometry/tolerance.ts';
import {
  anySquareTo,
  cross,
  dot,
  length,
  type Mm,
  scale,
  squareTo,
  sub,
  unit,
  type Vec3,
} from '../../geometry/vector.ts';
import type { Goal } from '../../job/job.ts';
import type { Outcome, Problem } from '../../job/problem.ts';
import type { Member } from '../solution.ts';
import type { Place, Rate } from './chain.ts';

/** One thing to be reached, as functions of a place: what is left to it, its rates, and how far off it is for a person. */
export interface CompiledGoal {
  readonly goal: Goal;
  /** As the file names it: "on-plane". */
  readonly name: string;
  /** How many numbers it fixes. */
  readonly fixes: number;
  readonly unit: 'mm' | 'deg';
  /** Of a place and direction it is linear; a distance from an axis is not, nor is a length together with an angle. */
  readonly shape: 'linear' | 'distance' | 'length';
  /** Zero where it is met; places in mm, directions as parts of 1. */
  readonly left: (place: Place) => readonly number[];
  readonly rates: (place: Place, rate: Rate) => readonly number[];
  readonly miss: (place: Place) => number;
  /** Of a distance, its square, which has no kink: zero where it is met. */
  readonly square?: (place: Place) => number;
  /** A line that the place must lie on or beside, or a point: what a rotation about a line can aim at. */
  readonly aim?: { readonly point: Vec3; readonly along?: Vec3 };
}

/** A goal made ready; no value when the member it names could not be laid out (already said). */
export function compileGoal(
  goal: Goal,
  memberNamed: (name: string) => Member | undefined,
): Outcome<readonly CompiledGoal[]> {
  if (!('member' in goal)) return { value: placedGoals(goal), problems: [] };
  const other = memberNamed(goal.member);
  if (!other) return { problems: [] };
  const axis = axisOf(other.centerline, goal.straight);
  if (!axis) return { problems: [noStraight(goal, other)] };
  const { point, direction } = axis;
  switch (goal.kind) {
    case 'on-axis':
      return { value: [onLine(goal, 'on-axis-of', { point, direction })], problems: [] };
    case 'parallel-to':
      return { value: [parallel(goal, direction)], problems: [] };
    case 'angle-to':
      return { value: [angleTo(goal, direction, goal.angleDeg)], problems: [] };
    case 'spacing':
      return { value: [spacing(goal, { point, direction }, goal.distance)], problems: [] };
  }
}

type PlacedGoal = Exclude<Goal, { readonly member: string }>;

function placedGoals(goal: PlacedGoal): readonly CompiledGoal[] {
  switch (goal.kind) {
    case 'on-plane':
      return [onPlane(goal, 'on-plane', goal.plane)];
    case 'on-line':
      return [onLine(goal, 'on-line', { point: goal.point, direction: unit(goal.direction) })];
    case 'on-point':
      return [onPoint(goal, goal.point)];
    case 'heading':
      return [headingGoal(goal, unit(goal.heading))];
    case 'up':
      return [upGoal(goal, unit(goal.up))];
    case 'in-plane':
      return [onPlane(goal, 'in-plane', goal.plane), alongPlane(goal, unit(goal.plane.normal))];
    case 'developed-length':
      return [developedLength(goal, goal.length)];
  }
}

interface Line {
  readonly point: Vec3;
  readonly direction: Vec3;
}

function onPlane(goal: Goal, name: string, plane: { readonly point: Vec3; readonly normal: Vec3 }): CompiledGoal {
  const normal = unit(plane.normal);
  const height = ({ frame }: Place): number => dot(sub(frame.origin, plane.point), normal);
  return {
    goal,
    name,
    fixes: 1,
    unit: 'mm',
    shape: 'linear',
    left: (place) => [height(place)],
    rates: (_, rate) => [dot(rate.origin, normal)],
    miss: (place) => Math.abs(height(place)),
  };
}

function onLine(goal: Goal, name: string, { point, direction }: Line): CompiledGoal {
  const n = anySquareTo(direction);
  const m = cross(direction, n);
  return {
    goal,
    name,
    fixes: 2,
    unit: 'mm',
    shape: 'linear',
    left: ({ frame }) => [dot(sub(frame.origin, point), n), dot(sub(frame.origin, point), m)],
    rates: (_, rate) => [dot(rate.origin, n), dot(rate.origin, m)],
    miss: ({ frame }) => length(squareTo(sub(frame.origin, point), direction)),
    aim: { point, along: direction },
  };
}

const onPoint = (goal: Goal, point: Vec3): CompiledGoal => ({
  goal,
  name: 'on-point',
  fixes: 3,
  unit: 'mm',
  shape: 'linear',
  left: ({ frame }) => sub(frame.origin, point),
  rates: (_, rate) => rate.origin,
  miss: ({ frame }) => length(sub(frame.origin, point)),
  aim: { point },
});

/** Degrees between two unit vectors, exact where they all but agree. */
const between = (p: Vec3, q: Vec3): number => atan2d(length(cross(p, q)), dot(p, q));

const headingGoal = (goal: Goal, wanted: Vec3): CompiledGoal => ({
  goal,
  name: 'heading',
  fixes: 2,
  unit: 'deg',
  shape: 'linear',
  left: ({ frame }) => sub(frame.heading, wanted),
  rates: ({ frame }, rate) => cross(rate.turn, frame.heading),
  miss: ({ frame }) => between(frame.heading, wanted),
});

/** Parallel, either way round. */
const parallel = (goal: Goal, wanted: Vec3): CompiledGoal => ({
  goal,
  name: 'parallel-to',
  fixes: 2,
  unit: 'deg',
  shape: 'linear',
  left: ({ frame }) => cross(frame.heading, wanted),
  rates: ({ frame }, rate) => cross(cross(rate.turn, frame.heading), wanted),
  miss: ({ frame }) => Math.min(between(frame.heading, wanted), between(frame.heading, scale(wanted, -1))),
});

function angleTo(goal: Goal, other: Vec3, angleDeg: number): CompiledGoal {
  const wanted = cosd(angleDeg);
  // Straight along or against, the cosine is at its end and fixes both numbers of the heading.
  if (Math.abs(wanted) > 1 - PARALLEL_SINE ** 2)
    return { ...headingGoal(goal, scale(other, wanted)), name: 'angle-to' };
  return {
    goal,
    name: 'angle-to',
    fixes: 1,
    unit: 'deg',
    shape: 'linear',
    left: ({ frame }) => [dot(frame.heading, other) - wanted],
    rates: ({ frame }, rate) => [dot(cross(rate.turn, frame.heading), other)],
    miss: ({ frame }) => Math.abs(between(frame.heading, other) - angleDeg),
  };
}

const upGoal = (goal: Goal, wanted: Vec3): CompiledGoal => ({
  goal,
  name: 'up',
  fixes: 1,
  unit: 'deg',
  shape: 'linear',
  left: ({ frame }) => [dot(frame.right, wanted)],
  rates: ({ frame }, rate) => [dot(cross(rate.turn, frame.right), wanted)],
  // The opposite side is left nothing too, and is half a turn off.
  miss: ({ frame }) => Math.abs(atan2d(dot(frame.right, wanted), dot(frame.up, wanted))),
});

const alongPlane = (goal: Goal, normal: Vec3): CompiledGoal => ({
  goal,
  name: 'in-plane',
  fixes: 1,
  unit: 'deg',
  shape: 'linear',
  left: ({ frame }) => [dot(frame.heading, normal)],
  rates: ({ frame }, rate) => [dot(cross(rate.turn, frame.heading), normal)],
  miss: ({ frame }) => Math.abs(90 - between(frame.heading, normal)),
});

function spacing(goal: Goal, axis: Line, wanted: Mm): CompiledGoal {
  // No distance at all is the axis itself, two numbers.
  if (wanted === 0) return onLine(goal, 'spacing', axis);
  const aside = ({ frame }: Place): Vec3 => squareTo(sub(frame.origin, axis.point), axis.direction);
  return {
    goal,
    name: 'spacing',
    fixes: 1,
    unit: 'mm',
    shape: 'distance',
    left: (place) => [length(aside(place)) - wanted],
    rates: (place, rate) => {
      const out = aside(place);
      const far = length(out);
      return [far > 0 ? dot(rate.origin, out) / far : 0];
    },
    miss: (place) => Math.abs(length(aside(place)) - wanted),
    square: (place) => {
      const out = aside(place);
      return (dot(out, out) - wanted * wanted) / (2 * wanted);
    },
  };
}

const developedLength = (goal: Goal, wanted: Mm): CompiledGoal => ({
  goal,
  name: 'developed-length',
  fixes: 1,
  unit: 'mm',
  shape: 'length',
  left: (place) => [place.length - wanted],
  rates: (_, rate) => [rate.length],
  miss: (place) => Math.abs(place.length - wanted),
});

/** The axis a goal means: a straight of the member by its number, else its longest, else its start heading. */
function axisOf(line: Centerline, which: number | undefined): Line | undefined {
  const straights = line.segments.filter((segment) => segment.kind === 'straight');
  const longest = straights.reduce<(typeof straights)[number] | undefined>(
    (best, x) => (!best || x.length > best.length ? x : best),
    undefined,
  );
  if (which !== undefined && !straights[which - 1]) return undefined;
  const frame = (which === undefined ? longest : straights[which - 1])?.start ?? line.segments[0]?.start ?? line.end;
  return { point: frame.origin, direction: frame.heading };
}

function noStraight(goal: Goal & { readonly straight?: number }, other: Member): Problem {
  const straights = other.centerline.segments.filter((segment) => segment.kind === 'straight').length;
  return {
    code: 'field/out-of-range',
    severity: 'error',
    path: [...goal.path.slice(0, -1), 'straight'],
    message: `there is no straight ${goal.straight} in ${other.name}: it has ${straights}`,
    hint: 'straights are counted from the start of the member, bends not',
    ...(goal.straight === undefined ? {} : { measured: goal.straight }),
    limit: straights,
  };
}
