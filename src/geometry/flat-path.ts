import { SAME_ARC, SAME_PLACE } from './tolerance.ts';
import type { Mm, Vec2 } from './vector.ts';

/** Closed outline of a plate, of straight lines and true arcs, or a whole circle: what a profile cutter follows. */
export type FlatLoop = CircleLoop | PathLoop;

export interface CircleLoop {
  readonly kind: 'circle';
  readonly center: Vec2;
  readonly radius: Mm;
}

export interface PathLoop {
  readonly kind: 'path';
  /** Counterclockwise; the last corner leads back to the first. */
  readonly corners: readonly PathCorner[];
}

/** A corner and how the path goes on from it: bulge = tan(turn / 4), 0 for a line, positive where it turns left. */
export interface PathCorner {
  readonly at: Vec2;
  readonly bulge: number;
}

/** Circle through the ends of an arc: center, radius and the turn, radians, positive to the left. */
export function arcOf(
  from: Vec2,
  to: Vec2,
  bulge: number,
): { readonly center: Vec2; readonly radius: Mm; readonly turn: number } {
  const turn = 4 * Math.atan(bulge);
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const chord = Math.hypot(dx, dy);
  const rise = (chord / 2) * ((1 - bulge * bulge) / (2 * bulge));
  return {
    center: [(from[0] + to[0]) / 2 - (dy / chord) * rise, (from[1] + to[1]) / 2 + (dx / chord) * rise],
    radius: Math.abs((chord * (1 + bulge * bulge)) / (4 * bulge)),
    turn,
  };
}

const cornerPairs = ({ corners }: PathLoop): readonly (readonly [PathCorner, PathCorner])[] =>
  corners.map((corner, i) => [corner, corners[(i + 1) % corners.length]!]);

/** Area inside, mm^2: the polygon of the corners and the segments of its arcs, exact; negative where it runs clockwise. */
export function loopArea(loop: FlatLoop): number {
  if (loop.kind === 'circle') return Math.PI * loop.radius ** 2;
  return cornerPairs(loop).reduce((sum, [p, q]) => {
    const triangle = (p.at[0] * q.at[1] - q.at[0] * p.at[1]) / 2;
    if (p.bulge === 0) return sum + triangle;
    const { radius, turn } = arcOf(p.at, q.at, p.bulge);
    return sum + triangle + (radius * radius * (turn - Math.sin(turn))) / 2;
  }, 0);
}

/** Length round the loop, mm. */
export function loopLength(loop: FlatLoop): Mm {
  if (loop.kind === 'circle') return 2 * Math.PI * loop.radius;
  return cornerPairs(loop).reduce((sum, [p, q]) => {
    if (p.bulge === 0) return sum + Math.hypot(q.at[0] - p.at[0], q.at[1] - p.at[1]);
    const { radius, turn } = arcOf(p.at, q.at, p.bulge);
    return sum + radius * Math.abs(turn);
  }, 0);
}

/** Points along the loop, counterclockwise, its chords within the tolerance; corners are kept. */
export function loopPoints(loop: FlatLoop, tolerance: Mm): readonly Vec2[] {
  if (loop.kind === 'circle') return arcPoints(loop.center, loop.radius, { from: 0, turn: 2 * Math.PI, tolerance });
  return cornerPairs(loop).flatMap(([p, q]) => {
    if (p.bulge === 0) return [p.at];
    const { center, radius, turn } = arcOf(p.at, q.at, p.bulge);
    const from = Math.atan2(p.at[1] - center[1], p.at[0] - center[0]);
    return [p.at, ...arcPoints(center, radius, { from, turn, tolerance }).slice(1)];
  });
}

function arcPoints(
  center: Vec2,
  radius: Mm,
  { from, turn, tolerance }: { readonly from: number; readonly turn: number; readonly tolerance: Mm },
): readonly Vec2[] {
  const step = 2 * Math.acos(Math.max(0, 1 - tolerance / Math.max(radius, tolerance)));
  const steps = Math.max(2, Math.ceil(Math.abs(turn) / step));
  return Array.from({ length: steps }, (_, k): Vec2 => {
    const t = from + (turn * k) / steps;
    return [center[0] + radius * Math.cos(t), center[1] + radius * Math.sin(t)];
  });
}

export interface FlatBounds {
  readonly min: Vec2;
  readonly max: Vec2;
}

/** Smallest upright box round the loops, exact. */
export function boundsOfLoops(loops: readonly FlatLoop[]): FlatBounds {
  const points = loops.flatMap(extremes);
  const on = (k: 0 | 1): readonly number[] => points.map((p) => p[k]);
  return { min: [Math.min(...on(0)), Math.min(...on(1))], max: [Math.max(...on(0)), Math.max(...on(1))] };
}

function extremes(loop: FlatLoop): readonly Vec2[] {
  const round = (center: Vec2, radius: Mm): readonly Vec2[] =>
    (
      [
        [1, 0],
        [0, 1],
        [-1, 0],
        [0, -1],
      ] as const
    ).map(([x, y]): Vec2 => [center[0] + radius * x, center[1] + radius * y]);
  if (loop.kind === 'circle') return round(loop.center, loop.radius);
  return cornerPairs(loop).flatMap(([p, q]) => {
    if (p.bulge === 0) return [p.at];
    const { center, radius, turn } = arcOf(p.at, q.at, p.bulge);
    const from = Math.atan2(p.at[1] - center[1], p.at[0] - center[0]);
    const passed = round(center, radius).filter((_, k) => {
      const ahead = Math.sign(turn) * ((k * Math.PI) / 2 - from);
      return ((ahead % (2 * Math.PI)) + 2 * Math.PI) % (2 * Math.PI) < Math.abs(turn);
    });
    return [p.at, ...passed];
  });
}

/** The loop run through counterclockwise, with pieces of one line or one circle made one, and all round one circle a circle. */
export function tidyLoop(corners: readonly PathCorner[]): FlatLoop {
  const kept = corners.filter((corner, i) => apart(corner.at, corners[(i + 1) % corners.length]!.at));
  const forward = loopArea({ kind: 'path', corners: kept }) < 0 ? reversed(kept) : kept;
  return joined(forward);
}

const apart = (p: Vec2, q: Vec2): boolean => Math.hypot(q[0] - p[0], q[1] - p[1]) > SAME_PLACE;

const reversed = (corners: readonly PathCorner[]): readonly PathCorner[] =>
  corners.map((_, i) => {
    const back = (corners.length - i) % corners.length;
    return { at: corners[back]!.at, bulge: -corners[(back + corners.length - 1) % corners.length]!.bulge };
  });

function joined(corners: readonly PathCorner[]): FlatLoop {
  const whole = wholeCircle(corners);
  if (whole) return whole;
  // Begin at a corner where the path changes, so that no run of one arc goes over the seam.
  const first = corners.findIndex((_, i) => !goesOn(corners, (i + corners.length - 1) % corners.length));
  const turned = first <= 0 ? corners : [...corners.slice(first), ...corners.slice(0, first)];
  const out: PathCorner[] = [];
  for (let i = 0; i < turned.length; i++) {
    const last = out.at(-1);
    const here = turned[i]!;
    const merged = last && i > 0 && goesOn(turned, i - 1) ? Math.atan(last.bulge) + Math.atan(here.bulge) : undefined;
    // Half a turn is as much as one arc of a path holds well.
    if (last && merged !== undefined && Math.abs(merged) <= Math.PI / 4 + 1e-9)
      out[out.length - 1] = { at: last.at, bulge: Math.tan(merged) };
    else out.push(here);
  }
  return { kind: 'path', corners: out };
}

/** Whether piece i and the one after it lie on one line or one circle. */
function goesOn(corners: readonly PathCorner[], i: number): boolean {
  const [p, q, r] = [0, 1, 2].map((k) => corners[(i + k) % corners.length]!) as [PathCorner, PathCorner, PathCorner];
  if (p.bulge === 0 || q.bulge === 0) {
    if (p.bulge !== q.bulge) return false;
    const [ax, ay, bx, by] = [q.at[0] - p.at[0], q.at[1] - p.at[1], r.at[0] - q.at[0], r.at[1] - q.at[1]];
    return Math.abs(ax * by - ay * bx) <= SAME_ARC * Math.hypot(ax, ay) && ax * bx + ay * by > 0;
  }
  const [first, second] = [arcOf(p.at, q.at, p.bulge), arcOf(q.at, r.at, q.bulge)];
  return (
    Math.sign(first.turn) === Math.sign(second.turn) &&
    Math.abs(first.radius - second.radius) <= SAME_ARC &&
    Math.hypot(first.center[0] - second.center[0], first.center[1] - second.center[1]) <= SAME_ARC
  );
}

function wholeCircle(corners: readonly PathCorner[]): CircleLoop | undefined {
  if (corners.length < 2 || !corners.every((corner, i) => corner.bulge !== 0 && goesOn(corners, i))) return undefined;
  const { center, radius } = arcOf(corners[0]!.at, corners[1]!.at, corners[0]!.bulge);
  return { kind: 'circle', center, radius };
}
