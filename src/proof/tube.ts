import { type Centerline, centerlineFrom, frameAt, type RunStep, type Segment } from '../geometry/centerline.ts';
import { type Beside, besideCenterline, type SweptSolid, solidDistance } from '../geometry/distance.ts';
import { type Section, tightestArc } from '../geometry/section.ts';
import { taperSection } from '../geometry/taper.ts';
import { EDGE_DEVIATION, SAME_PLACE } from '../geometry/tolerance.ts';
import { isTapered, sectionAt, type TubeShape } from '../geometry/tube-shape.ts';
import { dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import type { HeldTube } from '../tooling/tool.ts';
import type { Body } from './nearest.ts';

/** The actual tube as it lies in a part: stock from `from` to `to` along the member, straight past its drawn ends. */
export interface Tube {
  /** The whole member. */
  readonly member: TubeShape;
  /** Section at `from`, and the centerline from there. */
  readonly section: Section;
  readonly line: Centerline;
  readonly from: Mm;
  readonly to: Mm;
  /** Planes its ends are cut on; their normals lead away from the tube. */
  readonly ends: readonly Plane[];
  /** The same tube carried on past its two ends, and the member's s where it starts: for distances square to it. */
  readonly long: SweptSolid;
  readonly longFrom: Mm;
}

/** How far the tube is carried on to measure beside its ends: more than a bore reaches past them. */
const PAST_END: Mm = 40;

export function tubeOf({ member, from, to, ends = [] }: HeldTube): Tube {
  const { centerline } = member;
  const longFrom = from - PAST_END;
  const long = { section: sectionAt(member, longFrom), centerline: clipped(centerline, longFrom, to + PAST_END) };
  const line = clipped(centerline, from, to);
  return { member, section: sectionAt(member, from), line, from, to, ends, long, longFrom };
}

/** The tube as it lies in a part, as a shape of its own. */
export const shapeOf = ({ section, line }: Tube): TubeShape => ({ section, centerline: line });

/** The stretch of a centerline between two arc lengths, either of which may lie past its drawn ends. */
export function clipped(line: Centerline, from: Mm, to: Mm): Centerline {
  const steps: RunStep[] = [];
  const add = (step: RunStep): void => {
    const last = steps.at(-1);
    // A straight goes on: one segment, not three.
    if (last?.kind === 'straight' && step.kind === 'straight')
      steps[steps.length - 1] = { kind: 'straight', length: last.length + step.length };
    else steps.push(step);
  };
  const before = Math.min(to, 0) - from;
  if (before > 0) add({ kind: 'straight', length: before });
  for (const segment of line.segments) {
    const low = Math.max(from, segment.s0);
    const high = Math.min(to, segment.s0 + segment.length);
    if (high - low > SAME_PLACE) add(stretchOf(segment, high - low, low - segment.s0));
  }
  const after = to - Math.max(from, line.length);
  if (after > 0) add({ kind: 'straight', length: after });
  return centerlineFrom(frameAt(line, from), steps);
}

/** So much of a segment, as a step; of a taper from a place in it on. */
export function stretchOf(segment: Segment, length: Mm, from: Mm = 0): RunStep {
  const share = length / segment.length;
  if (segment.kind === 'straight') return { kind: 'straight', length };
  if (segment.kind === 'taper') {
    const sections = { from: taperSection(segment, from), to: taperSection(segment, from + length) };
    return { kind: 'taper', length, ...sections, shift: [segment.shift[0] * share, segment.shift[1] * share] };
  }
  const { clr, bendAngleDeg, towardDeg } = segment;
  return { kind: 'bend', clr, bendAngleDeg: bendAngleDeg * share, towardDeg };
}

/** Place beside the tube, s counted along the member. */
export function besideTube(tube: Tube, p: Vec3): Beside {
  const { s, a, b, past } = besideCenterline(tube.long.centerline, tube.long.section, p);
  return { s: s + tube.longFrom, a, b, past };
}

/** A point counts when it lies beside the tube, not at its end: the end stands on the datum face, which is measured as such. */
export function isBeside(tube: Tube, p: Vec3): boolean {
  const { s } = besideTube(tube, p);
  return s > tube.from + EDGE_DEVIATION && s < tube.to - EDGE_DEVIATION && withinEnds(tube, p, -EDGE_DEVIATION);
}

/** Whether a point lies on the tube's side of every plane that an end is cut on, by more than `-most`. */
export const withinEnds = ({ ends }: Tube, p: Vec3, most: Mm): boolean =>
  ends.every(({ point, normal }) => dot(sub(p, point), normal) < most);

/** The tube in place, as a body to keep clear of. */
export const tubeBody = (tube: Tube): Body => solidBody(tube.long, (p) => isBeside(tube, p));

/** A bar as a body; one of several segments is made up of them, unless tapers change its section on the way. */
export function solidBody(solid: SweptSolid, counts: Body['counts']): Body {
  const whole = { distance: (p: Vec3) => solidDistance(solid, p), counts };
  const { section, centerline } = solid;
  if (isTapered(solid)) return whole;
  const [first, ...others] = centerline.segments;
  if (others.length === 0) return { ...whole, ...bodyShape(solid) };
  const parts = [first!, ...others].map((segment): Body => {
    const alone = { section, centerline: { ...centerline, segments: [segment] } };
    return { distance: (p) => solidDistance(alone, p), counts, ...bodyShape(alone) };
  });
  return { ...whole, parts };
}

/** What is known of the outside of a tube whose section is the same all along: how round it is, and where a straight one goes. */
export function bodyShape(shape: TubeShape): Pick<Body, 'shape'> {
  if (isTapered(shape)) return {};
  const ball = tightestArc(shape.section);
  const [first, second] = shape.centerline.segments;
  if (first?.kind !== 'straight' || second) return { shape: { ball } };
  const { heading, origin } = first.start;
  const from = dot(origin, heading);
  return { shape: { ball, bar: { heading, from, to: from + first.length } } };
}
