import { longestStraight } from '../../geometry/centerline.ts';
import { tidyLoop } from '../../geometry/flat-path.ts';
import { placementFrom, unplaceDirection } from '../../geometry/placement.ts';
import { outlineAt, type Section, sectionReach } from '../../geometry/section.ts';
import { PARALLEL_SINE } from '../../geometry/tolerance.ts';
import { add, along, cross, dot, length, type Mm, scale, sub, type Vec2, type Vec3 } from '../../geometry/vector.ts';
import type { GussetPlate } from '../../job/job.ts';
import { figure, type Problem } from '../../job/problem.ts';
import type { MemberLookup } from '../joints/ends.ts';
import type { Member } from '../solution.ts';
import type { PlateOutcome } from './plate.ts';

/** How far apart two axes may pass and still be said to meet, mm: a plate's edge would sit off the crown by half of it. */
const APART: Mm = 0.5;

/** Plate in the plane of two straights' axes, its edges along both tubes, its inside corner cut off to clear their weld. */
export function gussetPlate(spec: GussetPlate, memberNamed: MemberLookup): PlateOutcome {
  const members = spec.between.map(({ member }) => memberNamed(member));
  const [first, second] = members;
  if (!first || !second) return { plates: [], problems: [] };
  const [p, q] = [axisOf(first), axisOf(second)];
  const normal = cross(p.direction, q.direction);
  const sine = length(normal);
  if (sine < PARALLEL_SINE) return { plates: [], problems: [parallel(spec)] };
  const n = scale(normal, 1 / sine);
  const apart = Math.abs(dot(sub(q.point, p.point), n));
  if (apart > APART) return { plates: [], problems: [passes(spec, apart)] };
  const meet = meeting(p, q, n);
  const far = Math.max(beyond(p, meet) - sectionReach(second.section), beyond(q, meet) - sectionReach(first.section));
  if (far > APART) return { plates: [], problems: [apartAlong(spec, far)] };
  const [a, b] = [away(p, meet), away(q, meet)];
  const at = placementFrom(meet, cross(a, b), a);
  const edge = (direction: Vec3, { section, up, right }: Tube): Edge => {
    const d = flat(unplaceDirection(at, direction));
    const other = flat(unplaceDirection(at, direction === a ? b : a));
    const turned: Vec2 = [-d[1], d[0]];
    const side: Vec2 = turned[0] * other[0] + turned[1] * other[1] > 0 ? turned : [-turned[0], -turned[1]];
    const world = add(scale(at.x, side[0]), scale(at.y, side[1]));
    return { d, side, off: reachToward(section, [dot(world, right), dot(world, up)]) + spec.gap };
  };
  const [ea, eb] = [edge(a, tubeOf(first)), edge(b, tubeOf(second))];
  const corner = crossing(ea, eb);
  const along_ = (e: Edge, t: Mm, out: Mm): Vec2 => [
    corner[0] + t * e.d[0] + out * e.side[0],
    corner[1] + t * e.d[1] + out * e.side[1],
  ];
  const [la, lb] = spec.legs;
  const points: readonly Vec2[] = [
    along_(ea, spec.corner, 0),
    along_(ea, la, 0),
    along_(ea, la, spec.blunt),
    along_(eb, lb, spec.blunt),
    along_(eb, lb, 0),
    ...(spec.corner > 0 ? [along_(eb, spec.corner, 0)] : []),
  ];
  const short = Math.min(la, lb) - spec.corner;
  if (!(short > spec.blunt)) return { plates: [], problems: [nothingLeft(spec, short)] };
  const outline = tidyLoop(points.map((point) => ({ at: point, bulge: 0 })));
  return { plates: [{ name: spec.name, spec, at, outline, holes: [], marks: [] }], problems: [] };
}

interface Axis {
  readonly point: Vec3;
  readonly direction: Vec3;
  readonly whole: Mm;
}

interface Tube {
  readonly section: Section;
  readonly up: Vec3;
  readonly right: Vec3;
}

/** Line of an edge in the plate: direction, the side the plate lies on, and how far to that side of the axis. */
interface Edge {
  readonly d: Vec2;
  readonly side: Vec2;
  readonly off: Mm;
}

const flat = ([x, y]: Vec3): Vec2 => [x, y];

/** The axis of a member's longest straight. */
function axisOf({ centerline }: Member): Axis {
  const { start, length: whole } = longestStraight(centerline);
  return { point: start.origin, direction: start.heading, whole };
}

function tubeOf({ section, centerline }: Member): Tube {
  const { up, right } = longestStraight(centerline).start;
  return { section, up, right };
}

/** Point of the first axis nearest the second. */
function meeting(p: Axis, q: Axis, n: Vec3): Vec3 {
  const sideways = cross(q.direction, n);
  const t = dot(sub(q.point, p.point), sideways) / dot(p.direction, sideways);
  return along(p.point, p.direction, t);
}

/** How far past the ends of a straight a point on its axis lies. */
function beyond({ point, direction, whole }: Axis, meet: Vec3): Mm {
  const t = dot(sub(meet, point), direction);
  return Math.max(-t, t - whole, 0);
}

/** From the meeting point toward where most of the member lies. */
function away({ point, direction, whole }: Axis, meet: Vec3): Vec3 {
  const ends = [point, along(point, direction, whole)];
  const [from, to] = ends.map((end) => dot(sub(end, meet), direction)) as [number, number];
  return Math.abs(to) >= Math.abs(from) ? direction : scale(direction, -1);
}

/** How far the outline reaches in a direction (right, up). */
function reachToward(section: Section, direction: Vec2): Mm {
  const reach = (u: number): number => {
    const { point } = outlineAt(section, u);
    return point[0] * direction[0] + point[1] * direction[1];
  };
  const steps = 720;
  const best = Array.from({ length: steps }, (_, i) => i / steps).reduce((x, u) => (reach(u) > reach(x) ? u : x), 0);
  let [low, high] = [best - 1 / steps, best + 1 / steps];
  for (let i = 0; i < 60; i++) {
    const [p, q] = [low + (high - low) / 3, high - (high - low) / 3];
    if (reach(p) < reach(q)) low = p;
    else high = q;
  }
  return reach((low + high) / 2);
}

function crossing(p: Edge, q: Edge): Vec2 {
  // x . side = off for both edges.
  const det = p.side[0] * q.side[1] - p.side[1] * q.side[0];
  return [(p.off * q.side[1] - q.off * p.side[1]) / det, (q.off * p.side[0] - p.off * q.side[0]) / det];
}

const parallel = (spec: GussetPlate): Problem => ({
  code: 'plate/not-flat',
  severity: 'error',
  path: spec.path,
  message: `plate "${spec.name}": the axes of "${spec.between[0].member}" and "${spec.between[1].member}" are parallel: there is no corner between them`,
  hint: 'name two members that meet at an angle',
});

const passes = (spec: GussetPlate, apart: Mm): Problem => ({
  code: 'plate/not-flat',
  severity: 'error',
  path: spec.path,
  message: `plate "${spec.name}": the axes of "${spec.between[0].member}" and "${spec.between[1].member}" pass ${figure(apart)} mm apart, limit ${APART} mm: no flat plate lies on both`,
  hint: 'bring the axes into one plane',
  measured: apart,
  limit: APART,
});

const apartAlong = (spec: GussetPlate, far: Mm): Problem => ({
  code: 'plate/misses',
  severity: 'error',
  path: spec.path,
  message: `plate "${spec.name}": the axes of "${spec.between[0].member}" and "${spec.between[1].member}" cross ${figure(far)} mm past the tubes: they do not meet`,
  hint: 'name two members that meet',
  measured: far,
  limit: APART,
});

const nothingLeft = (spec: GussetPlate, short: Mm): Problem => ({
  code: 'plate/thin',
  severity: 'error',
  path: spec.path,
  message: `plate "${spec.name}": ${figure(short)} mm is left of its shorter leg behind the cut-off corner, limit ${figure(spec.blunt)} mm (its blunt end)`,
  hint: 'lengthen legs, or make corner or blunt smaller',
  measured: short,
  limit: spec.blunt,
});
