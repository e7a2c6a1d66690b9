import { frameAt } from '../geometry/centerline.ts';
import { outlineAt, type Section, sectionDistance, sectionReach } from '../geometry/section.ts';
import { FOOT_CHAMFER } from '../geometry/tolerance.ts';
import { generatorOf, placeIn, sectionAt, sectionMarks } from '../geometry/tube-shape.ts';
import { steepest, uFacing } from '../geometry/tube-surface.ts';
import { cross, dot, type Mm, type Vec2 } from '../geometry/vector.ts';
import { DUCT, type StandInPiece } from './stand-in-plan.ts';
import { bareTube, outlineUs } from './stations.ts';

/** Lines of a piece's outside and inside at one u: (right, up) beside the centerline at s. */
export interface WallPlace {
  readonly u: number;
  readonly outer: (s: Mm) => Vec2;
  readonly inner: (s: Mm) => Vec2;
}

export interface WallSizes {
  readonly wall: Mm;
  readonly chordTolerance: Mm;
}

/** Section axes of a piece: across its plane and out of it, in (right, up). */
export interface PieceAxes {
  readonly out: Vec2;
  readonly across: Vec2;
}

export function axesOf({ member, from, out }: StandInPiece): PieceAxes {
  const { right, up, heading } = frameAt(member.centerline, from.s);
  const side = cross(heading, out);
  return { out: [dot(out, right), dot(out, up)], across: [dot(side, right), dot(side, up)] };
}

const along2 = (p: Vec2, k: Mm, q: Vec2, j: Mm): Vec2 => [p[0] * k + q[0] * j, p[1] * k + q[1] * j];
const dot2 = (p: Vec2, q: Vec2): number => p[0] * q[0] + p[1] * q[1];

/** The duct inside a lying half: upright sides, roof at 45 degrees. Half width, and height of the sides over the parting plane. */
export interface Duct {
  readonly half: Mm;
  readonly side: Mm;
}

/** Material that a lying half keeps beside the parting plane, for dowels: two walls and the dowel between them. */
export const RIM: Mm = 7;

/**
 * The duct at each s: the widest that leaves the wall in every section the tube has, and even between them. What a taper has
 * between two sections is their sum in proportion, and the duct is too, so the wall is left all along.
 */
export function ductsOf(piece: StandInPiece, wall: Mm): (s: Mm) => Duct {
  const { member } = piece;
  const marks = sectionMarks(member).map((s) => {
    const { half, side } = ductAt(piece, s, wall * steepest(member));
    return { s, value: [half, side] as const };
  });
  const between = evenBetween(marks);
  return (s) => {
    const [half, side] = between(s);
    return { half, side };
  };
}

/** The widest duct that leaves the wall all round and the rim at the parting plane; where there is none, a small one. */
function ductAt(piece: StandInPiece, s: Mm, wall: Mm): Duct {
  const section = sectionAt(piece.member, s);
  const { across, out } = axesOf(piece);
  const inside = (x: Mm, y: Mm): boolean => {
    const [a, b] = along2(across, x, out, y);
    return sectionDistance(section, a, b) <= -wall;
  };
  const reach = sectionReach(section);
  for (let half = reach - RIM; half > DUCT; half -= 0.25) {
    for (let side = reach; side >= 0; side -= 0.25) {
      if (inside(half, side) && inside(-half, side) && inside(0, half + side) && inside(half + RIM - wall, 0))
        return { half, side };
    }
  }
  return { half: DUCT, side: 0 };
}

/** The line of the tube's outside at u. */
function lineOf({ member }: StandInPiece, u: number): (s: Mm) => Vec2 {
  const generator = generatorOf(member, ((u % 1) + 1) % 1);
  return (s) => generator.besideAt(s).point;
}

/** Places round the wall of a whole piece: on a taper its inside runs even from section to section, as the duct of halves does. */
export function wholeWall(piece: StandInPiece, { wall, chordTolerance }: WallSizes): readonly WallPlace[] {
  const { member } = piece;
  const depth = wall * steepest(member);
  const sections = sectionMarks(member).map((s) => ({ s, section: sectionAt(member, s) }));
  return usOf(piece, chordTolerance).map((u) => {
    const marks = sections.map(({ s, section }) => ({ s, value: placeIn(member, section, { u, depth }).point }));
    return { u, outer: lineOf(piece, u), inner: evenBetween(marks) };
  });
}

/** Values at some s, straight between them and the same beyond. */
function evenBetween(marks: readonly { readonly s: Mm; readonly value: Vec2 }[]): (s: Mm) => Vec2 {
  return (s) => {
    const next = marks.findIndex((mark) => mark.s > s);
    if (next <= 0) return (next === 0 ? marks[0]! : marks.at(-1)!).value;
    const [p, q] = [marks[next - 1]!, marks[next]!];
    const k = (s - p.s) / (q.s - p.s);
    return along2(p.value, 1 - k, q.value, k);
  };
}

/** The outside at the foot of a standing piece, drawn in. */
export const footPlace = ({ member }: StandInPiece, u: number, s: Mm): Vec2 =>
  placeIn(member, sectionAt(member, s), { u, depth: FOOT_CHAMFER }).point;

/** u all round: the section's own, and those where the cuts at its ends were traced. */
function usOf({ member, from, to }: StandInPiece, chordTolerance: Mm): readonly number[] {
  const traced = [from, to].flatMap(({ cut }) => cut?.curves.outer.samples.map(({ u }) => u) ?? []);
  const sorted = [...outlineUs(member, 0, chordTolerance / 2), ...traced].sort((p, q) => p - q);
  return sorted.filter((u, i) => i === 0 || u - sorted[i - 1]! > 1e-7);
}

/**
 * Places over one side of the parting plane, seam to seam; the outside is drawn in along the seams, as the foot of a print.
 * On a taper one generator may lie above that foot at one end and in it at the other: there it runs along the foot's edge.
 */
export function halfWall(piece: StandInPiece, sign: 1 | -1, sizes: WallSizes): readonly WallPlace[] {
  const { member } = piece;
  const { across, out } = axesOf(piece);
  const up: Vec2 = [sign * out[0], sign * out[1]];
  const marks = sectionMarks(member);
  const top = uFacing(member, up);
  const heights = (u: number): readonly Mm[] => marks.map((s) => dot2(lineOf(piece, u)(s), up));
  const over = (u: number): Mm => heights(u).reduce((sum, height) => sum + height, 0);
  const seams = { rising: fallsTo(over, top, -1), falling: fallsTo(over, top, 1) };
  const between = usOf(piece, sizes.chordTolerance)
    .flatMap((u) => [u - 1, u, u + 1])
    .filter((u) => u > seams.rising + 1e-5 && u < seams.falling - 1e-5)
    .filter((u) => Math.max(...heights(((u % 1) + 1) % 1)) > FOOT_CHAMFER + 1e-4)
    .sort((p, q) => p - q);
  const duct = ductsOf(piece, sizes.wall);
  const inSection = (x: Mm, y: Mm): Vec2 => along2(across, x, up, y);
  const edges = { rising: footEdge(piece, up, -1), falling: footEdge(piece, up, 1) };
  const at = (u: number, outer: (s: Mm) => Vec2): WallPlace => {
    const mean = meanOf(marks.map(outer));
    const place = onDuct(meanDuct(marks.map(duct)), [dot2(mean, across), dot2(mean, up)]);
    return { u, outer, inner: (s) => inSection(...place(duct(s))) };
  };
  const above = (u: number): WallPlace => {
    const line = lineOf(piece, u);
    const edge = u > top ? edges.falling : edges.rising;
    const lower = Math.min(...heights(u)) < FOOT_CHAMFER;
    const onEdge = (s: Mm): Vec2 => (dot2(line(s), up) < FOOT_CHAMFER ? edge(s) : line(s));
    return at(lower ? Number.NaN : ((u % 1) + 1) % 1, lower ? onEdge : line);
  };
  const seam = (u: number): WallPlace => {
    const line = lineOf(piece, u);
    const side = Math.sign(dot2(line(piece.from.s), across));
    return {
      u: Number.NaN,
      outer: (s) => inSection(dot2(line(s), across) - side * FOOT_CHAMFER, 0),
      inner: (s) => inSection(side * duct(s).half, 0),
    };
  };
  return [
    seam(seams.rising),
    at(Number.NaN, edges.rising),
    ...between.map(above),
    at(Number.NaN, edges.falling),
    seam(seams.falling),
  ];
}

/** u at which a height that is greatest at `top` has come down to 0, half a turn on at most. */
function fallsTo(height: (u: number) => Mm, top: number, turn: 1 | -1): number {
  let [a, b] = [top, top + turn / 2];
  for (let i = 0; i < 60; i++) {
    const middle = (a + b) / 2;
    if (height(middle) > 0) a = middle;
    else b = middle;
  }
  return (a + b) / 2;
}

/** The line of the outside at the top of the drawn-in foot, on one side. */
function footEdge({ member }: StandInPiece, up: Vec2, turn: 1 | -1): (s: Mm) => Vec2 {
  const found = new Map<Section, Vec2>();
  return (s) => {
    const section = sectionAt(member, s);
    const known = found.get(section);
    if (known) return known;
    const pointAt = (u: number): Vec2 => outlineAt(section, ((u % 1) + 1) % 1).point;
    const top = uFacing(bareTube(section), up);
    const point = pointAt(fallsTo((u) => dot2(pointAt(u), up) - FOOT_CHAMFER, top, turn));
    found.set(section, point);
    return point;
  };
}

const meanOf = (points: readonly Vec2[]): Vec2 =>
  points.reduce<Vec2>((sum, [x, y]) => [sum[0] + x / points.length, sum[1] + y / points.length], [0, 0]);

const meanDuct = (ducts: readonly Duct[]): Duct => {
  const [half, side] = meanOf(ducts.map((duct): Vec2 => [duct.half, duct.side]));
  return { half, side };
};

/** Where the ray from the axis to a place meets a duct's outline, its side or its roof: the same share of any other's. */
function onDuct(mean: Duct, [x, y]: Vec2): (duct: Duct) => Vec2 {
  const sign = x < 0 ? -1 : 1;
  const k = Math.min(mean.half / Math.max(Math.abs(x), 1e-9), (mean.half + mean.side) / (Math.abs(x) + Math.max(y, 0)));
  const [wide, high] = [Math.abs(k * x), k * Math.max(y, 0)];
  if (high < mean.side) return ({ half, side }) => [sign * half, (side * high) / mean.side];
  const inward = wide / mean.half;
  return ({ half, side }) => [sign * half * inward, side + half * (1 - inward)];
}
