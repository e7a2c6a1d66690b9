import { type Centerline, centerlineFrom, type Segment, segmentAt, segmentFrame } from '../geometry/centerline.ts';
import { besideCenterline, solidDistance } from '../geometry/distance.ts';
import { type Section, sectionReach } from '../geometry/section.ts';
import { CERTAINLY_CLEAR, EDGE_DEVIATION, OVERLAP_VOLUME } from '../geometry/tolerance.ts';
import { isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { type Mm, scale, sub } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import { intersectionVolume } from '../solid/evaluate.ts';
import type { Solid } from '../solid/expression.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { HeldTube } from '../tooling/tool.ts';
import type { Facets } from './facets.ts';
import type { Fit } from './fit.ts';
import { type Body, leastDistance, vertexDistances } from './nearest.ts';
import type { Measured } from './problem.ts';
import { shadowOf } from './shadow.ts';
import { clipped, isBeside, shapeOf, solidBody, stretchOf, type Tube } from './tube.ts';
import { eased, liftedTube, tubeAlong } from './tube-solids.ts';

interface Going {
  readonly kernel: Kernel;
  readonly tube: Tube;
  readonly held: HeldTube;
  readonly fit: Fit;
  readonly chordTolerance: Mm;
}

/** One way out: what the tube passes through on it, as a body to measure from where it is a simple one, and as a solid. */
interface WayOut {
  readonly body?: Body;
  /** Whether the tube lies on all of this way as it lies in place, as far as the part reaches. */
  readonly asInPlace?: boolean;
  readonly solid: () => Solid | undefined;
}

/**
 * Volume, mm^3, that the part shares with the actual tube in place and all the way in. Lifted: with everything the tube
 * passes through along the way out. Slid: with the straight or bend that the tool slides along, carried on as far as the
 * tool reaches, on the side it comes off; a straight and a bend move into themselves, so this is every position at once.
 * Where no face of the part comes near that body the volume is 0; else, or where it is no simple body, the kernel says.
 */
export function measureInsertion(facets: Facets, going: Going): Measured<number> {
  const { held, tube, fit } = going;
  const lifts = held.insertion.kind === 'lift';
  const ways = held.insertion.kind === 'lift' ? [lifted(facets, tube, held.insertion.out)] : slides(facets, tube, fit);
  if (fit.clearance.least > CERTAINLY_CLEAR && ways.some((way) => isClear(facets, way, going.chordTolerance)))
    return { value: 0, faults: [] };
  const overlap = Math.min(...ways.map((way) => sharedVolume(facets, way, going.kernel)));
  if (overlap <= OVERLAP_VOLUME) return { value: overlap, faults: [] };
  const hint = 'ask for two `parts`, or another kind of tool at this end';
  if (ways.length === 0) {
    const message = 'the tool lies across a bend and a straight, and cannot slide off over either end of the tube';
    return { value: 0, faults: [{ code: 'proof/overlap', message, hint }] };
  }
  const message = `the tube overlaps the tool by ${figure(overlap)} mm^3 ${lifts ? 'in place or on its way out' : 'on its way along it'}, limit ${OVERLAP_VOLUME} mm^3`;
  return {
    value: overlap,
    faults: [{ code: 'proof/overlap', message, hint, measured: overlap, limit: OVERLAP_VOLUME }],
  };
}

function isClear(facets: Facets, { body, asInPlace }: WayOut, chordTolerance: Mm): boolean {
  if (asInPlace) return true;
  if (!body) return false;
  const distances = vertexDistances(facets, body);
  return (
    leastDistance(facets, body, { distances, bow: 2 * chordTolerance, within: CERTAINLY_CLEAR }) >= CERTAINLY_CLEAR
  );
}

function sharedVolume(facets: Facets, way: WayOut, kernel: Kernel): number {
  const solid = way.solid();
  return solid ? intersectionVolume(kernel, facets.mesh, solid) : 0;
}

function lifted(facets: Facets, tube: Tube, out: Parameters<typeof shadowOf>[1]): WayOut {
  const body = shadowOf(tube, out);
  return { ...(body ? { body } : {}), solid: () => liftedTube(facets, tube, out) };
}

/** The segment a tool rides on, carried on past the tool, on each side where the tube ends with that segment. */
function slides(facets: Facets, tube: Tube, fit: Fit): readonly WayOut[] {
  const { reach } = fit;
  if (isTapered(shapeOf(tube))) return slidOffTaper(facets, tube, fit);
  const line = eased(tube);
  const first = Math.max(0, Math.min(line.length, reach.from - tube.from));
  const last = Math.max(0, Math.min(line.length, reach.to - tube.from));
  const more = 2 * sectionReach(tube.section) + 10;
  const [head, tail] = [line.segments[0], line.segments.at(-1)];
  const paths: { readonly path: Centerline; readonly asInPlace: boolean }[] = [];
  const beyond = reachPastEnds(facets, tube);
  if (head && segmentAt(line, first) === head)
    paths.push({ path: pathFrom(head, last + more), asInPlace: beyond.last < -EDGE_DEVIATION });
  if (tail && segmentAt(line, last) === tail)
    paths.push({ path: pathTo(tail, line.length - first + more), asInPlace: beyond.first < -EDGE_DEVIATION });
  // Tools stand on the end they come off over: the nearer end is tried first.
  if (line.length - last < first) paths.reverse();
  return paths.map(({ path, asInPlace }) => ({
    body: bodyAlong(path, tube.section),
    asInPlace,
    solid: () => tubeAlong({ section: tube.section, centerline: path }, facets.pose),
  }));
}

/**
 * How far a part reaches past the first and the last end of a straight tube cut square, mm; negative where it ends before
 * it. A straight tube that slides past the part over the other end lies in it all the while as it lies in place.
 */
function reachPastEnds({ positions: p }: Facets, { line, ends }: Tube): { readonly first: Mm; readonly last: Mm } {
  const only = line.segments[0];
  let first = Number.NEGATIVE_INFINITY;
  let last = Number.NEGATIVE_INFINITY;
  if (only?.kind !== 'straight' || line.segments.length > 1 || ends.length > 0)
    return { first: Number.POSITIVE_INFINITY, last: Number.POSITIVE_INFINITY };
  const { origin: o, heading: h } = only.start;
  for (let i = 0; i < p.length; i += 3) {
    const t = (p[i]! - o[0]) * h[0] + (p[i + 1]! - o[1]) * h[1] + (p[i + 2]! - o[2]) * h[2];
    if (-t > first) first = -t;
    if (t - only.length > last) last = t - only.length;
  }
  return { first, last };
}

/** Places on the way off a taper that the tube is looked at in. */
const PLACES_OFF = 12;

/**
 * The tool drawn off a tapered tube over one of its ends, along a heading that is the same all the way: what lies from its far
 * side to that end in a row of places as the tool sees it. Where the way is free the tube only gets smaller within the
 * tool, so a dozen tell.
 */
function slidOffTaper(facets: Facets, tube: Tube, { reach }: Fit): readonly WayOut[] {
  const whole = { section: tube.section, centerline: eased(tube) };
  const { length } = whole.centerline;
  const spans = [
    { way: 1, from: 0, to: Math.min(length, reach.to - tube.from) },
    { way: -1, from: Math.max(0, reach.from - tube.from), to: length },
  ] as const;
  return spans.flatMap(({ way, from, to }): readonly WayOut[] => {
    const shape = { section: sectionAt(whole, from), centerline: clipped(whole.centerline, from, to) };
    if (shape.centerline.segments.some(({ kind }) => kind === 'bend')) return [];
    const { heading } = shape.centerline.end;
    const shifts = Array.from({ length: PLACES_OFF + 1 }, (_, k) =>
      scale(heading, (way * k * (to - from + 1)) / PLACES_OFF),
    );
    const body: Body = {
      distance: (p) => Math.min(...shifts.map((shift) => solidDistance(tube.long, sub(p, shift)))),
      counts: (p) => shifts.some((shift) => isBeside(tube, sub(p, shift))),
    };
    const solid = (): Solid => ({
      kind: 'union',
      name: 'tube slid along',
      of: shifts.map((shift): Solid => {
        const moved = { ...facets.pose, origin: sub(facets.pose.origin, shift) };
        return tubeAlong(shape, moved);
      }),
    });
    return [{ body, solid }];
  });
}

const bodyAlong = (path: Centerline, section: Section): Body =>
  solidBody({ section, centerline: path }, (p) => {
    const { s } = besideCenterline(path, section, p);
    return s > EDGE_DEVIATION && s < path.length - EDGE_DEVIATION;
  });

/** Longest arc a bend is carried on to, so that it does not run into itself. */
const LONGEST_TURN = 330;

function pathFrom(segment: Segment, length: Mm): Centerline {
  return centerlineFrom(segment.start, [stretchOf(segment, turnLimited(segment, length))]);
}

function pathTo(segment: Segment, length: Mm): Centerline {
  const kept = turnLimited(segment, length);
  return centerlineFrom(segmentFrame(segment, segment.length - kept), [stretchOf(segment, kept)]);
}

const turnLimited = (segment: Segment, length: Mm): Mm =>
  segment.kind !== 'bend' ? length : Math.min(length, (segment.length * LONGEST_TURN) / segment.bendAngleDeg);
