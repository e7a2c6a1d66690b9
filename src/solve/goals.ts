import type { Centerline } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { anySquareTo, cross, distance, dot, length, squareTo, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Goal } from '../job/job.ts';
import type { Member } from './solution.ts';

/** A goal as functions of the end frame: how far off it is, and the planes its place must lie on (or its heading). */
export interface CompiledGoal {
  readonly goal: Goal;
  readonly miss: (end: Frame) => number;
  readonly planes: (sample: Frame) => readonly { readonly point: Vec3; readonly normal: Vec3; readonly at: number }[];
  readonly heading?: Vec3;
  /** A distance from an axis, which is no plane: its roots are found along the axis itself. */
  readonly around?: { readonly point: Vec3; readonly direction: Vec3; readonly distance: number };
}

/** A goal made ready; undefined when the member it names could not be laid out (already said). */
export function compileGoal(goal: Goal, memberNamed: (name: string) => Member | undefined): CompiledGoal | undefined {
  switch (goal.kind) {
    case 'on-plane': {
      const normal = unit(goal.plane.normal);
      const { point } = goal.plane;
      return {
        goal,
        miss: (end) => Math.abs(dot(sub(end.origin, point), normal)),
        planes: () => [{ point, normal, at: 0 }],
      };
    }
    case 'on-line':
      return lineGoal(goal, goal.point, unit(goal.direction));
    case 'on-point':
      return {
        goal,
        miss: (end) => distance(end.origin, goal.point),
        planes: () =>
          (
            [
              [1, 0, 0],
              [0, 1, 0],
              [0, 0, 1],
            ] as const
          ).map((normal) => ({ point: goal.point, normal, at: 0 })),
      };
    case 'heading': {
      const wanted = unit(goal.heading);
      return { goal, miss: (end) => distance(end.heading, wanted), planes: () => [], heading: wanted };
    }
    case 'parallel-to': {
      const other = memberNamed(goal.member);
      if (!other) return undefined;
      const wanted = axisOf(other.centerline).direction;
      return {
        goal,
        miss: (end) => Math.min(distance(end.heading, wanted), length(cross(end.heading, wanted))),
        planes: () => [],
        heading: wanted,
      };
    }
    case 'on-axis': {
      const other = memberNamed(goal.member);
      if (!other) return undefined;
      const axis = axisOf(other.centerline);
      return lineGoal(goal, axis.point, axis.direction);
    }
    case 'spacing': {
      const other = memberNamed(goal.member);
      if (!other) return undefined;
      return spacingGoal(goal, axisOf(other.centerline), goal.distance);
    }
  }
}

function lineGoal(goal: Goal, point: Vec3, direction: Vec3): CompiledGoal {
  const n = anySquareTo(direction);
  const m = cross(direction, n);
  return {
    goal,
    miss: (end) => length(squareTo(sub(end.origin, point), direction)),
    planes: () => [
      { point, normal: n, at: 0 },
      { point, normal: m, at: 0 },
    ],
  };
}

/** The end stands `wanted` away from an axis. */
function spacingGoal(goal: Goal, axis: { point: Vec3; direction: Vec3 }, wanted: number): CompiledGoal {
  return {
    goal,
    miss: (end) => Math.abs(length(squareTo(sub(end.origin, axis.point), axis.direction)) - wanted),
    planes: () => [],
    around: { ...axis, distance: wanted },
  };
}

/** The axis a goal means: the member's longest straight, or its start heading. */
function axisOf(line: Centerline): { point: Vec3; direction: Vec3 } {
  const straights = line.segments.filter((segment) => segment.kind === 'straight');
  const longest = straights.reduce<(typeof straights)[number] | undefined>(
    (best, x) => (!best || x.length > best.length ? x : best),
    undefined,
  );
  const frame = longest?.start ?? line.segments[0]?.start ?? line.end;
  return { point: frame.origin, direction: frame.heading };
}
