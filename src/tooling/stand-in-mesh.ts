import { besideAt, frameAt } from '../geometry/centerline.ts';
import type { Placement } from '../geometry/placement.ts';
import { outlineAt, outlineU, sectionDistance, sectionReach } from '../geometry/section.ts';
import { FOOT_CHAMFER } from '../geometry/tolerance.ts';
import { cross, dot, type Mm, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { cutAt, cutBeside } from '../solve/generator.ts';
import { DUCT, type PieceEnd, type StandInPiece } from './stand-in-plan.ts';
import { outlineUs, stationsBetween } from './stations.ts';
import { cappedLoopsMesh, loopsMesh } from './sweep.ts';

/** Places of a section's outside and inside at one u, (right, up). */
interface WallPlace {
  readonly u: number;
  readonly outer: Vec2;
  readonly inner: Vec2;
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

/** The widest duct that leaves the wall all round and the rim at the parting plane; where there is none, a small one. */
export function ductOf(piece: StandInPiece, wall: Mm): Duct {
  const { section } = piece.member;
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

/** Places round the wall of a whole piece. */
function wholeWall(piece: StandInPiece, { wall, chordTolerance }: WallSizes): readonly WallPlace[] {
  const { section } = piece.member;
  return usOf(piece, chordTolerance).map((u) => ({
    u,
    outer: outlineAt(section, u).point,
    inner: outlineAt(section, u, wall).point,
  }));
}

/** u all round: the section's own, and those where the cuts at its ends were traced. */
function usOf({ member, from, to }: StandInPiece, chordTolerance: Mm): readonly number[] {
  const traced = [from, to].flatMap(({ cut }) => cut?.curves.outer.samples.map(({ u }) => u) ?? []);
  const sorted = [...outlineUs(member, 0, chordTolerance / 2), ...traced].sort((p, q) => p - q);
  return sorted.filter((u, i) => i === 0 || u - sorted[i - 1]! > 1e-7);
}

/** Places over one side of the parting plane, seam to seam; the outside is drawn in along the seams, as the foot of a print. */
function halfWall(piece: StandInPiece, sign: 1 | -1, sizes: WallSizes): readonly WallPlace[] {
  const { section } = piece.member;
  const { across, out } = axesOf(piece);
  const up: Vec2 = [sign * out[0], sign * out[1]];
  const far = 8 * sectionReach(section);
  const top = outlineU(section, far * up[0], far * up[1]);
  const height = (u: number): Mm => dot2(outlineAt(section, ((u % 1) + 1) % 1).point, up);
  const where = (low: number, high: number, wanted: Mm): number => {
    let [a, b] = [low, high];
    for (let i = 0; i < 60; i++) {
      const middle = (a + b) / 2;
      if (height(middle) > wanted) a = middle;
      else b = middle;
    }
    return (a + b) / 2;
  };
  const falling = [where(top, top + 0.5, FOOT_CHAMFER), where(top, top + 0.5, 0)] as const;
  const rising = [where(top, top - 0.5, 0), where(top, top - 0.5, FOOT_CHAMFER)] as const;
  const between = usOf(piece, sizes.chordTolerance)
    .flatMap((u) => [u - 1, u, u + 1])
    .filter((u) => u > rising[1] + 1e-5 && u < falling[0] - 1e-5)
    .sort((p, q) => p - q);
  const duct = ductOf(piece, sizes.wall);
  const innerAt = (p: Vec2): Vec2 => {
    const [x, y] = [dot2(p, across), dot2(p, up)];
    // How far out along the ray through p the duct's outline lies: its side or its roof, whichever comes first.
    const k = Math.min(
      duct.half / Math.max(Math.abs(x), 1e-9),
      (duct.half + duct.side) / (Math.abs(x) + Math.max(y, 0)),
    );
    return along2(across, k * x, up, k * Math.max(y, 0));
  };
  const at = (u: number): WallPlace => {
    const { point } = outlineAt(section, ((u % 1) + 1) % 1);
    return { u: ((u % 1) + 1) % 1, outer: point, inner: innerAt(point) };
  };
  const seam = (u: number): WallPlace => {
    const x = dot2(at(u).outer, across);
    const outer = along2(across, x - Math.sign(x) * FOOT_CHAMFER, up, 0);
    return { u: Number.NaN, outer, inner: along2(across, Math.sign(x) * duct.half, up, 0) };
  };
  return [seam(rising[0]), at(rising[1]), ...between.map(at), at(falling[0]), seam(falling[1])];
}

interface WallSizes {
  readonly wall: Mm;
  readonly chordTolerance: Mm;
}

/** s where a line of the wall ends at a cut, or the square end. */
function endS(end: PieceEnd, { u, outer }: WallPlace): Mm {
  if (!end.cut) return end.s;
  const sample = end.cut.curves.outer.samples.find((x) => Math.abs(x.u - u) < 1e-9);
  if (sample) return sample.s;
  const cut = Number.isNaN(u) ? undefined : cutAt(end.cut, u, 'outer');
  return (cut?.kind === 'cut' ? cut.s : cutBeside(end.cut, outer)) ?? end.s;
}

/** Places from the outside of an end in to its inside, each on the cut: steps of at most 3 mm. */
function rimOf(
  end: PieceEnd,
  { outer, inner }: WallPlace,
  { s, steps }: { readonly s: Mm; readonly steps: number },
): readonly Rim[] {
  return Array.from({ length: steps }, (_, i): Rim => {
    const k = (i + 1) / steps;
    const at: Vec2 = [outer[0] + k * (inner[0] - outer[0]), outer[1] + k * (inner[1] - outer[1])];
    return { at, s: end.cut ? (cutBeside(end.cut, at) ?? s) : end.s };
  });
}

interface Rim {
  readonly at: Vec2;
  readonly s: Mm;
}

const RIM_STEP: Mm = 3;

/** The closed mesh of a whole piece, or of its half on one side of the parting plane, in the placement's axes. */
export function pieceMesh(
  piece: StandInPiece,
  { sign, into, ...sizes }: WallSizes & { readonly sign?: 1 | -1; readonly into: Placement },
): Mesh {
  const { member, from, to, standsOn } = piece;
  const places = sign === undefined ? wholeWall(piece, sizes) : halfWall(piece, sign, sizes);
  const thickest = Math.max(...places.map(({ outer, inner }) => Math.hypot(outer[0] - inner[0], outer[1] - inner[1])));
  const steps = (end: PieceEnd): number => (end.cut ? Math.ceil(thickest / RIM_STEP) : 1);
  const spans = places.map((place) => {
    const [first, last] = [endS(from, place), endS(to, place)];
    return {
      place,
      first,
      last,
      start: rimOf(from, place, { s: first, steps: steps(from) }),
      finish: rimOf(to, place, { s: last, steps: steps(to) }),
    };
  });
  // A hair inside the cuts, so that no two stations fall together where a cut reaches in deepest.
  const low = from.cut
    ? Math.max(...spans.flatMap(({ first, start }) => [first, ...start.map(({ s }) => s)])) + 1
    : from.s;
  const high = to.cut
    ? Math.min(...spans.flatMap(({ last, finish }) => [last, ...finish.map(({ s }) => s)])) - 1
    : to.s;
  const shares = stationShares(piece, { low, high, chordTolerance: sizes.chordTolerance });
  const at = (s: Mm, [a, b]: Vec2): Vec3 => besideAt(member.centerline, s, a, b);
  const loops = spans.map(({ place, first, last, start, finish }) => {
    const outer = shares.map((share) => at(share(first, last), place.outer));
    const inner = shares.map((share) => at(share(start.at(-1)!.s, finish.at(-1)!.s), place.inner)).reverse();
    const rims = [finish.slice(0, -1), start.slice(0, -1).reverse()].map((rim) => rim.map((x) => at(x.s, x.at)));
    const rest = [...rims[0]!, ...inner, ...rims[1]!];
    if (standsOn === undefined) return [...outer, ...rest];
    // The foot of a standing piece is drawn in.
    const foot = outlineAt(member.section, place.u, FOOT_CHAMFER).point;
    const raised = standsOn === 'from' ? from.s + FOOT_CHAMFER : to.s - FOOT_CHAMFER;
    if (standsOn === 'from') return [at(from.s, foot), at(raised, place.outer), ...outer.slice(1), ...rest];
    return [...outer.slice(0, -1), at(raised, place.outer), at(to.s, foot), ...rest];
  });
  return sign === undefined ? loopsMesh(loops, into) : cappedLoopsMesh(loops, into);
}

/** Where along each line of the wall the mesh has points, as functions of where that line begins and ends. */
function stationShares(
  { member, from, to }: StandInPiece,
  { low, high, chordTolerance }: { readonly low: Mm; readonly high: Mm; readonly chordTolerance: Mm },
): readonly ((first: Mm, last: Mm) => Mm)[] {
  const finest = (a: Mm, b: Mm): readonly Mm[] => stationsBetween(member, { from: a, to: b }, chordTolerance / 2);
  const spread = (a: Mm, b: Mm): number => Math.max(1, finest(a, b).length - 1);
  if (high - low < 1) {
    const steps = spread(from.s, to.s);
    return Array.from({ length: steps + 1 }, (_, k) => (first, last) => first + ((last - first) * k) / steps);
  }
  const before = spread(from.s, low);
  const after = spread(high, to.s);
  const middle = finest(low, high);
  return [
    ...(from.cut ? Array.from({ length: before }, (_, k) => (first: Mm) => first + ((low - first) * k) / before) : []),
    ...middle.map((s) => () => s),
    ...(to.cut
      ? Array.from({ length: after }, (_, k) => (_: Mm, last: Mm) => high + ((last - high) * (k + 1)) / after)
      : []),
  ];
}
