import { besideAt } from '../geometry/centerline.ts';
import type { Placement } from '../geometry/placement.ts';
import { FOOT_CHAMFER } from '../geometry/tolerance.ts';
import { isTapered, sectionMarks } from '../geometry/tube-shape.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { cutAlong, cutAt } from '../solve/generator.ts';
import type { PieceEnd, StandInPiece } from './stand-in-plan.ts';
import { footPlace, halfWall, type WallPlace, type WallSizes, wholeWall } from './stand-in-wall.ts';
import { stationsBetween } from './stations.ts';
import { cappedLoopsMesh, loopsMesh, welded } from './sweep.ts';

interface RimPlace {
  readonly s: Mm;
  readonly at: (s: Mm) => Vec2;
}

const RIM_STEP: Mm = 3;

/** Where a line beside the centerline ends at a cut, or the square end. */
function endOf(piece: StandInPiece, end: PieceEnd, at: (s: Mm) => Vec2): Mm | undefined {
  if (!end.cut) return end.s;
  const { centerline } = piece.member;
  const pointAt = (s: Mm): Vec3 => besideAt(centerline, s, ...at(s));
  return cutAlong(end.cut, { pointAt, speed: speedOf(piece, at) });
}

/** Most that a point of the line moves for each mm along the tube. */
function speedOf({ member }: StandInPiece, at: (s: Mm) => Vec2): number {
  const marks = sectionMarks(member);
  return marks.slice(1).reduce((most, s, i) => {
    const [p, q] = [marks[i]!, s].map((mark) => besideAt(member.centerline, mark, ...at(mark))) as [Vec3, Vec3];
    return Math.max(most, Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]) / (s - marks[i]!));
  }, 1);
}

/** s where a line of the outside ends. */
function outerEnd(piece: StandInPiece, end: PieceEnd, { u, outer }: WallPlace): Mm {
  if (!end.cut) return end.s;
  const sample = end.cut.curves.outer.samples.find((x) => Math.abs(x.u - u) < 1e-9);
  if (sample) return sample.s;
  const cut = Number.isNaN(u) ? undefined : cutAt(end.cut, u, 'outer');
  return (cut?.kind === 'cut' ? cut.s : endOf(piece, end, outer)) ?? end.s;
}

/** Places from the outside of an end in to its inside, each on the cut: steps of at most 3 mm. */
function rimOf(
  piece: StandInPiece,
  end: PieceEnd,
  { place, s, steps }: { readonly place: WallPlace; readonly s: Mm; readonly steps: number },
): readonly RimPlace[] {
  return Array.from({ length: steps }, (_, i): RimPlace => {
    const k = (i + 1) / steps;
    const at = (t: Mm): Vec2 => {
      const [outer, inner] = [place.outer(t), place.inner(t)];
      return [outer[0] + k * (inner[0] - outer[0]), outer[1] + k * (inner[1] - outer[1])];
    };
    return { at, s: end.cut ? (endOf(piece, end, at) ?? s) : end.s };
  });
}

/** The closed mesh of a whole piece, or of its half on one side of the parting plane, in the placement's axes. */
export function pieceMesh(
  piece: StandInPiece,
  { sign, into, ...sizes }: WallSizes & { readonly sign?: 1 | -1; readonly into: Placement },
): Mesh {
  const { member, from, to, standsOn } = piece;
  const places = sign === undefined ? wholeWall(piece, sizes) : halfWall(piece, sign, sizes);
  const marks = [from.s, ...sectionMarks(member), to.s];
  const thickest = Math.max(
    ...places.flatMap(({ outer, inner }) =>
      marks.map((s) => {
        const [p, q] = [outer(s), inner(s)];
        return Math.hypot(p[0] - q[0], p[1] - q[1]);
      }),
    ),
  );
  const steps = (end: PieceEnd): number => (end.cut ? Math.ceil(thickest / RIM_STEP) : 1);
  const spans = places.map((place) => {
    const [first, last] = [outerEnd(piece, from, place), outerEnd(piece, to, place)];
    return {
      place,
      first,
      last,
      start: rimOf(piece, from, { place, s: first, steps: steps(from) }),
      finish: rimOf(piece, to, { place, s: last, steps: steps(to) }),
    };
  });
  const shares = stationShares(piece, spans, sizes.chordTolerance);
  const at = (s: Mm, beside: (s: Mm) => Vec2): Vec3 => besideAt(member.centerline, s, ...beside(s));
  const loops = spans.map(({ place, first, last, start, finish }) => {
    const outer = shares.map((share) => share(first, last));
    const inner = shares.map((share) => at(share(start.at(-1)!.s, finish.at(-1)!.s), place.inner)).reverse();
    const rims = [finish.slice(0, -1), start.slice(0, -1).reverse()].map((rim) => rim.map((x) => at(x.s, x.at)));
    const rest = [...rims[0]!, ...inner, ...rims[1]!];
    const outside = (ss: readonly Mm[]): readonly Vec3[] => ss.map((s) => at(s, place.outer));
    if (standsOn === undefined) return [...outside(outer), ...rest];
    // The foot of a standing piece is drawn in.
    const raised = standsOn === 'from' ? from.s + FOOT_CHAMFER : to.s - FOOT_CHAMFER;
    if (standsOn === 'from')
      return [
        at(from.s, (s) => footPlace(piece, place.u, s)),
        ...outside([raised, ...outer.slice(1).map((s) => Math.max(s, Math.min(raised, last)))]),
        ...rest,
      ];
    const above = outer.slice(0, -1).map((s) => Math.min(s, Math.max(raised, first)));
    return [...outside([...above, raised]), at(to.s, (s) => footPlace(piece, place.u, s)), ...rest];
  });
  const mesh = sign === undefined ? loopsMesh(loops, into) : cappedLoopsMesh(loops, into);
  return isTapered(member) ? welded(mesh) : mesh;
}

/** Where a line of the wall begins and ends outside, and the places of its rims. */
interface Span {
  readonly first: Mm;
  readonly last: Mm;
  readonly start: readonly RimPlace[];
  readonly finish: readonly RimPlace[];
}

/** Where along each line of the wall the mesh has points, as functions of where that line begins and ends. */
function stationShares(
  { member, from, to }: StandInPiece,
  spans: readonly Span[],
  chordTolerance: Mm,
): readonly ((first: Mm, last: Mm) => Mm)[] {
  const finest = (a: Mm, b: Mm): readonly Mm[] => stationsBetween(member, { from: a, to: b }, chordTolerance / 2);
  const [starts, ends] = [
    spans.flatMap(({ first, start }) => [first, ...start.map(({ s }) => s)]),
    spans.flatMap(({ last, finish }) => [last, ...finish.map(({ s }) => s)]),
  ];
  if (isTapered(member)) {
    // Lines of a taper that run together have their points at the same places up to their own ends, and are one there.
    const stations = finest(Math.min(...starts), Math.max(...ends));
    return stations.map((s) => (first, last) => Math.max(first, Math.min(last, s)));
  }
  // A hair inside the cuts, so that no two stations fall together where a cut reaches in deepest.
  const low = from.cut ? Math.max(...starts) + 1 : from.s;
  const high = to.cut ? Math.min(...ends) - 1 : to.s;
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
