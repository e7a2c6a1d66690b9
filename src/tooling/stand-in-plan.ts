import { acosd } from '../geometry/angle.ts';
import {
  type BendSegment,
  type Centerline,
  centerlineFrom,
  frameAt,
  type TaperSegment,
} from '../geometry/centerline.ts';
import { frameFrom } from '../geometry/frame.ts';
import { outlineAt, type Section, sectionHeight, sectionWidth } from '../geometry/section.ts';
import { LEAST_WALL, SAME_PLACE } from '../geometry/tolerance.ts';
import { sectionAt, sectionMarks, tapersOf, tubeReach } from '../geometry/tube-shape.ts';
import { steepest } from '../geometry/tube-surface.ts';
import { along, cross, dot, length, type Mm, scale, squareTo, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { StandInSpec } from '../job/bench-tools.ts';
import type { Shop } from '../job/job.ts';
import { figure, type Outcome } from '../job/problem.ts';
import type { CutEnd } from '../solve/solution.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import type { HeldMember } from './tool.ts';

/** An end of a piece: square at s, or as the member is cut there (then s is the long point). */
export interface PieceEnd {
  readonly s: Mm;
  readonly cut?: CutEnd;
}

/** One length of dummy tube that is printed by itself: standing whole, or lying in two halves. */
export interface StandInPiece {
  readonly member: HeldMember;
  readonly from: PieceEnd;
  readonly to: PieceEnd;
  /** Square to the plane it lies in; the halves part on that plane. */
  readonly out: Vec3;
  /** Which end a whole piece stands on; halves stand on none. */
  readonly standsOn?: 'from' | 'to';
}

/** The whole stretch asked for, before it is divided. */
interface Stretch {
  readonly member: HeldMember;
  readonly from: PieceEnd;
  readonly to: PieceEnd;
  /** Square to the plane of the bends in all it is divided from: what is glued end to end is parted on one plane. */
  readonly axis?: Vec3;
}

/** Straight left beside a single bend, where there is as much. */
const TAIL: Mm = 20;
/** A standing print may lean this far, and be this many times as tall as it is wide. */
const LEAN_DEG = 40;
const SLENDER = 8;
/** No shorter piece is glued on. */
const LEAST_PIECE: Mm = 12;
/** Least tube: two printed walls and a duct between them. */
export const DUCT: Mm = 1.5;

/** Choose what is printed: each piece lies in one plane and fits the bed; it stands where that needs no support. */
export function planStandIn(request: OtherRequest<StandInSpec>): Outcome<readonly StandInPiece[]> {
  const wanted = stretchOf(request);
  if (!wanted.value) return { problems: wanted.problems };
  const least = thinnestOf(wanted.value);
  if (least < 2 * (LEAST_WALL + DUCT)) return { problems: [tooThin(request, least)] };
  const flat = inPlanes(wanted.value);
  const pieces = flat.flatMap((piece) => divided(piece, request.shop, 0));
  if (pieces.some((piece) => piece === undefined)) return { problems: [tooLarge(request)] };
  const whole = pieces.length === 1;
  const placed = (pieces as readonly Stretch[]).map((piece) => posed(piece, request.shop, whole));
  const halves = placed.filter(({ standsOn }) => standsOn === undefined);
  const leaves = halves.reduce((most, piece) => Math.max(most, leavesPlane(piece)), 0);
  if (leaves > SAME_PLACE) return { problems: [leavesItsPlane(request, leaves)] };
  return halves.some(hangsOver) ? { problems: [standsAskew(request)] } : { value: placed, problems: [] };
}

/** s where the stretch has the sections that all its others lie between. */
const marksOf = ({ member, from, to }: Stretch): readonly Mm[] => [
  from.s,
  ...sectionMarks(member).filter((s) => s > from.s + SAME_PLACE && s < to.s - SAME_PLACE),
  to.s,
];

/** Sections within the stretch: the one it has, and on a tube with tapers those that all others lie between. */
const sectionsIn = (piece: Stretch): readonly Section[] => marksOf(piece).map((s) => sectionAt(piece.member, s));

const thinnestOf = (piece: Stretch): Mm =>
  Math.min(...sectionsIn(piece).map((section) => Math.min(sectionWidth(section), sectionHeight(section))));

const tapersIn = ({ member, from, to }: Stretch): readonly TaperSegment[] =>
  tapersOf(member).filter((x) => x.s0 < to.s - 1e-6 && x.s0 + x.length > from.s + 1e-6);

/** How far an eccentric taper takes the axis out of the plane that halves would part on. */
const leavesPlane = (piece: StandInPiece): Mm =>
  tapersIn(piece).reduce((most, taper) => Math.max(most, Math.abs(dot(shiftOf(taper), piece.out))), 0);

const shiftOf = ({ start, shift }: TaperSegment): Vec3 => along(scale(start.right, shift[0]), start.up, shift[1]);

function stretchOf(request: OtherRequest<StandInSpec>): Outcome<Stretch> {
  const { spec, solution } = request;
  const { of } = spec;
  if (of.kind === 'section') {
    const section = solution.job.sections.find(({ name }) => name === of.section);
    if (!section) throw new Error(`internal: stand-in of unknown section ${of.section}`);
    const tail = { kind: 'straight', length: of.straight } as const;
    const tails = of.straight > 0 ? [tail] : [];
    const steps = of.bend ? [...tails, { kind: 'bend', ...of.bend, towardDeg: 180 } as const, ...tails] : [tail];
    const centerline = centerlineFrom(frameFrom([0, 0, 0], [1, 0, 0], [0, 0, 1]), steps);
    const member = { name: section.name, section: section.actual, centerline };
    return { value: { member, from: { s: 0 }, to: { s: centerline.length } }, problems: [] };
  }
  const member = solution.members.find(({ name }) => name === of.member);
  if (!member) throw new Error(`internal: stand-in of unknown member ${of.member}`);
  const line = member.centerline;
  if (of.bend !== undefined) return aroundBend(request, { member, count: of.bend });
  const cutOf = (end: 'start' | 'end'): CutEnd | undefined =>
    solution.ends.find((cut) => cut.member.name === member.name && cut.end === end);
  const end = (given: Mm | undefined, name: 'start' | 'end'): PieceEnd => {
    const drawn = name === 'start' ? 0 : line.length;
    const cut = spec.ends === 'cut' && given === undefined ? cutOf(name) : undefined;
    return cut ? { s: cut.longPoint, cut } : { s: given ?? drawn };
  };
  const [from, to] = [end(of.from, 'start'), end(of.to, 'end')];
  if (to.s - from.s < LEAST_PIECE || (of.to ?? 0) > line.length + SAME_PLACE) {
    const message = `from ${figure(from.s)} mm to ${figure(to.s)} mm is no stretch of ${member.name}, which is ${figure(line.length)} mm long`;
    const hint = `both count along the centerline from the start; ${LEAST_PIECE} mm is the least`;
    return { problems: [toolProblem(request, { code: 'tool/cannot-build', message, hint, measured: to.s - from.s })] };
  }
  return { value: { member, from, to }, problems: [] };
}

function aroundBend(
  request: OtherRequest<StandInSpec>,
  { member, count }: { readonly member: HeldMember; readonly count: number },
): Outcome<Stretch> {
  const { segments } = member.centerline;
  const bends = segments.filter((segment): segment is BendSegment => segment.kind === 'bend');
  const bend = bends[count - 1];
  if (!bend) {
    const message = `${member.name} has ${bends.length} bends, and bend ${count} is asked for`;
    const hint = 'bends are counted from the start of the member';
    const limit = bends.length;
    return { problems: [toolProblem(request, { code: 'tool/cannot-build', message, hint, measured: count, limit })] };
  }
  const at = segments.indexOf(bend);
  const straight = (i: number): Mm => (segments[i]?.kind === 'straight' ? Math.min(TAIL, segments[i].length) : 0);
  const from = { s: bend.s0 - straight(at - 1) };
  return { value: { member, from, to: { s: bend.s0 + bend.length + straight(at + 1) } }, problems: [] };
}

const bendsIn = ({ member, from, to }: Stretch): readonly BendSegment[] =>
  member.centerline.segments.filter(
    (x): x is BendSegment => x.kind === 'bend' && x.s0 < to.s - 1e-6 && x.s0 + x.length > from.s + 1e-6,
  );

/** Parted in the middle between bends that turn in different planes. */
function inPlanes(whole: Stretch): readonly Stretch[] {
  const bends = bendsIn(whole);
  const breaks = bends.slice(1).flatMap((bend, i) => {
    const before = bends[i]!;
    return length(cross(before.axis, bend.axis)) < SAME_PLACE * 100 ? [] : [(before.s0 + before.length + bend.s0) / 2];
  });
  const ends: readonly PieceEnd[] = [whole.from, ...breaks.map((s) => ({ s })), whole.to];
  return ends.slice(1).map((to, i): Stretch => {
    const stretch = { member: whole.member, from: ends[i]!, to };
    const bend = bendsIn(stretch)[0];
    return bend ? { ...stretch, axis: bend.axis } : stretch;
  });
}

/** Halved until every part of it fits the bed; undefined for what cannot. */
function divided(piece: Stretch, shop: Shop, depth: number): readonly (Stretch | undefined)[] {
  const { from, to } = piece;
  if (to.s - from.s < LEAST_PIECE) return [undefined];
  if (fitsLying(piece, shop) || standingFoot(piece, shop) !== undefined) return [piece];
  if (depth === 6) return [undefined];
  const middle = { s: (from.s + to.s) / 2 };
  return [
    ...divided({ ...piece, to: middle }, shop, depth + 1),
    ...divided({ ...piece, from: middle }, shop, depth + 1),
  ];
}

/** Square to the plane of its bends; of a straight one across its lower side. */
function planeOf(piece: Stretch): Vec3 {
  const bend = bendsIn(piece)[0];
  if (bend) return bend.axis;
  const frame = frameAt(piece.member.centerline, (piece.from.s + piece.to.s) / 2);
  const sections = sectionsIn(piece);
  const flat = sections.reduce((sum, section) => sum + sectionWidth(section) - sectionHeight(section), 0) >= 0;
  const sides = flat ? [frame.up, frame.right] : [frame.right, frame.up];
  // An eccentric taper is parted on the plane its axis stays in.
  const shifts = tapersIn(piece).map(shiftOf);
  const stays = (out: Vec3): boolean => shifts.every((shift) => Math.abs(dot(shift, out)) < SAME_PLACE);
  if (piece.axis && stays(piece.axis)) return piece.axis;
  const side = sides.find(stays);
  if (side) return side;
  const aside = cross(frame.heading, unit(shifts.find((shift) => length(shift) > SAME_PLACE)!));
  return sections.every(({ kind }) => kind === 'round') && stays(aside) ? aside : sides[0]!;
}

/** Direction from end to end, along which a lying piece is laid. */
export function chordOf({ member, from, to }: Stretch): Vec3 {
  const [p, q] = [from, to].map(({ s }) => frameAt(member.centerline, s)) as [
    ReturnType<typeof frameAt>,
    ReturnType<typeof frameAt>,
  ];
  const chord = sub(q.origin, p.origin);
  return length(chord) > 1 ? unit(chord) : p.heading;
}

function fitsLying(piece: Stretch, { printer }: Shop): boolean {
  const { member, from, to } = piece;
  const reach = tubeReach(member) + 1;
  const out = planeOf(piece);
  const along = unit(squareTo(chordOf(piece), out));
  const steps = Math.max(2, Math.ceil((to.s - from.s) / 2));
  const frames = Array.from({ length: steps + 1 }, (_, i) =>
    frameAt(member.centerline, from.s + ((to.s - from.s) * i) / steps),
  );
  const span = (axis: Vec3): Mm => {
    const ends = frames.map(({ origin, heading }) => {
      const beside = reach * Math.sqrt(Math.max(0, 1 - dot(heading, axis) ** 2));
      return [dot(origin, axis) - beside, dot(origin, axis) + beside] as const;
    });
    return Math.max(...ends.map(([, high]) => high)) - Math.min(...ends.map(([low]) => low));
  };
  const [x, y] = [span(along), span(cross(out, along))];
  const [a, b] = [Math.max(printer.bed[0], printer.bed[1]), Math.min(printer.bed[0], printer.bed[1])];
  return Math.max(x, y) <= a && Math.min(x, y) <= b && reach <= printer.bed[2];
}

/** The end a piece stands on without support: square, under its weight, and nothing leans more than a printer lays; the wider one first. */
function standingFoot(piece: Stretch, { printer }: Shop): 'from' | 'to' | undefined {
  const { member, from, to } = piece;
  const line: Centerline = member.centerline;
  const [first, last] = [frameAt(line, from.s), frameAt(line, to.s)];
  if (acosd(dot(first.heading, last.heading)) > LEAN_DEG) return undefined;
  if (tapersIn(piece).length > 0 && acosd(1 / steepest(member)) > LEAN_DEG) return undefined;
  const reach = tubeReach(member);
  const leastBed = Math.min(printer.bed[0], printer.bed[1]);
  if (3 * reach > leastBed) return undefined;
  const widthAt = (s: Mm): Mm => {
    const section = sectionAt(member, s);
    return Math.min(sectionWidth(section), sectionHeight(section));
  };
  const stands = (foot: typeof first, tip: typeof first, end: PieceEnd): boolean => {
    const rise = sub(tip.origin, foot.origin);
    const tall = Math.abs(dot(rise, foot.heading));
    const width = widthAt(end.s);
    // The middle of the tube must stand well within the foot.
    const drift = length(squareTo(rise, foot.heading)) / 2;
    return end.cut === undefined && tall + reach <= Math.min(printer.bed[2], SLENDER * width) && drift < width / 4;
  };
  const ways = [
    ...(stands(first, last, from) ? (['from'] as const) : []),
    ...(stands(last, first, to) ? (['to'] as const) : []),
  ];
  return widthAt(to.s) > widthAt(from.s) + SAME_PLACE ? ways.at(-1) : ways[0];
}

/** Pieces that are glued end to end lie in halves, so that dowels can cross from one to the next. */
function posed(piece: Stretch, shop: Shop, whole: boolean): StandInPiece {
  const standsOn = whole ? standingFoot(piece, shop) : undefined;
  return { ...piece, out: planeOf(piece), ...(standsOn === undefined ? {} : { standsOn }) };
}

/** Whether a lying half hangs over beside its flat: a section stands askew in the bend. */
function hangsOver(piece: StandInPiece): boolean {
  return marksOf(piece).some((s) => {
    const frame = frameAt(piece.member.centerline, s);
    const [x, y] = [dot(piece.out, frame.right), dot(piece.out, frame.up)];
    const section = sectionAt(piece.member, s);
    return Array.from({ length: 144 }, (_, i) => outlineAt(section, (i + 0.5) / 144)).some(
      ({ point, normal }) => point[0] * x + point[1] * y > 0.5 && normal[0] * x + normal[1] * y < -0.7,
    );
  });
}

const leavesItsPlane = (request: OtherRequest<StandInSpec>, leaves: Mm) =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `it does not stand, and an eccentric taper takes its axis ${figure(leaves)} mm out of the plane that two halves would part on`,
    hint: 'give shorter stretches with from and to, so that the taper stands by itself, or `ends: square`',
    measured: leaves,
    limit: 0,
  });

const tooThin = (request: OtherRequest<StandInSpec>, least: Mm) =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `a tube ${figure(least)} mm across leaves no room for two printed walls; the least is ${figure(2 * (LEAST_WALL + DUCT))} mm`,
    hint: 'bend a piece of rod or wire instead',
    measured: least,
    limit: 2 * (LEAST_WALL + DUCT),
  });

const tooLarge = (request: OtherRequest<StandInSpec>) =>
  toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `the tube cannot be divided into lengths of at least ${LEAST_PIECE} mm that fit the bed of ${request.shop.printer.bed.join(' x ')} mm`,
    hint: 'give a shorter stretch with from and to, or the printer it is printed on in shop.printer.bed',
    limit: LEAST_PIECE,
  });

const standsAskew = (request: OtherRequest<StandInSpec>) =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message:
      'the section stands askew in the bend: halves parted on the plane of the bend would hang over by more than 45 deg',
    hint: 'bend toward a side of the section (up, down, left or right)',
  });
