import { type BendSegment, frameAt } from '../geometry/centerline.ts';
import { unplace, unplaceDirection } from '../geometry/placement.ts';
import { outlineAt, perimeter, type Section, sectionDistance, sectionReach } from '../geometry/section.ts';
import { generatorOf, isTapered, outlineOn, sectionAt } from '../geometry/tube-shape.ts';
import { surfaceNormal, uFacing } from '../geometry/tube-surface.ts';
import { along, cross, dot, type Mm, scale, squareTo, sub, unit, type Vec2, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { LabelSolid, Solid } from '../solid/expression.ts';
import { sunkLines, wrapped } from './label.ts';
import { GROOVE, highest, LONG, lowest, type Marking, outsideOf, ticksOf } from './stand-in-marks.ts';
import type { StandInPiece } from './stand-in-plan.ts';

/** Letters may stand so much over a tube that falls off under them: the rest of their depth is left to read. */
const MOST_FALL: Mm = 0.35;
/** Half widths that a line of letters may take round the tube, the widest that lies flat enough is taken. */
const HALVES = [4, 3.5, 3, 2.5, 2, 1.8] as const;
/** From letters to the middle of a groove: half of it at the surface, and a wall of one and a half lines. */
const BESIDE_GROOVE: Mm = GROOVE.half + 0.7;
/** Numbers: height of their box, room for each figure and for the pen. */
const NUMBER = { tall: 3.8, figure: 2.6, pen: 0.8, letter: 3 } as const;

/** Numbers stay so far above the plane that halves part on: a stroke that ran out through it would leave crumbs. */
const ABOVE_PARTING: Mm = 1.5;

/** Where a line of letters goes round the tube, and how far it may reach to both sides. */
interface LetterPlace {
  readonly u: number;
  readonly half: Mm;
  /** Letters are sunk half of this below the highest place of the tube, and so are cut where it falls off beside it. */
  readonly fall: Mm;
  /** Sine of the turn from the direction out of the piece's plane. */
  readonly aside: number;
}

/** How far a line of letters may leave the line along a bend that it stands on. */
const sagittaOf = (half: Mm): Mm => Math.max(0.3, half / 3);

/** u apart, the shorter way round, with its sign. */
const apart = (p: number, q: number): number => ((((q - p) % 1) + 1.5) % 1) - 0.5;

/** Square to the plane of the piece on the side `sign`, in (right, up) at s. */
function wayOut({ member, out }: StandInPiece, sign: 1 | -1, s: Mm): Vec2 {
  const frame = frameAt(member.centerline, s);
  const way = scale(out, sign);
  return [dot(way, frame.right), dot(way, frame.up)];
}

/** On top of the piece, or where the witness line runs there beside it, toward the inside of a bend. */
function letterPlace(piece: StandInPiece, sign: 1 | -1, s: Mm): LetterPlace | undefined {
  const { member } = piece;
  const way = wayOut(piece, sign, s);
  const top = uFacing(member, way);
  const [low, high] = roomForLabel(piece);
  const round = Math.min(...[low, s, high].map((place) => perimeter(sectionAt(member, place))));
  const bend = member.centerline.segments.find(
    (x): x is BendSegment => x.kind === 'bend' && x.s0 < piece.to.s && x.s0 + x.length > piece.from.s,
  );
  const inward = bend ? Math.sign(-apart(top, outsideOf(piece, bend))) || 1 : 1;
  for (const half of HALVES) {
    // Along a bend the groove bows in over the letters' ends.
    const free = (half + BESIDE_GROOVE + (bend ? sagittaOf(half) : 0)) / round;
    const us = Math.abs(apart(0, top)) >= free ? [top] : [inward * free, -inward * free];
    for (const u of us.map((x) => ((x % 1) + 1) % 1)) {
      const { point, normal } = outlineOn(member, s, u);
      const beside: Vec2 = [-normal[1], normal[0]];
      const fall = Math.max(
        ...[-half, half].map(
          (k) => -depthBelow(sectionAt(member, s), [point[0] + k * beside[0], point[1] + k * beside[1]], normal),
        ),
      );
      const aside = Math.sqrt(Math.max(0, 1 - (normal[0] * way[0] + normal[1] * way[1]) ** 2));
      if (fall < MOST_FALL && aside < 0.9) return { u, half, fall, aside: us.length > 1 ? aside : 0 };
    }
  }
  return undefined;
}

/** Letters along the tube on the side `sign` out of its plane, in the middle of the piece; undefined where there is no room. */
export function markLabel(
  { piece, into, hair }: Marking,
  {
    sign,
    revision,
    name,
    more,
  }: { readonly sign: 1 | -1; readonly revision: string; readonly name: string; readonly more: string },
): Solid | undefined {
  const { member, out } = piece;
  const { centerline } = member;
  const [low, high] = roomForLabel(piece);
  const s = (low + high) / 2 + hair;
  const found = letterPlace(piece, sign, s);
  if (!found) return undefined;
  const { u, half, aside, fall } = found;
  const frame = frameAt(centerline, s);
  const clrs = centerline.segments.flatMap((x) =>
    x.kind === 'bend' && x.s0 < high && x.s0 + x.length > low ? [x.clr] : [],
  );
  const { point } = outlineOn(member, s, u);
  const top = along(along(frame.origin, frame.right, point[0]), frame.up, point[1]);
  // On a taper the letters lie on its slant.
  const z = isTapered(member) || aside > 0 ? surfaceNormal(member, u, s) : scale(out, sign);
  // In a bend the line of letters leaves the top of the tube by its sagitta; beside the top that takes it deeper too.
  const sagitta = Math.min(sagittaOf(half), 0.25 / Math.max(aside, 1e-3));
  const longest = clrs.length === 0 ? 60 : Math.sqrt(8 * Math.min(...clrs) * sagitta);
  const wide = Math.min(0.8 * (high - low), longest, 60);
  if (wide < 13.5) return undefined;
  // Along the ruling: beside it an eccentric taper falls away.
  const ruling = generatorOf(member, u);
  const ahead = isTapered(member) ? sub(ruling.pointAt(s + 0.5), ruling.pointAt(s - 0.5)) : frame.heading;
  const lengthwise = unit(squareTo(ahead, z));
  return sunkLines(
    [[[`${name} ${more} ${revision}`], [`${name} ${revision}`], [`${more} ${revision}`], [revision]], wrapped(name)],
    {
      at: faceAt(into, along(top, z, -fall / 2), { x: sign > 0 ? lengthwise : scale(lengthwise, -1), z }),
      box: [wide, 2 * half],
      letter: 5,
    },
  );
}

/** A face in the printed part's axes, from its directions in the job. */
function faceAt(into: Marking['into'], origin: Vec3, { x, z }: { readonly x: Vec3; readonly z: Vec3 }) {
  const [xIn, zIn] = [unplaceDirection(into, x), unplaceDirection(into, z)];
  return { origin: unplace(into, origin), x: xIn, y: cross(zIn, xIn), z: zIn };
}

/**
 * Degrees from the tangent point nearer the start, beyond the ends of the longer marks, as many as the bend has room for; on
 * the straights beside it 0 and its whole angle. Where letters, the witness line or a corner leave no flat place there is none.
 */
export function markNumbers({ piece, into, hair }: Marking, everyDeg: number, sign: 1 | -1): readonly LabelSolid[] {
  const { member, from, to } = piece;
  const [low, high] = [lowest(piece) + 2, highest(piece) - 2];
  return member.centerline.segments.flatMap((bend) => {
    if (bend.kind !== 'bend' || bend.s0 > to.s || bend.s0 + bend.length < from.s) return [];
    const place = numberPlace(piece, bend, sign);
    if (!place) return [];
    const last = bend.s0 + bend.length;
    const end = figure(Math.round(bend.bendAngleDeg * 100) / 100);
    const straight = (before: number, after: number): boolean =>
      before > low &&
      after < high &&
      member.centerline.segments.some((x) => x.kind === 'straight' && x.s0 <= before && x.s0 + x.length >= after);
    const tangents = [
      { text: '0', s: bend.s0 - wideOf('0') / 2 - BESIDE_GROOVE },
      { text: end, s: last + wideOf(end) / 2 + BESIDE_GROOVE },
    ].filter(({ text, s }) => straight(s - wideOf(text) / 2, s + wideOf(text) / 2));
    const numbered = [2, 4, 6, 12]
      .map((every) =>
        ticksOf(bend, everyDeg)
          .filter((_, i) => (i + 1) % every === 0)
          .map(({ s, deg }) => ({ s, text: figure(Math.round(deg * 100) / 100) })),
      )
      .find(
        (all, i) =>
          all.length > 0 && allApart(all) && (bend.length * everyDeg * [2, 4, 6, 12][i]!) / bend.bendAngleDeg > 9,
      );
    const marks = (numbered ?? []).filter(({ s, text }) => {
      const half = wideOf(text) / 2 + BESIDE_GROOVE;
      return s - half > Math.max(low, bend.s0) && s + half < Math.min(high, last);
    });
    return [...marks, ...tangents].flatMap((mark) => {
      const fall = place.fall + wideOf(mark.text) ** 2 / (8 * bend.clr);
      return fall > MOST_FALL ? [] : [numberAt({ piece, into, hair }, bend, { ...mark, ...place, fall })];
    });
  });
}

const wideOf = (text: string): Mm => text.length * NUMBER.figure + NUMBER.pen;

const allApart = (marks: readonly { readonly s: Mm; readonly text: string }[]): boolean =>
  marks.slice(1).every(({ s, text }, i) => s - marks[i]!.s > (wideOf(text) + wideOf(marks[i]!.text)) / 2 + 1);

interface NumberPlace {
  readonly u: number;
  /** Which way round the outline leads from the outside of the bend. */
  readonly turn: 1 | -1;
  readonly fall: Mm;
}

/** The first flat place round the tube beyond the marks, clear of the witness line and of the letters. */
function numberPlace(piece: StandInPiece, bend: BendSegment, sign: 1 | -1): NumberPlace | undefined {
  const section = sectionAt(piece.member, bend.s0);
  const round = perimeter(section);
  const middle = outsideOf(piece, bend);
  const way = wayOut(piece, sign, bend.s0);
  const half = NUMBER.tall / 2;
  const pointAt = (u: number): ReturnType<typeof outlineAt> => outlineAt(section, ((u % 1) + 1) % 1);
  const [ahead, back] = [0.02, -0.02].map((step) => pointAt(middle + step).point) as [Vec2, Vec2];
  const turn = (ahead[0] - back[0]) * way[0] + (ahead[1] - back[1]) * way[1] > 0 ? 1 : -1;
  const [low, high] = roomForLabel(piece);
  const letters = letterPlace(piece, sign, (low + high) / 2);
  const top = letters ?? { u: uFacing(piece.member, way), half: 0 };
  for (let arc = LONG + BESIDE_GROOVE + half; arc < round / 4; arc += 0.25) {
    const u = middle + (turn * arc) / round;
    const { point, normal } = pointAt(u);
    const fall = Math.max(
      ...[-half, half].map((k) => {
        const [x, y] = pointAt(u + k / round).point;
        return (point[0] - x) * normal[0] + (point[1] - y) * normal[1];
      }),
    );
    const clear =
      Math.abs(apart(u, 0)) * round > half + BESIDE_GROOVE &&
      Math.abs(apart(u, top.u)) * round > half + top.half + BESIDE_GROOVE;
    const above = [-half, half].every((k) => {
      const { point: p } = pointAt(u + k / round);
      return p[0] * way[0] + p[1] * way[1] > ABOVE_PARTING;
    });
    if (clear && above && fall < MOST_FALL / 2) return { u: ((u % 1) + 1) % 1, turn, fall };
  }
  return undefined;
}

function numberAt(
  { piece: { member }, into, hair }: Marking,
  bend: BendSegment,
  { s, text, u, turn, fall }: NumberPlace & { readonly s: Mm; readonly text: string },
): LabelSolid {
  const frame = frameAt(member.centerline, s + hair);
  const { point, normal } = outlineAt(sectionAt(member, bend.s0), u);
  const at = along(along(frame.origin, frame.right, point[0]), frame.up, point[1]);
  const z = along(scale(frame.right, normal[0]), frame.up, normal[1]);
  // u runs clockwise looking along the heading: so the foot of a number is toward the outside of the bend.
  return sunkLines([[[text]]], {
    at: faceAt(into, along(at, z, -fall / 2), { x: scale(frame.heading, -turn), z }),
    box: [wideOf(text), NUMBER.tall],
    letter: NUMBER.letter,
  });
}

/** The stretch whose middle the letters go to: on a tube with tapers its longest straight or taper, whose top is one line. */
function roomForLabel(piece: StandInPiece): readonly [Mm, Mm] {
  const whole = [lowest(piece), highest(piece)] as const;
  if (!isTapered(piece.member)) return whole;
  const within = piece.member.centerline.segments
    .filter(({ kind }) => kind !== 'bend')
    .map(({ s0, length }) => [Math.max(whole[0], s0), Math.min(whole[1], s0 + length)] as const);
  return within.reduce((best, next) => (next[1] - next[0] > best[1] - best[0] ? next : best), within[0] ?? whole);
}

/** How far from a point above the outline, straight down, the outline lies; negative when the point stands over it. */
function depthBelow(section: Section, p: Vec2, down: Vec2): Mm {
  let [low, high] = [0, sectionReach(section)];
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (sectionDistance(section, p[0] - middle * down[0], p[1] - middle * down[1]) > 0) low = middle;
    else high = middle;
  }
  return -(low + high) / 2;
}
