import type { BendSegment } from '../geometry/centerline.ts';
import type { SweptSolid } from '../geometry/distance.ts';
import { sectionReach } from '../geometry/section.ts';
import { GRAZE, TOUCH } from '../geometry/tolerance.ts';
import { along, distance, dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import type { Stop } from './solution.ts';

/** A straight line: where it begins and its unit direction. */
export interface Ray {
  readonly from: Vec3;
  readonly heading: Vec3;
}

/**
 * Where a straight line first enters one of the stops, in closed form: planes, and round tubes wherever the line meets a
 * straight of theirs squarely enough. `t` is mm from the line's beginning. Undefined where no closed form is sure of it
 * (grazes, ends, bends, tapers, other sections, nothing met before `reach`): then it must be traced.
 */
export function firstEntry(
  stops: readonly Stop[],
  ray: Ray,
  reach: Mm,
): { readonly t: Mm; readonly stop: number } | undefined {
  let t = Number.POSITIVE_INFINITY;
  let first = 0;
  for (let i = 0; i < stops.length; i++) {
    const stop = stops[i]!;
    const entry = stop.kind === 'plane' ? planeEntry(stop, ray) : tubeEntry(stop.solid, stop.gap, ray);
    if (entry === undefined) return undefined;
    if (entry < t) {
      t = entry;
      first = i;
    }
  }
  return t <= reach ? { t, stop: first } : undefined;
}

/** mm of distance for each mm along the line; a plane that lies flatter than this to it is left to the trace to judge. */
const LEAST_FALL = 1e-3;

function planeEntry({ point, normal }: { readonly point: Vec3; readonly normal: Vec3 }, ray: Ray): Mm | undefined {
  const away = dot(sub(point, ray.from), normal);
  const fall = dot(ray.heading, normal);
  return away > TOUCH && fall > LEAST_FALL ? away / fall : undefined;
}

/** Infinite where the line passes the tube by. */
function tubeEntry(solid: SweptSolid, gap: Mm, ray: Ray): Mm | undefined {
  const { segments } = solid.centerline;
  let t = Number.POSITIVE_INFINITY;
  for (const segment of segments) {
    if (segment.kind === 'bend') continue;
    const section = segment.kind === 'straight' ? (segment.section ?? solid.section) : undefined;
    if (segment.kind !== 'straight' || section?.kind !== 'round') return undefined;
    const entry = cylinderEntry(segment, section.od / 2 + gap, { gap, ray });
    if (entry === undefined) return undefined;
    t = Math.min(t, entry);
  }
  for (const segment of segments) {
    if (segment.kind !== 'bend') continue;
    if (!passesBy(segment, { reach: sectionReach(segment.section ?? solid.section), gap }, { ray, t }))
      return undefined;
  }
  if (t === Number.POSITIVE_INFINITY) return t;
  // What is met must be there: not beyond a plane that cuts the tube off.
  const place = along(ray.from, ray.heading, t);
  const isThere = (solid.clips ?? []).every(({ point, normal }) => dot(sub(place, point), normal) < -GRAZE);
  return isThere ? t : undefined;
}

/** Whether the line as far as t is sure to stay clear of a bend: outside the ball round it, or before its beginning or past its end. */
function passesBy(
  bend: BendSegment,
  { reach, gap }: { readonly reach: Mm; readonly gap: Mm },
  { ray, t }: { readonly ray: Ray; readonly t: Mm },
): boolean {
  const room = gap + GRAZE;
  const away = sub(bend.center, ray.from);
  const nearest = Math.min(Math.max(0, dot(away, ray.heading)), t);
  if (distance(bend.center, along(ray.from, ray.heading, nearest)) > bend.clr + reach + room) return true;
  if (bend.bendAngleDeg > 180 || t === Number.POSITIVE_INFINITY) return false;
  const stretch = [ray.from, along(ray.from, ray.heading, t)];
  return (
    stretch.every((p) => dot(sub(bend.start.origin, p), bend.start.heading) > room) ||
    stretch.every((p) => dot(sub(p, bend.end.origin), bend.end.heading) > room)
  );
}

/** A quadratic in t: how far the line is from the cylinder's axis. */
function cylinderEntry(
  { start, length }: { readonly start: { readonly origin: Vec3; readonly heading: Vec3 }; readonly length: Mm },
  radius: Mm,
  { gap, ray }: { readonly gap: Mm; readonly ray: Ray },
): Mm | undefined {
  const away = sub(ray.from, start.origin);
  const [station, lead] = [dot(away, start.heading), dot(ray.heading, start.heading)];
  const across = 1 - lead * lead;
  if (!(dot(away, away) - station * station > radius * (radius + GRAZE) && across > LEAST_FALL)) return undefined;
  const nearest = (station * lead - dot(away, ray.heading)) / across;
  const beside = along(along(away, ray.heading, nearest), start.heading, -station - nearest * lead);
  const depth = radius * radius - dot(beside, beside);
  if (depth < -GRAZE * radius) return Number.POSITIVE_INFINITY;
  if (depth < GRAZE * radius) return undefined;
  const half = Math.sqrt(depth / across);
  if (nearest + half < 0) return Number.POSITIVE_INFINITY;
  const t = nearest - half;
  const [first, last] = [station + t * lead, station + (nearest + half) * lead];
  const past = gap + GRAZE;
  if (Math.max(first, last) < -past || Math.min(first, last) > length + past) return Number.POSITIVE_INFINITY;
  return t > 0 && first > GRAZE && first < length - GRAZE ? t : undefined;
}
