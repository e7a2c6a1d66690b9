import { cosd, sind } from './angle.ts';
import type { BendSegment, Centerline, Segment, StraightSegment, TaperSegment } from './centerline.ts';
import type { Frame } from './frame.ts';
import { type Section, sectionDistance, sectionReach } from './section.ts';
import { taperNearest } from './taper.ts';
import { distance, type Mm, type Vec2, type Vec3 } from './vector.ts';

/** A tube as a solid bar: a section carried along a centerline, square ends, cut off by planes (kept where dot <= 0). */
export interface SweptSolid {
  readonly section: Section;
  readonly centerline: Centerline;
  readonly clips?: readonly { readonly point: Vec3; readonly normal: Vec3 }[];
}

/** Place of a point beside a centerline: how far along, and (right, up) in the section there. */
export interface Beside {
  readonly s: Mm;
  readonly a: Mm;
  readonly b: Mm;
  /** How far past the square end of the segment it lies; 0 alongside. */
  readonly past: Mm;
}

/**
 * Signed distance from the outside of the bar, mm, negative inside. Exact outside for straights and bends (in a bend the
 * nearest surface point lies in the point's own radial plane); inside it is the distance within the section, which
 * has the right sign and is what a trace from outside needs. Clips make it a lower bound near their edges.
 */
export function solidDistance(solid: SweptSolid, p: Vec3): Mm {
  let nearest = Number.POSITIVE_INFINITY;
  for (const segment of solid.centerline.segments) {
    const d = segmentDistance(solid.section, segment, p, nearest);
    if (d < nearest) nearest = d;
  }
  for (const clip of solid.clips ?? []) {
    const n = clip.normal;
    const q = clip.point;
    const d = (p[0] - q[0]) * n[0] + (p[1] - q[1]) * n[1] + (p[2] - q[2]) * n[2];
    if (d > nearest) nearest = d;
  }
  return nearest;
}

function segmentDistance(base: Section, segment: Segment, p: Vec3, best: Mm): Mm {
  if (segment.kind === 'taper') return taperDistance(segment, p);
  const section = segment.section ?? base;
  if (segment.kind === 'straight') return straightDistance(section, segment, p);
  // Far from the whole bend neither its angle nor its caps need to be looked at.
  const far = distance(p, segment.center) - segment.clr - sectionReach(section);
  if (far > best) return far;
  const { angle, a, b } = aroundBend(segment, p);
  if (angle >= 0 && angle <= segment.bendAngleDeg) return sectionDistance(section, a, b);
  const first = capDistance(section, segment.start, p);
  const second = capDistance(section, segment.end, p);
  return Math.min(first, second);
}

function straightDistance(section: Section, segment: StraightSegment, p: Vec3): Mm {
  const { a, b, t } = besideFrame(segment.start, p);
  const past = Math.max(-t, t - segment.length, 0);
  const d = sectionDistance(section, a, b);
  return past === 0 ? d : beyond(d, past);
}

function taperDistance(taper: TaperSegment, p: Vec3): Mm {
  const { a, b, t } = besideFrame(taper.start, p);
  return taperNearest(taper, [a, b], t).distance;
}

/** Distance past a square end: straight out while alongside the section, else to its rim. */
const beyond = (d: Mm, past: Mm): Mm => (d > 0 ? Math.sqrt(d * d + past * past) : Math.abs(past));

/** Distance from the flat disk that the section fills in the frame's plane. */
function capDistance(section: Section, frame: Frame, p: Vec3): Mm {
  const { a, b, t } = besideFrame(frame, p);
  return beyond(sectionDistance(section, a, b), t);
}

function besideFrame(frame: Frame, p: Vec3): { a: Mm; b: Mm; t: Mm } {
  const { origin, right, up, heading } = frame;
  const x = p[0] - origin[0];
  const y = p[1] - origin[1];
  const z = p[2] - origin[2];
  return {
    a: x * right[0] + y * right[1] + z * right[2],
    b: x * up[0] + y * up[1] + z * up[2],
    t: x * heading[0] + y * heading[1] + z * heading[2],
  };
}

/** Angle into the bend (in (-180, 180], measured from the middle of the bend's gap) and the place in the section there. */
function aroundBend(bend: BendSegment, p: Vec3): { angle: number; a: Mm; b: Mm } {
  const x = p[0] - bend.center[0];
  const y = p[1] - bend.center[1];
  const z = p[2] - bend.center[2];
  const { toward, axis } = bend;
  const heading = bend.start.heading;
  const out = -(x * toward[0] + y * toward[1] + z * toward[2]);
  const on = x * heading[0] + y * heading[1] + z * heading[2];
  const rise = x * axis[0] + y * axis[1] + z * axis[2];
  const inward = bend.clr - Math.sqrt(out * out + on * on);
  let angle = (Math.atan2(on, out) * 180) / Math.PI;
  // The seam of the angle lies opposite the middle of the bend.
  if (angle < bend.bendAngleDeg / 2 - 180) angle += 360;
  const sin = sind(bend.towardDeg);
  const cos = cosd(bend.towardDeg);
  return { angle, a: inward * sin + rise * cos, b: inward * cos - rise * sin };
}

/** The place of p beside the nearest segment of the centerline (nearest by its distance from the section there). */
export const besideCenterline = (line: Centerline, section: Section, p: Vec3): Beside =>
  besideSegment(nearestSegment(line, section, p), p);

function nearestSegment(line: Centerline, section: Section, p: Vec3): Segment {
  const only = line.segments[0];
  if (only && line.segments.length === 1) return only;
  let best: Segment | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const segment of line.segments) {
    const d = segmentDistance(section, segment, p, Number.POSITIVE_INFINITY);
    if (d < least) {
      least = d;
      best = segment;
    }
  }
  if (!best) throw new Error('internal: centerline without segments');
  return best;
}

/** The place of p beside one segment; before and past it the segment goes on straight. */
export function besideSegment(segment: Segment, p: Vec3): Beside {
  if (segment.kind === 'bend') {
    const { angle, a, b } = aroundBend(segment, p);
    if (angle >= 0 && angle <= segment.bendAngleDeg)
      return { s: segment.s0 + (angle / segment.bendAngleDeg) * segment.length, a, b, past: 0 };
    const beyond = angle > segment.bendAngleDeg;
    const at = besideFrame(beyond ? segment.end : segment.start, p);
    return { s: segment.s0 + (beyond ? segment.length : 0) + at.t, a: at.a, b: at.b, past: Math.abs(at.t) };
  }
  const { a, b, t } = besideFrame(segment.start, p);
  const past = Math.max(-t, t - segment.length, 0);
  const s = segment.s0 + t;
  if (segment.kind === 'straight') return { s, a, b, past };
  const k = Math.max(0, Math.min(1, t / segment.length));
  return { s, a: a - segment.shift[0] * k, b: b - segment.shift[1] * k, past };
}

/** Nearest place of the tube's side: s along the centerline, the point's own place beside the axis there, and the outline's normal. */
export interface SidePlace {
  readonly segment: Segment;
  readonly s: Mm;
  readonly a: Mm;
  readonly b: Mm;
  /** Only along a taper, where it lies square to the side rather than to the axis. */
  readonly normal?: Vec2;
}

/** The place on the side of the nearest segment that lies square beneath a point. */
export function sidePlace(line: Centerline, section: Section, p: Vec3): SidePlace {
  const segment = nearestSegment(line, section, p);
  if (segment.kind !== 'taper') return { segment, ...besideSegment(segment, p) };
  const { a, b, t } = besideFrame(segment.start, p);
  const near = taperNearest(segment, [a, b], t);
  return { segment, s: segment.s0 + near.t, a: near.beside[0], b: near.beside[1], normal: near.normal };
}

/** Signed distance from the side alone, as if the nearest segment had no ends. */
export const sideDistance = ({ centerline, section }: SweptSolid, p: Vec3): Mm =>
  segmentSideDistance(nearestSegment(centerline, section, p), section, p);

/** The same of one segment; `section` is the tube's first. */
export function segmentSideDistance(segment: Segment, section: Section, p: Vec3): Mm {
  if (segment.kind === 'taper') return taperDistance(segment, p);
  const { a, b } = besideSegment(segment, p);
  return sectionDistance(segment.section ?? section, a, b);
}
