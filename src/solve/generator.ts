import { solidDistance } from '../geometry/distance.ts';
import { NEIGHBOR, NEIGHBOR_CUT } from '../geometry/tolerance.ts';
import { type Hit, traceFirst, traceNear } from '../geometry/trace.ts';
import { type Generator, generatorOf, isTapered, meanPerimeter, outlineOn, tubeReach } from '../geometry/tube-shape.ts';
import { type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { EndDefinition, Stop, Surface } from './solution.ts';
import { firstEntry } from './straight-entry.ts';

/** Signed distance from a stop: positive on the side where the body lies. */
export function stopDistance(stop: Stop, p: Vec3): Mm {
  if (stop.kind === 'solid') return solidDistance(stop.solid, p) - stop.gap;
  const { point, normal } = stop;
  return (point[0] - p[0]) * normal[0] + (point[1] - p[1]) * normal[1] + (point[2] - p[2]) * normal[2];
}

/** Result of one generator: where it is cut, by which stop, at which depth below the outside. */
export type GeneratorCut =
  | { readonly kind: 'cut'; readonly s: Mm; readonly stop: number; readonly depth: Mm; readonly touch: boolean }
  | Exclude<Hit, { kind: 'hit' }>;

/** How far beyond the drawn end a generator is followed: across the widest stop it could still meet at a flat angle. */
export function reachBeyond(end: EndDefinition): Mm {
  const own = 2 * tubeReach(end.member);
  const widest = Math.max(own, ...end.stops.map((stop) => (stop.kind === 'solid' ? 2 * tubeReach(stop.solid) : own)));
  return 20 * (own + widest);
}

/** Outward coordinate t (0 at the other end) to arc length s, and back: it is its own inverse. */
export const outward = (end: EndDefinition, x: Mm): Mm => (end.end === 'end' ? x : end.member.centerline.length - x);

/**
 * Follow the generator at u, `depth` below the outside, from the body of the member outward to the first stop.
 * Error below 1e-9 mm where the generator crosses the stop, below 1e-6 mm where it only touches. A touch ends the cut
 * where a neighboring generator is cut beside it by the same stop; where tubes only lie side by side it does not.
 * `from` (outward coordinate) skips the body before it: for generators between two whose cuts are known.
 */
export function traceGenerator(end: EndDefinition, u: number, depth: Mm, from?: Mm): GeneratorCut {
  const plain = plainCut(end, u, depth);
  if (plain) return plain;
  const own = generatorPath(end, u, depth, from);
  let neighbors: readonly { readonly t: Mm; readonly stop: number }[] | undefined;
  const counts = (t: Mm): boolean => {
    neighbors ??= neighborCuts(end, u, depth);
    return neighbors.some((cut) => Math.abs(cut.t - t) < NEIGHBOR_CUT && cut.stop === own.stopAt(t));
  };
  const hit = own.follow(counts);
  if (hit.kind !== 'hit') return hit;
  return { kind: 'cut', s: outward(end, hit.t), stop: own.stopAt(hit.t), depth, touch: hit.touch };
}

/** Where the generators a hair to either side cross a stop, outward. */
function neighborCuts(end: EndDefinition, u: number, depth: Mm): readonly { readonly t: Mm; readonly stop: number }[] {
  const hair = hairBeside(end, u, depth);
  return [u - hair, u + hair].flatMap((beside) => {
    const path = generatorPath(end, beside, depth);
    const hit = path.follow(() => false);
    return hit.kind === 'hit' ? [{ t: hit.t, stop: path.stopAt(hit.t) }] : [];
  });
}

/** How far in u the neighbors lie; on a flat of a taper that has shrunk to nothing they are one place until it is left. */
function hairBeside({ member }: EndDefinition, u: number, depth: Mm): number {
  let hair = NEIGHBOR / meanPerimeter(member);
  if (!isTapered(member)) return hair;
  const here = outlineOn(member, member.centerline.length, u, depth).point;
  for (; hair < 0.1; hair *= 2) {
    const there = outlineOn(member, member.centerline.length, u + hair, depth).point;
    if (Math.hypot(there[0] - here[0], there[1] - here[1]) > NEIGHBOR / 2) break;
  }
  return hair;
}

interface GeneratorPath {
  readonly follow: (counts: (t: Mm) => boolean) => Hit;
  /** Index of the stop nearest to the generator's point at t. */
  readonly stopAt: (t: Mm) => number;
}

const generatorPath = (end: EndDefinition, u: number, depth: Mm, from = 0): GeneratorPath =>
  pathAlong(end, generatorOf(end.member, u, depth), from);

/** Where a line along the tube first meets a stop, as s; undefined where it meets none. */
export function cutAlong(end: EndDefinition, line: Pick<Generator, 'pointAt' | 'speed'>): Mm | undefined {
  const hit = pathAlong(end, line, 0).follow(() => true);
  return hit.kind === 'hit' ? outward(end, hit.t) : undefined;
}

function pathAlong(end: EndDefinition, line: Pick<Generator, 'pointAt' | 'speed'>, from: Mm): GeneratorPath {
  const { centerline } = end.member;
  const { stops } = end;
  const pointAt = (t: Mm): Vec3 => line.pointAt(outward(end, t));
  const distanceAt = (t: Mm): Mm => {
    const p = pointAt(t);
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < stops.length; i++) {
      const d = stopDistance(stops[i]!, p);
      if (d < least) least = d;
    }
    return least;
  };
  const stopAt = (t: Mm): number => {
    const p = pointAt(t);
    const distances = stops.map((stop) => stopDistance(stop, p));
    return Math.max(0, distances.indexOf(Math.min(...distances)));
  };
  let clrLeast = Number.POSITIVE_INFINITY;
  for (const segment of centerline.segments) if (segment.kind === 'bend') clrLeast = Math.min(clrLeast, segment.clr);
  const first = from > 0 && distanceAt(from) > 0 ? from : 0;
  const range = {
    from: first,
    to: centerline.length + reachBeyond(end),
    speed: Math.max(line.speed, 1 + tubeReach(end.member) / clrLeast),
    leave: centerline.length,
  };
  return {
    follow: (counts) => {
      if (end.near === undefined) return traceFirst(distanceAt, { ...range, counts });
      return traceNear(distanceAt, outward(end, end.near), { ...range, counts });
    },
    stopAt,
  };
}

/** On one straight tube against planes and round tubes the cut has a closed form; undefined where it is not so plain. */
function plainCut(end: EndDefinition, u: number, depth: Mm): GeneratorCut | undefined {
  const { centerline } = end.member;
  const [straight, more] = centerline.segments;
  if (end.near !== undefined && (end.stops.length > 1 || end.stops[0]?.kind !== 'plane')) return undefined;
  if (straight?.kind !== 'straight' || more) return undefined;
  const { pointAt } = generatorOf(end.member, u, depth);
  const from = pointAt(outward(end, 0));
  const heading = scale(straight.start.heading, end.end === 'end' ? 1 : -1);
  const entry = firstEntry(end.stops, { from, heading }, centerline.length + reachBeyond(end));
  return entry && { kind: 'cut', s: outward(end, entry.t), stop: entry.stop, depth, touch: false };
}

/** The cut of one generator for a surface; `square` takes the depth in the wall that reaches farthest outward. */
export function cutAt(end: EndDefinition, u: number, surface: Surface, from?: Mm): GeneratorCut {
  const wall = end.member.section.wall;
  if (surface === 'outer' || end.outsideDecides) return traceGenerator(end, u, 0, from);
  if (surface === 'inner') return traceGenerator(end, u, wall, from);
  return longestOverWall(end, u, { wall, ...(from === undefined ? {} : { from }) });
}

/**
 * An edge cut square to the wall leaves no gap where it is as long as the longest of the wall: one of its two faces, or
 * inside it where the middle reaches farther than both (then by scan and golden section).
 */
function longestOverWall(
  end: EndDefinition,
  u: number,
  { wall, from }: { readonly wall: Mm; readonly from?: Mm },
): GeneratorCut {
  const faces = [0, 0.5, 1].map((k) => traceGenerator(end, u, k * wall, from));
  const reaches = faces.map((cut) => (cut.kind === 'cut' ? outward(end, cut.s) : Number.POSITIVE_INFINITY));
  if (reaches[1]! <= Math.max(reaches[0]!, reaches[2]!))
    return reaches[2]! > reaches[0]! + 1e-9 ? faces[2]! : faces[0]!;
  return longestInWall(end, u, wall);
}

function longestInWall(end: EndDefinition, u: number, wall: Mm): GeneratorCut {
  const cuts = [0, 0.25, 0.5, 0.75, 1].map((k) => traceGenerator(end, u, k * wall));
  const bad = cuts.find((cut) => cut.kind !== 'cut');
  if (bad) return bad;
  const reach = (cut: GeneratorCut): Mm => (cut.kind === 'cut' ? outward(end, cut.s) : Number.NEGATIVE_INFINITY);
  let best = 0;
  for (let i = 1; i < cuts.length; i++) if (reach(cuts[i]!) > reach(cuts[best]!) + 1e-9) best = i;
  if (best === 0 || best === cuts.length - 1) return cuts[best]!;
  let low = ((best - 1) / 4) * wall;
  let high = ((best + 1) / 4) * wall;
  const g = (Math.sqrt(5) - 1) / 2;
  let p = traceGenerator(end, u, high - g * (high - low));
  let q = traceGenerator(end, u, low + g * (high - low));
  for (let i = 0; i < 28; i++) {
    if (reach(p) > reach(q)) {
      high = low + g * (high - low);
      q = p;
      p = traceGenerator(end, u, high - g * (high - low));
    } else {
      low = high - g * (high - low);
      p = q;
      q = traceGenerator(end, u, low + g * (high - low));
    }
  }
  return [p, q, cuts[best]!].reduce((top, cut) => (reach(cut) > reach(top) ? cut : top));
}
