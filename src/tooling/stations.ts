import { acosd, cosd } from '../geometry/angle.ts';
import { type Centerline, centerlineFrom, frameAt, type Segment, segmentAt } from '../geometry/centerline.ts';
import { type Frame, frameFrom } from '../geometry/frame.ts';
import { facetsFor, outlineAt, type Section } from '../geometry/section.ts';
import {
  generatorOf,
  isTapered,
  sectionAt,
  sectionMarks,
  type TubeShape,
  tubeKinks,
  tubeReach,
} from '../geometry/tube-shape.ts';
import { steepest } from '../geometry/tube-surface.ts';
import { cross, dot, length, type Mm, unit, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Shop } from '../job/job.ts';
import type { HeldMember, HeldTube } from './tool.ts';

/** Room that facets need beyond a clearance: a faceted bore bows inward by the chord tolerance round the tube, and as much again along a bend. */
export const facetRoom = (chordTolerance: Mm): Mm => 2 * chordTolerance;

/**
 * Clearance of sleeves and cradles: what the shop asks for, and at most what their facets add to it. Round the ridge where a
 * taper begins, two walls of even room meet farther from it, by the secant of half its slope.
 */
export function slidingFit({ fit, chordTolerance }: Shop, member: HeldMember): HeldTube['clearance'] {
  const ridge = isTapered(member) ? 1 / cosd(acosd(1 / steepest(member)) / 2) : 1;
  const room = facetRoom(chordTolerance);
  return { least: fit.slide, most: (fit.slide + room) * ridge + room };
}

/** u all round: every kink, and as many between as keep the outline grown by `room` within the chord tolerance. */
export function outlineUs(tube: TubeShape, room: Mm, chordTolerance: Mm): readonly number[] {
  const kinks = tubeKinks(tube);
  return kinks.flatMap((from, i) => {
    const to = kinks[i + 1] ?? kinks[0]! + 1;
    return [from, ...usBetween(tube, { from, to }, { room, chordTolerance })].map((u) => u % 1);
  });
}

/** u strictly between two, so that the chords of the outline grown by `room` bow no more than the chord tolerance. */
export function usBetween(
  tube: TubeShape,
  span: { readonly from: number; readonly to: number },
  how: { readonly room: Mm; readonly chordTolerance: Mm },
): readonly number[] {
  const middle = (span.from + span.to) / 2;
  const lines = [span.from, span.to, middle].map((u) => generatorOf(tube, u % 1, -how.room));
  // Along a taper a chord's bow changes evenly: it is largest at one of the ends.
  const bows = sectionMarks(tube).some((s) => {
    const [p, q, m] = lines.map((line) => line.besideAt(s).point) as [Vec2, Vec2, Vec2];
    const chord = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const off = Math.hypot(m[0] - (p[0] + q[0]) / 2, m[1] - (p[1] + q[1]) / 2);
    return off > how.chordTolerance && chord >= 4 * how.chordTolerance;
  });
  if (!bows) return [];
  return [
    ...usBetween(tube, { from: span.from, to: middle }, how),
    middle,
    ...usBetween(tube, { from: middle, to: span.to }, how),
  ];
}

/** Arc lengths from one s to another: the ends, every tangent point between, and arcs within the chord tolerance. */
export function stationsBetween(
  member: HeldMember,
  range: { readonly from: Mm; readonly to: Mm },
  chordTolerance: Mm,
): readonly Mm[] {
  const low = Math.min(range.from, range.to);
  const high = Math.max(range.from, range.to);
  const line = member.centerline;
  const marks = [
    low,
    ...line.segments.flatMap((x) => [x.s0, x.s0 + x.length]).filter((s) => s > low + 1e-6 && s < high - 1e-6),
    high,
  ];
  const stations = marks.flatMap((from, i) => {
    const to = marks[i + 1];
    if (to === undefined) return [from];
    const middle = (from + to) / 2;
    const segment = middle < 0 || middle > line.length ? undefined : segmentAt(line, middle);
    if (segment?.kind !== 'bend') return [from];
    const around = facetsFor(segment.clr + tubeReach(member), chordTolerance);
    const steps = Math.max(1, Math.ceil(((to - from) / segment.clr / (2 * Math.PI)) * around));
    return Array.from({ length: steps }, (_, k) => from + ((to - from) * k) / steps);
  });
  const ordered = [...new Set(stations)];
  return range.from <= range.to ? ordered : ordered.reverse();
}

export const framesAt = (member: HeldMember, stations: readonly Mm[]): readonly Frame[] =>
  stations.map((s) => frameAt(member.centerline, s));

/** Section coordinates (right, up) as (across, out) for a tool whose sides stand along `out`. */
export function acrossOut(frame: Frame, out: Vec3): { readonly across: Vec3; readonly turn: (p: Vec2) => Vec2 } {
  const across = unit(cross(out, frame.heading));
  const square = unit(cross(frame.heading, across));
  return {
    across,
    turn: ([a, b]) => [
      a * dot(frame.right, across) + b * dot(frame.up, across),
      a * dot(frame.right, square) + b * dot(frame.up, square),
    ],
  };
}

/** Half extents about the axis of the tube's section at s: across and out. */
export const extentsAt = (tube: TubeShape, s: Mm, out: Vec3): { readonly across: Mm; readonly out: Mm } =>
  extentsOf(sectionAt(tube, s), frameAt(tube.centerline, s), out);

/** Half extents of a section about the axis: across and out. */
export function extentsOf(section: Section, frame: Frame, out: Vec3): { readonly across: Mm; readonly out: Mm } {
  const { turn } = acrossOut(frame, out);
  const points = outlineUs(bareTube(section), 0, 0.01).map((u) => turn(outlineAt(section, u).point));
  return {
    across: Math.max(...points.map((p) => Math.abs(p[0]))),
    out: Math.max(...points.map((p) => Math.abs(p[1]))),
  };
}

const NOWHERE: Centerline = centerlineFrom(frameFrom([0, 0, 0], [0, 0, 1]), []);

/** A section by itself, as a tube without length. */
export const bareTube = (section: Section): TubeShape => ({ section, centerline: NOWHERE });

/** A stretch of tube a rigid tool can lie along: one straight, or straights and bends that all lie in one plane. */
export interface Stretch {
  readonly from: Mm;
  readonly to: Mm;
}

/** Farthest stretch round s whose headings all stand square to `out`; the tube's straight continuation counts beyond its drawn ends. */
export function levelStretch(member: HeldMember, s: Mm, out: Vec3): Stretch {
  const { segments, length: whole } = member.centerline;
  const level = (segment: Segment): boolean => {
    const flat = Math.abs(dot(segment.start.heading, out)) < 1e-6;
    return flat && (segment.kind !== 'bend' || length(cross(segment.axis, out)) < 1e-6);
  };
  const here = segments.indexOf(segmentAt(member.centerline, Math.max(0, Math.min(whole, s))));
  // Over a tube that leans here there is no level stretch: the tool keeps to this one segment.
  const leans = !level(segments[here]!);
  let first = here;
  while (!leans && first > 0 && level(segments[first - 1]!)) first--;
  let last = here;
  while (!leans && last + 1 < segments.length && level(segments[last + 1]!)) last++;
  return {
    from: first === 0 ? Number.NEGATIVE_INFINITY : segments[first]!.s0,
    to: last === segments.length - 1 ? Number.POSITIVE_INFINITY : segments[last]!.s0 + segments[last]!.length,
  };
}
