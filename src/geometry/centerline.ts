import { cosd, sind, toRadians } from './angle.ts';
import { type Frame, mirrorFrame, moveFrame, rotateFrame } from './frame.ts';
import type { Section } from './section.ts';
import { add, along, cross, type Deg, type Mm, scale, type Vec2, type Vec3 } from './vector.ts';

/**
 * Axis of a member: straights, bends and tapers, each carrying the frame it starts with; `s` is arc length from the start
 * (along an eccentric taper it is counted along the heading, square to its sections).
 */
export interface Centerline {
  readonly segments: readonly Segment[];
  readonly length: Mm;
  readonly end: Frame;
}

export type Segment = StraightSegment | BendSegment | TaperSegment;

interface SegmentBase {
  readonly start: Frame;
  readonly end: Frame;
  /** Arc length at the segment's start. */
  readonly s0: Mm;
  readonly length: Mm;
  /** Section of the tube here where a taper before has changed it. */
  readonly section?: Section;
}

export interface StraightSegment extends SegmentBase {
  readonly kind: 'straight';
}

export interface BendSegment extends SegmentBase {
  readonly kind: 'bend';
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  /** Side it turns to, degrees clockwise from up, looking along the heading. */
  readonly towardDeg: Deg;
  readonly center: Vec3;
  /** The heading turns about this axis, counterclockwise seen against it. */
  readonly axis: Vec3;
  /** Unit, from the centerline's start to the center. */
  readonly toward: Vec3;
  /** Set where the turn is not bent but welded up of straight pieces. */
  readonly elbow?: WeldedTurn;
  /** What was asked of the bender, where the bend was measured. */
  readonly nominal?: NominalBend;
}

/** A bend as it was meant to be, where it came out a little different. */
export interface NominalBend {
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
}

/** A segmented elbow: how many welds it has, and the gap left at each. */
export interface WeldedTurn {
  readonly welds: number;
  readonly gap: Mm;
}

/** A ruled loft: the hull of two sections in parallel planes, its axis moved by `shift` (right, up) where it is eccentric. */
export interface TaperSegment extends SegmentBase {
  readonly kind: 'taper';
  readonly from: Section;
  readonly to: Section;
  readonly shift: Vec2;
}

export type RunStep =
  | { readonly kind: 'straight'; readonly length: Mm }
  | Pick<TaperSegment, 'kind' | 'length' | 'from' | 'to' | 'shift'>
  | {
      readonly kind: 'bend';
      readonly clr: Mm;
      readonly bendAngleDeg: Deg;
      readonly towardDeg: Deg;
      readonly elbow?: WeldedTurn;
      readonly nominal?: NominalBend;
    };

/** The side named by degrees clockwise from up, looking along the heading. */
export const sideOf = (frame: Frame, deg: Deg): Vec3 => add(scale(frame.up, cosd(deg)), scale(frame.right, sind(deg)));

/** Carry a frame through straights and bends; the witness line turns with the tube, never about it. */
export function centerlineFrom(start: Frame, steps: readonly RunStep[]): Centerline {
  const segments: Segment[] = [];
  let frame = start;
  let s0 = 0;
  let section: Section | undefined;
  for (const step of steps) {
    const segment = segmentFrom(frame, s0, step);
    segments.push(section && step.kind !== 'taper' ? { ...segment, section } : segment);
    s0 += segment.length;
    frame = segment.end;
    if (step.kind === 'taper') section = step.to;
  }
  return { segments, length: s0, end: frame };
}

function segmentFrom(start: Frame, s0: Mm, step: RunStep): Segment {
  if (step.kind === 'straight') {
    return {
      kind: 'straight',
      start,
      end: moveFrame(start, scale(start.heading, step.length)),
      s0,
      length: step.length,
    };
  }
  if (step.kind === 'taper') return { ...step, start, end: moveFrame(start, taperStep(start, step, step.length)), s0 };
  const toward = sideOf(start, step.towardDeg);
  const center = along(start.origin, toward, step.clr);
  const axis = cross(start.heading, toward);
  const end = rotateFrame(start, { point: center, axis, deg: step.bendAngleDeg });
  return { ...step, start, end, s0, length: step.clr * toRadians(step.bendAngleDeg), center, axis, toward };
}

/** From a taper's start to its axis t mm on. */
const taperStep = (
  { right, up, heading }: Frame,
  { shift, length }: Pick<TaperSegment, 'shift' | 'length'>,
  t: Mm,
): Vec3 => along(along(scale(heading, t), right, (shift[0] * t) / length), up, (shift[1] * t) / length);

/** Frame at t mm into the segment (t may lie outside it: the straight or the circle goes on). */
export function segmentFrame(segment: Segment, t: Mm): Frame {
  if (t === 0) return segment.start;
  if (t === segment.length) return segment.end;
  if (segment.kind === 'straight') return moveFrame(segment.start, scale(segment.start.heading, t));
  if (segment.kind === 'taper') return moveFrame(segment.start, taperStep(segment.start, segment, t));
  return rotateFrame(segment.start, {
    point: segment.center,
    axis: segment.axis,
    deg: (t / segment.length) * segment.bendAngleDeg,
  });
}

/** Frame at arc length s; before the start and past the end the tube goes on straight. */
export function frameAt(line: Centerline, s: Mm): Frame {
  const first = line.segments[0];
  if (!first || s <= 0)
    return moveFrame(first?.start ?? line.end, scale((first?.start ?? line.end).heading, Math.min(s, 0)));
  if (s >= line.length) return moveFrame(line.end, scale(line.end.heading, s - line.length));
  return segmentFrame(segmentAt(line, s), s - segmentAt(line, s).s0);
}

/** The segment that holds s; at a joint of two, the one that starts there. */
export function segmentAt(line: Centerline, s: Mm): Segment {
  const segments = line.segments;
  for (let i = segments.length - 1; i > 0; i--) if (s >= segments[i]!.s0) return segments[i]!;
  if (!segments[0]) throw new Error('internal: centerline without segments');
  return segments[0];
}

/** The straight that a member's axis means where nothing else is said; the first segment of one that is all bends. */
export function longestStraight(line: Centerline): Segment {
  const straights = line.segments.filter((segment) => segment.kind === 'straight');
  const longest = straights.reduce<Segment | undefined>(
    (best, x) => (best && best.length >= x.length ? best : x),
    undefined,
  );
  const found = longest ?? line.segments[0];
  if (!found) throw new Error('internal: centerline without segments');
  return found;
}

/** Point at (right, up) = (a, b) beside the centerline. */
export function besideAt(line: Centerline, s: Mm, a: Mm, b: Mm): Vec3 {
  const segment = segmentAt(line, s);
  if (segment.kind === 'bend' && s > 0 && s < line.length) return besideBend(segment, s - segment.s0, a, b);
  const past = s >= line.length;
  const t = past ? s - line.length : s - segment.s0;
  if (segment.kind === 'taper' && !past && s > 0) {
    const k = t / segment.length;
    return besideFrameAt(segment.start, t, [a + segment.shift[0] * k, b + segment.shift[1] * k]);
  }
  return besideFrameAt(past ? line.end : segment.start, t, [a, b]);
}

const besideFrameAt = ({ origin, right, up, heading }: Frame, t: Mm, [a, b]: Vec2): Vec3 => [
  origin[0] + right[0] * a + up[0] * b + heading[0] * t,
  origin[1] + right[1] * a + up[1] * b + heading[1] * t,
  origin[2] + right[2] * a + up[2] * b + heading[2] * t,
];

/** In a bend the generator is an arc about the bend's axis: its start carried round by t / clr. */
function besideBend(bend: BendSegment, t: Mm, a: Mm, b: Mm): Vec3 {
  const deg = (t / bend.length) * bend.bendAngleDeg;
  const cos = cosd(deg);
  const sin = sind(deg);
  const sinSide = sind(bend.towardDeg);
  const cosSide = cosd(bend.towardDeg);
  const out = bend.clr - (a * sinSide + b * cosSide);
  const rise = a * cosSide - b * sinSide;
  const { center, toward, axis } = bend;
  const { heading } = bend.start;
  const back = -out * cos;
  const on = out * sin;
  return [
    center[0] + toward[0] * back + heading[0] * on + axis[0] * rise,
    center[1] + toward[1] * back + heading[1] * on + axis[1] * rise,
    center[2] + toward[2] * back + heading[2] * on + axis[2] * rise,
  ];
}

/** How fast a line at (a, b) beside the centerline runs at s: 1 on a straight, (clr - offset to the inside)/clr in a bend. */
export function generatorSpeed(line: Centerline, s: Mm, a: Mm, b: Mm): number {
  if (s < 0 || s >= line.length || line.segments.length === 0) return 1;
  const segment = segmentAt(line, s);
  if (segment.kind !== 'bend') return 1;
  return 1 - (a * sind(segment.towardDeg) + b * cosd(segment.towardDeg)) / segment.clr;
}

/** The same centerline elsewhere. */
export const moved = (line: Centerline, step: Vec3): Centerline =>
  centerlineFrom(moveFrame(line.segments[0]?.start ?? line.end, step), line.segments.map(stepOf));

/** The same centerline with straights of the given lengths added before and after. */
export function extended(line: Centerline, before: Mm, after: Mm): Centerline {
  const steps: RunStep[] = line.segments.map(stepOf);
  const first = line.segments[0]?.start ?? line.end;
  const start = moveFrame(first, scale(first.heading, -before));
  return centerlineFrom(start, [
    ...(before > 0 ? [{ kind: 'straight', length: before } as const] : []),
    ...steps,
    ...(after > 0 ? [{ kind: 'straight', length: after } as const] : []),
  ]);
}

export function stepOf(segment: Segment): RunStep {
  const { length } = segment;
  if (segment.kind === 'straight') return { kind: 'straight', length };
  if (segment.kind === 'taper')
    return { kind: 'taper', length, from: segment.from, to: segment.to, shift: segment.shift };
  const { clr, bendAngleDeg, towardDeg, elbow, nominal } = segment;
  return {
    kind: 'bend',
    clr,
    bendAngleDeg,
    towardDeg,
    ...(elbow ? { elbow } : {}),
    ...(nominal ? { nominal } : {}),
  };
}

/** Mirror image across a plane; a bend to the right becomes one to the left, and so does an eccentric taper. */
export function mirrored(line: Centerline, plane: { readonly point: Vec3; readonly normal: Vec3 }): Centerline {
  const start = mirrorFrame(line.segments[0]?.start ?? line.end, plane);
  return centerlineFrom(
    start,
    line.segments.map(stepOf).map((step): RunStep => {
      if (step.kind === 'bend') return { ...step, towardDeg: (360 - step.towardDeg) % 360 };
      return step.kind === 'taper' ? { ...step, shift: [-step.shift[0] + 0, step.shift[1]] } : step;
    }),
  );
}
