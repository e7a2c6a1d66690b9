import { acosd } from '../geometry/angle.ts';
import { type BendSegment, frameAt, segmentAt } from '../geometry/centerline.ts';
import { sectionHeight, sectionWidth } from '../geometry/section.ts';
import { LEAST_WALL, SAME_PLACE } from '../geometry/tolerance.ts';
import { isEccentric, isTapered, sectionAt, sectionMarks, tapersOf, tubeReach } from '../geometry/tube-shape.ts';
import { growsAlong, steepest } from '../geometry/tube-surface.ts';
import { cross, dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import { figure, type Outcome } from '../job/problem.ts';
import type { CutCurve, Member } from '../solve/solution.ts';
import { chooseDatum } from './datum.ts';
import { type CutRequest, directionOf, toolProblem } from './request.ts';
import type { SleeveShape } from './sleeve.ts';
import { extentsAt, facetRoom, levelStretch, stationsBetween } from './stations.ts';
import type { Datum } from './tool.ts';

/** Raw tube that a sleeve on the waste side leans on, beyond the long point. */
const STUB: Mm = 20;
/** No sleeve is longer, in however many pieces. */
const LONGEST: Mm = 400;
/** Least sleeve below the lowest point of its edge, and what one without an end to lean on holds. */
const LEAST_BODY: Mm = 8;
const HOLD: Mm = 30;
/** Ledge that leans on an end. */
const LEDGE: Mm = 3;
/** Flange of a two-part sleeve beside the bore's wall, for keys and straps. */
export const FLANGE: Mm = 8;
/** A bore printed upright may lean this far; steeper it would need support. */
const LEAN_DEG = 40;

/** Everything that fixes a sleeve before its solids are made. */
export interface SleevePlan {
  readonly request: CutRequest;
  readonly curve: CutCurve;
  readonly datum: Datum;
  readonly shape: SleeveShape;
  readonly parts: 1 | 2;
  /** Where two parts come apart: the way the first leaves the tube (job coordinates); square to the split. */
  readonly out: Vec3;
  /** Two parts lie open side up instead of standing. */
  readonly lying: boolean;
  /** s of the edge's point nearest the base. */
  readonly lowest: Mm;
}

/** Choose the side, the datum, the parts and the outside of a sleeve that carries the end's curve as its edge. */
export function planSleeve(request: CutRequest, style: 'even' | 'box'): Outcome<SleevePlan> {
  const { end, shop } = request;
  const curve = end.curves[request.surface];
  if (!curve) throw new Error(`internal: the ${request.surface} curve of ${end.id} was not traced`);
  const dir = directionOf(end);
  const ts = curve.samples.map((sample) => dir * sample.s);
  const [short, long] = [Math.min(...ts), Math.max(...ts)];
  const out = partingDirection(request);
  const stretch = levelStretch(end.member, end.longPoint, out);
  if (
    dir * short < stretch.from - 1e-6 ||
    dir * short > stretch.to + 1e-6 ||
    dir * long < stretch.from - 1e-6 ||
    dir * long > stretch.to + 1e-6
  )
    return { problems: [acrossSegments(request)] };
  const datum = chooseDatum(request, {
    stretch,
    kept: short,
    waste: long,
    grip: request.grip ?? HOLD,
    stub: request.grip === undefined ? STUB : Math.max(LEAST_BODY, request.grip),
    squareEnd: false,
    longest: request.datum === 'auto' ? Math.min(shop.printer.bed[2] - 5, 180) : LONGEST,
    handy: 110,
    prefer: end.bend ? ['end', 'mark', 'stock'] : ['end', 'stock', 'mark'],
  });
  if (!datum) return { problems: [noRoom(request)] };
  const tight = tightBend(request, { from: datum.s, to: dir * (datum.kind === 'stock' ? short : long) });
  if (tight) return { problems: [tight] };
  const toward = datum.kind === 'stock' ? (-dir as 1 | -1) : dir;
  const lowest = datum.kind === 'stock' ? dir * long : dir * short;
  if (Math.abs(lowest - datum.s) < LEAST_BODY - 1e-6) return { problems: [noRoom(request)] };
  const highest = datum.kind === 'stock' ? dir * short : dir * long;
  const span = { from: datum.s, to: highest };
  const lean = leanDeg(request, span);
  const single = comesOn(request, span) && slipsOn(request, datum) && lean <= LEAN_DEG;
  const parts = request.parts === 'auto' ? (single ? 1 : 2) : request.parts;
  if (parts === 1 && !single) return { problems: [cannotSlip(request)] };
  if (parts === 2 && askew(request, out)) return { problems: [cannotPart(request)] };
  const aside = asideFrom(request, { ...span, out });
  if (aside.bends) return { problems: [acrossSegments(request)] };
  if (parts === 2 && aside.most > SAME_PLACE) return { problems: [leavesParting(request, aside.most)] };
  const lying = parts === 2 && lean > LEAN_DEG;
  const outside = outsideOf(request, { style, parts, out, lying, ...span });
  const shape: SleeveShape = {
    member: end.member,
    end,
    edge: curve,
    baseS: datum.s,
    toward,
    room: shop.fit.slide + facetRoom(shop.chordTolerance),
    outside,
    ...(datum.kind === 'mark'
      ? {}
      : {
          ledge: {
            thickness: ledgeThickness(end.member, { s: datum.s, away: -toward as 1 | -1 }),
            reach: Math.max(sectionAt(end.member, datum.s).wall + 1, LEAST_WALL),
          },
        }),
    chordTolerance: shop.chordTolerance,
  };
  return { value: { request, curve, datum, shape, parts, out, lying, lowest }, problems: [] };
}

function outsideOf(
  request: CutRequest,
  how: Span & { readonly style: 'even' | 'box'; readonly parts: 1 | 2; readonly out: Vec3; readonly lying: boolean },
): SleeveShape['outside'] {
  const { shop, end } = request;
  if (how.parts === 1 && how.style === 'even') return { kind: 'even', wall: shop.wall };
  const frame = frameAt(end.member.centerline, end.longPoint);
  // Along a taper the box goes round the largest section within it.
  const places = isTapered(end.member) ? stationsBetween(end.member, how, shop.chordTolerance) : [end.longPoint];
  const halves = places.map((s) => {
    const off = sub(frameAt(end.member.centerline, s).origin, frame.origin);
    const half = extentsAt(end.member, s, how.out);
    if (!isEccentric(end.member)) return half;
    // The box stands straight about the axis at the long point.
    const across = cross(how.out, frame.heading);
    return { out: half.out + Math.abs(dot(off, how.out)), across: half.across + Math.abs(dot(off, across)) };
  });
  const half = { out: Math.max(...halves.map((x) => x.out)), across: Math.max(...halves.map((x) => x.across)) };
  const even = (shop.fit.slide + facetRoom(shop.chordTolerance)) * steepest(end.member) + shop.wall;
  return {
    kind: 'box',
    out: [dot(how.out, frame.right), dot(how.out, frame.up)],
    halfOut: half.out + even,
    halfAcross: half.across + even + (how.parts === 2 ? FLANGE : 0),
    corner: how.lying ? 0.6 : 4,
    about: end.longPoint,
  };
}

/** Thickness of the ledge along the centerline: in a bend its inside is shorter, and must still be a wall. */
function ledgeThickness(member: Member, { s, away }: { readonly s: Mm; readonly away: 1 | -1 }): Mm {
  const [low, high] = away > 0 ? [s, s + LEDGE] : [s - LEDGE, s];
  const shares = member.centerline.segments.flatMap((x) =>
    x.kind === 'bend' && x.s0 < high && x.s0 + x.length > low ? [(x.clr - tubeReach(member)) / x.clr] : [],
  );
  return shares.reduce((thick, share) => Math.max(thick, (LEAST_WALL + 0.05) / share), LEDGE);
}

/** Two parts of a sleeve in a bend part on the bend's plane; on a straight across the section's lower side. */
function partingDirection(request: CutRequest): Vec3 {
  const { member, segments, longPoint } = request.end;
  const bend = member.centerline.segments
    .slice(segments.first, segments.last + 1)
    .find((x): x is BendSegment => x.kind === 'bend');
  if (bend) return bend.axis;
  const frame = frameAt(member.centerline, longPoint);
  // An eccentric taper parts on the plane its axis stays in.
  const shifts = tapersOf(member).filter(({ shift }) => Math.hypot(...shift) > 0);
  if (shifts.length > 0 && shifts.every(({ shift }) => shift[1] === 0)) return frame.up;
  if (shifts.length > 0 && shifts.every(({ shift }) => shift[0] === 0)) return frame.right;
  const section = sectionAt(member, longPoint);
  return sectionWidth(section) >= sectionHeight(section) ? frame.up : frame.right;
}

/** From the base to the far end of the rim. */
interface Span {
  readonly from: Mm;
  readonly to: Mm;
}

/** A sleeve in one part comes on over its base: along one straight or bend, or along a taper that only grows from there. */
function comesOn(request: CutRequest, { from, to }: Span): boolean {
  const { member } = request.end;
  if (!isTapered(member)) return oneSegment(request, from, to);
  return headsStraight(member, from, to) && growsAlong(member, from, to);
}

/** Whether no bend lies between two s. */
const headsStraight = ({ centerline }: Member, from: Mm, to: Mm): boolean => {
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  return !centerline.segments.some((x) => x.kind === 'bend' && x.s0 < high - 1e-6 && x.s0 + x.length > low + 1e-6);
};

function oneSegment(request: CutRequest, from: Mm, to: Mm): boolean {
  const line = request.end.member.centerline;
  const [low, high] = [Math.min(from, to) + 1e-6, Math.max(from, to) - 1e-6];
  const inside = line.segments.filter((x, i) => {
    const first = i === 0 && x.kind === 'straight' ? Number.NEGATIVE_INFINITY : x.s0;
    const last = i === line.segments.length - 1 && x.kind === 'straight' ? Number.POSITIVE_INFINITY : x.s0 + x.length;
    return low < last && high > first;
  });
  const beyond =
    (low < 0 && line.segments[0]?.kind === 'bend') || (high > line.length && line.segments.at(-1)?.kind === 'bend');
  return inside.length === 1 && !beyond;
}

/** A one-piece sleeve comes on over the end it leans on; without one, over the raw end, which must not lie past another bend. */
function slipsOn(request: CutRequest, datum: Datum): boolean {
  if (datum.kind !== 'mark') return true;
  const { member } = request.end;
  const line = member.centerline;
  if (isTapered(member)) {
    const raw = directionOf(request.end) > 0 ? line.length : 0;
    return headsStraight(member, raw, datum.s) && growsAlong(member, raw, datum.s);
  }
  const cut = segmentAt(line, Math.max(0, Math.min(line.length, request.end.longPoint)));
  return directionOf(request.end) > 0 ? cut === line.segments.at(-1) : cut === line.segments[0];
}

/** Turn of the tube between base and edge, or the slant of a taper between them. */
function leanDeg(request: CutRequest, { from, to }: Span): number {
  const { member } = request.end;
  const line = member.centerline;
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  const slants = tapersOf(member).some(({ s0, length }) => s0 < high - 1e-6 && s0 + length > low + 1e-6);
  const slant = slants ? acosd(1 / steepest(member)) : 0;
  return Math.max(slant, acosd(dot(frameAt(line, from).heading, frameAt(line, to).heading)));
}

function tightBend(request: CutRequest, range: { readonly from: Mm; readonly to: Mm }) {
  const { member } = request.end;
  const [low, high] = [Math.min(range.from, range.to), Math.max(range.from, range.to)];
  const need = tubeReach(member) + request.shop.wall + request.shop.fit.slide + 1;
  const bend = member.centerline.segments.find(
    (x): x is BendSegment => x.kind === 'bend' && x.s0 < high - 1e-6 && x.s0 + x.length > low + 1e-6 && x.clr < need,
  );
  if (!bend) return undefined;
  return toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the inside of the bend (clr ${figure(bend.clr)} mm) leaves no room for a printed wall round the tube, which needs ${figure(need)} mm`,
    hint: 'use a saw-guide there, or a smaller `wall`',
    measured: bend.clr,
    limit: need,
  });
}

const acrossSegments = (request: CutRequest) =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the cut at ${request.end.id} runs across bends in different planes, where no sleeve can follow`,
    hint: 'use the wrap of the cut curve from `solve`, or move the joint',
  });

const noRoom = (request: CutRequest) =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `no ${request.datum === 'auto' ? 'end, stock or mark' : request.datum} datum leaves at least ${LEAST_BODY} mm of sleeve at ${request.end.id}`,
    hint: 'choose another `datum`, or leave more tube beside the cut',
    limit: LEAST_BODY,
  });

const cannotSlip = (request: CutRequest) =>
  toolProblem(request, {
    code: 'tool/cannot-insert',
    message: `one part cannot slip onto the tube at ${request.end.id}, which bends between the edge and where the tool would come on`,
    hint: 'leave `parts` out, or ask for 2',
  });

/** Halves come apart only where the parting direction is an axis of the section: else each half grips past the widest place. */
function askew({ end }: CutRequest, out: Vec3): boolean {
  const sections = [end.member.section, ...tapersOf(end.member).map(({ to }) => to)];
  if (sections.every(({ kind }) => kind === 'round')) return false;
  const frame = frameAt(end.member.centerline, end.longPoint);
  return Math.max(Math.abs(dot(out, frame.up)), Math.abs(dot(out, frame.right))) < 1 - SAME_PLACE;
}

/** How far the axis of an eccentric taper goes out of the parting plane within a sleeve, and whether the tube bends there too. */
function asideFrom(
  { end: { member } }: CutRequest,
  { from, to, out }: Span & { readonly out: Vec3 },
): { readonly most: Mm; readonly bends: boolean } {
  if (!isEccentric(member)) return { most: 0, bends: false };
  const { origin } = frameAt(member.centerline, from);
  const places = [from, to, ...sectionMarks(member).filter((s) => s > Math.min(from, to) && s < Math.max(from, to))];
  const offs = places.map((s) => Math.abs(dot(sub(frameAt(member.centerline, s).origin, origin), out)));
  return { most: Math.max(...offs), bends: !headsStraight(member, from, to) };
}

const leavesParting = (request: CutRequest, measured: Mm) =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `an eccentric taper takes the axis of ${request.end.member.name} ${figure(measured)} mm out of the plane that the two parts of the sleeve come apart on`,
    hint: 'choose a `datum` from which one part slips on, ask for a saw-guide, or offset the taper to one side of the section only',
    measured,
    limit: 0,
  });

const cannotPart = (request: CutRequest) =>
  toolProblem(request, {
    code: 'tool/cannot-insert',
    message: `the section stands askew in the bend at ${request.end.id}: the two halves of a sleeve could not come off it`,
    hint: 'bend toward a side of the section (up, down, left or right), or ask for a saw-guide',
  });
