import { arcsAlong } from './arc-fit.ts';
import { type FlatLoop, type PathCorner, tidyLoop } from './flat-path.ts';
import { PLATE_ARC, SAME_PLACE } from './tolerance.ts';
import type { Vec2 } from './vector.ts';

/** Two steps that turn by more than this (its cosine, 20 deg) meet in a corner: samples of a smooth edge lie far closer. */
const CORNER_COSINE = 0.94;

/**
 * Closed outline through points that lie close on it, as lines and true arcs within a two-hundredth of a millimeter.
 * Between corners the way of the curve at a point is that of the circle through it and its neighbors.
 */
export function loopThrough(given: readonly Vec2[]): FlatLoop {
  const points = given.filter((p, i) => apart(p, given[(i + 1) % given.length]!) > SAME_PLACE);
  const n = points.length;
  const at = (i: number): Vec2 => points[((i % n) + n) % n]!;
  const isCorner = points.map((p, i) => cosine(minus(p, at(i - 1)), minus(at(i + 1), p)) < CORNER_COSINE);
  const corners = isCorner.flatMap((corner, i) => (corner ? [i] : []));
  const starts = corners.length > 0 ? corners : [0];
  return tidyLoop(
    starts.flatMap((from, k) => {
      const to = starts[k + 1] ?? starts[0]! + n;
      const run = Array.from({ length: to - from + 1 }, (_, i) => at(from + i));
      return smoothArcs(run, corners.length === 0);
    }),
  );
}

/** Arcs along a smooth run of points; a closed one has no ends. */
function smoothArcs(run: readonly Vec2[], closed: boolean): readonly PathCorner[] {
  const last = run.length - 1;
  const ways = run.map((p, i): Vec2 => {
    const before = i > 0 ? run[i - 1] : closed ? run[last - 1] : undefined;
    const after = i < last ? run[i + 1] : closed ? run[1] : undefined;
    if (before && after) return throughThree(before, p, after);
    // At a corner the first step says the way, turned on as the second goes on from it.
    const [q, r] = i === 0 ? [run[1]!, run[2]] : [run[last - 1]!, run[last - 2]];
    const step = i === 0 ? minus(q, p) : minus(p, q);
    if (!r) return step;
    const next = i === 0 ? throughThree(p, q, r) : throughThree(r, q, p);
    return mirrored(next, step);
  });
  const ends = [0];
  for (let i = 1; i < run.length; i++) ends.push(ends[i - 1]! + apart(run[i - 1]!, run[i]!));
  return arcsAlong((t) => {
    const along = t * ends[last]!;
    let i = ends.findIndex((end) => end >= along) - 1;
    i = Math.max(0, Math.min(last - 1, i));
    const share = (along - ends[i]!) / (ends[i + 1]! - ends[i]!);
    return hermite(run[i]!, run[i + 1]!, { from: ways[i]!, to: ways[i + 1]!, t: Math.max(0, Math.min(1, share)) });
  }, PLATE_ARC);
}

/** Cubic between two points with the ways it leaves and comes in, each as long as the step. */
function hermite(
  p: Vec2,
  q: Vec2,
  { from, to, t }: { readonly from: Vec2; readonly to: Vec2; readonly t: number },
): { readonly at: Vec2; readonly along: Vec2 } {
  const step = apart(p, q);
  const [a, b] = [scaled(from, step), scaled(to, step)];
  const mix = (k: 0 | 1, w: readonly [number, number, number, number]): number =>
    w[0] * p[k] + w[1] * a[k] + w[2] * q[k] + w[3] * b[k];
  const at = [2 * t ** 3 - 3 * t ** 2 + 1, t ** 3 - 2 * t ** 2 + t, -2 * t ** 3 + 3 * t ** 2, t ** 3 - t ** 2] as const;
  const slope = [6 * t ** 2 - 6 * t, 3 * t ** 2 - 4 * t + 1, -6 * t ** 2 + 6 * t, 3 * t ** 2 - 2 * t] as const;
  return { at: [mix(0, at), mix(1, at)], along: [mix(0, slope), mix(1, slope)] };
}

/** Way of the circle through three points at the middle one: each step weighed by the other's length. */
function throughThree(p: Vec2, q: Vec2, r: Vec2): Vec2 {
  const [u, v] = [minus(q, p), minus(r, q)];
  const [a, b] = [apart(p, q), apart(q, r)];
  return scaled([(u[0] * b) / a + (v[0] * a) / b, (u[1] * b) / a + (v[1] * a) / b], 1);
}

/** A way mirrored on a step: what it was at the step's other end, if the step is the chord of an arc. */
function mirrored(way: Vec2, step: Vec2): Vec2 {
  const k = (2 * (way[0] * step[0] + way[1] * step[1])) / (step[0] ** 2 + step[1] ** 2);
  return [k * step[0] - way[0], k * step[1] - way[1]];
}

const minus = (p: Vec2, q: Vec2): Vec2 => [p[0] - q[0], p[1] - q[1]];
const apart = (p: Vec2, q: Vec2): number => Math.hypot(p[0] - q[0], p[1] - q[1]);
const cosine = (p: Vec2, q: Vec2): number => (p[0] * q[0] + p[1] * q[1]) / (Math.hypot(...p) * Math.hypot(...q));

/** The vector with the length given. */
const scaled = (p: Vec2, to: number): Vec2 => {
  const k = to / Math.hypot(p[0], p[1]);
  return [p[0] * k, p[1] * k];
};
