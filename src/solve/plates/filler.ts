import { arcsAlong } from '../../geometry/arc-fit.ts';
import { type Centerline, frameAt } from '../../geometry/centerline.ts';
import { solidDistance } from '../../geometry/distance.ts';
import { loopArea, type PathCorner, tidyLoop } from '../../geometry/flat-path.ts';
import { type Frame, toLocal, toWorld } from '../../geometry/frame.ts';
import { placementFrom } from '../../geometry/placement.ts';
import { sectionDistance } from '../../geometry/section.ts';
import { PLATE_ARC, SAME_PLACE } from '../../geometry/tolerance.ts';
import { closeIn } from '../../geometry/trace.ts';
import { sectionAt } from '../../geometry/tube-shape.ts';
import { distance, dot, type Mm, sub, type Vec2, type Vec3 } from '../../geometry/vector.ts';
import type { FillerPlate, MergeJoint } from '../../job/job.ts';
import type { Problem } from '../../job/problem.ts';
import { drawnEnd, type MemberLookup } from '../joints/ends.ts';
import type { Plate, PlateOutcome } from './plate.ts';

/** Smaller open places are closed by the weld, mm^2. */
const LEAST_AREA = 2;
/** Places on an edge that are looked at for whether another tube covers them. */
const LOOKS = 1440;
/** Ends of stretches this near each other are one corner: where tubes only touch, the touch is known no better. */
const ONE_CORNER: Mm = 0.02;
/** A stretch of edge that is no longer bounds nothing. */
const SHORT: Mm = 0.02;

/** An outline in the trunk's start plane: signed distance from it, and the point of it in a direction from its middle. */
interface Bound {
  /** Negative inside the open place: inside the trunk, outside a leg. */
  readonly off: (p: Vec2) => Mm;
  /** Share of the turn, counterclockwise, to the point there. */
  readonly at: (turn: number) => Vec2;
  /** 1 where the open place lies to the left of the outline run counterclockwise (the trunk), -1 to the right (a leg). */
  readonly keeps: 1 | -1;
}

/** A flat pattern for each place of a merge trunk's start that no leg covers, bounded by the trunk's outside and the legs'. */
export function fillerPlates(spec: FillerPlate, joint: MergeJoint, memberNamed: MemberLookup): PlateOutcome {
  const legs = joint.legs.flatMap((ref) => drawnEnd(ref, memberNamed) ?? []);
  const trunk = drawnEnd(joint.trunk, memberNamed);
  if (!trunk || legs.length < joint.legs.length) return { plates: [], problems: [] };
  const section = sectionAt(trunk.member, trunk.s);
  const { frame } = trunk;
  const flatOf = (p: Vec3): Vec2 => {
    const [a, b] = toLocal(frame, p);
    return [a, b];
  };
  const bounds: readonly Bound[] = [
    boundAbout([0, 0], 1, ([a, b]) => sectionDistance(section, a, b)),
    ...legs.flatMap(({ member }): readonly Bound[] => {
      const solid = { section: member.section, centerline: member.centerline };
      const middle = piercing(member.centerline, frame);
      return middle
        ? [boundAbout(flatOf(middle), -1, ([a, b]) => solidDistance(solid, toWorld(frame, [a, b, 0])))]
        : [];
    }),
  ];
  const outlines = loopsOf(bounds)
    .map(tidyLoop)
    .filter((loop) => loopArea(loop) >= LEAST_AREA)
    .sort((p, q) => loopArea(q) - loopArea(p));
  // Own x to the right and y up, as the section is drawn: seen against the heading when z looks along it.
  const at = placementFrom(frame.origin, frame.heading, frame.right);
  const flip = at.y[0] * frame.up[0] + at.y[1] * frame.up[1] + at.y[2] * frame.up[2] < 0;
  const plates = outlines.map(
    (outline, i): Plate => ({
      name: outlines.length > 1 ? `${spec.name}-${i + 1}` : spec.name,
      spec,
      at,
      outline: flip ? flipped(outline) : outline,
      holes: [],
      marks: [],
    }),
  );
  return { plates, problems: plates.length === 0 ? [nothingOpen(spec)] : [] };
}

const flipped = (loop: Plate['outline']): Plate['outline'] =>
  loop.kind === 'circle'
    ? { ...loop, center: [loop.center[0], -loop.center[1]] }
    : tidyLoop(loop.corners.map(({ at, bulge }) => ({ at: [at[0], -at[1]], bulge: -bulge })));

/** The outline round a middle that lies inside it; each ray from there leaves it once. */
function boundAbout(middle: Vec2, keeps: 1 | -1, outside: (p: Vec2) => Mm): Bound {
  const at = (turn: number): Vec2 => {
    const way: Vec2 = [Math.cos(2 * Math.PI * turn), Math.sin(2 * Math.PI * turn)];
    const on = (r: Mm): Vec2 => [middle[0] + r * way[0], middle[1] + r * way[1]];
    return on(firstOutside((r) => -outside(on(r))));
  };
  return { off: (p) => keeps * outside(p), at, keeps };
}

/** Where a depth that is positive at 0 and falls comes to zero. */
function firstOutside(depth: (r: Mm) => Mm): Mm {
  let [low, lowD, high] = [0, depth(0), 1];
  let highD = depth(high);
  while (highD > 0) {
    [low, lowD, high] = [high, highD, 2 * high];
    highD = depth(high);
  }
  return closeIn(depth, { low, lowD, high, highD });
}

/** Where a leg's axis passes the plane of the trunk's start, nearest its drawn end in the trunk. */
function piercing(line: Centerline, { origin, heading }: Frame): Vec3 | undefined {
  const height = (s: Mm): Mm => dot(sub(frameAt(line, s).origin, origin), heading);
  const steps = 64 * line.segments.length;
  const found: Vec3[] = [];
  for (let k = 0; k < steps; k++) {
    let [low, high] = [(line.length * k) / steps, (line.length * (k + 1)) / steps];
    const start = height(low);
    if (start < 0 === height(high) < 0) continue;
    for (let i = 0; i < 60; i++) {
      const half = (low + high) / 2;
      if (height(half) < 0 === start < 0) low = half;
      else high = half;
    }
    found.push(frameAt(line, low).origin);
  }
  return found.sort((p, q) => distance(p, origin) - distance(q, origin))[0];
}

/** A stretch of one outline that no other covers, run so that the open place lies to its left. */
interface Stretch {
  readonly bound: Bound;
  readonly from: number;
  readonly to: number;
}

/** The stretches of all outlines, joined end to start into closed paths of arcs. */
function loopsOf(bounds: readonly Bound[]): readonly (readonly PathCorner[])[] {
  const free = bounds.flatMap((bound) => stretchesOf(bound, bounds));
  const pool = new Set(free);
  const loops: (readonly PathCorner[])[] = [];
  for (const first of free) {
    if (!pool.delete(first)) continue;
    const chain = [first];
    const start = first.bound.at(first.from);
    for (;;) {
      const last = chain.at(-1)!;
      const end = last.bound.at(last.to);
      const next = nearestStart([...pool], end);
      if (!next || apart(end, start) <= apart(end, next.bound.at(next.from))) break;
      pool.delete(next);
      chain.push(next);
    }
    const end = chain.at(-1)!;
    if (apart(end.bound.at(end.to), start) <= ONE_CORNER) loops.push(chain.flatMap(arcsOf));
  }
  return loops;
}

const nearestStart = (pool: readonly Stretch[], end: Vec2): Stretch | undefined =>
  pool
    .map((stretch) => ({ stretch, off: apart(stretch.bound.at(stretch.from), end) }))
    .filter(({ off }) => off <= ONE_CORNER)
    .sort((p, q) => p.off - q.off)[0]?.stretch;

/** Where an outline is not covered by the others: looked over in small steps, ends closed in by halving. */
function stretchesOf(bound: Bound, bounds: readonly Bound[]): readonly Stretch[] {
  const others = bounds.filter((other) => other !== bound);
  const isFree = (turn: number): boolean => {
    const p = bound.at(turn);
    return others.every((other) => other.off(p) < -SAME_PLACE);
  };
  const free = Array.from({ length: LOOKS }, (_, i) => isFree(i / LOOKS));
  const edge = (i: number, opens: boolean): number => {
    let [low, high] = [(i - 1) / LOOKS, i / LOOKS];
    for (let k = 0; k < 50; k++) {
      const half = (low + high) / 2;
      if (isFree(half) === opens) high = half;
      else low = half;
    }
    return opens ? high : low;
  };
  const before = (i: number): boolean => free[(i + LOOKS - 1) % LOOKS]!;
  const opens = free.flatMap((here, i) => (here && !before(i) ? [edge(i, true)] : []));
  const closes = free.flatMap((here, i) => (!here && before(i) ? [edge(i, false)] : []));
  return opens
    .map((from): Stretch => {
      const to = Math.min(...closes.map((close) => (close > from ? close : close + 1)));
      return bound.keeps > 0 ? { bound, from, to } : { bound, from: to, to: from };
    })
    .filter(({ from, to }) => apart(bound.at(from), bound.at(to)) > SHORT);
}

/** True arcs along a stretch; the way it runs is taken from neighbors a hair to both sides. */
function arcsOf({ bound, from, to }: Stretch): readonly PathCorner[] {
  const hair = 1e-6 * Math.sign(to - from);
  return arcsAlong((t) => {
    const turn = from + (to - from) * t;
    const [p, q] = [bound.at(turn - hair), bound.at(turn + hair)];
    return { at: bound.at(turn), along: [q[0] - p[0], q[1] - p[1]] };
  }, PLATE_ARC);
}

const apart = (p: Vec2, q: Vec2): Mm => Math.hypot(p[0] - q[0], p[1] - q[1]);

const nothingOpen = (spec: FillerPlate): Problem => ({
  code: 'plate/nothing-open',
  severity: 'warning',
  path: spec.path,
  message: `plate "${spec.name}": the legs of "${spec.merge}" cover the start of its trunk; there is nothing to fill`,
  hint: 'take the filler away',
});
