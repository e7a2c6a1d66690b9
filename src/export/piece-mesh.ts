import { IDENTITY } from '../geometry/placement.ts';
import { generatorOf, isTapered, meanPerimeter } from '../geometry/tube-shape.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { CutCurve, CutEnd, Piece } from '../solve/solution.ts';
import { outlineUs } from '../tooling/stations.ts';
import { loopsMesh, welded } from '../tooling/sweep.ts';

/** For looking at: facets of a tube stay this near to it, and a step along a bend is this share of its clr at most. */
const BOW: Mm = 0.05;
const STEP = 0.05;
const MOST_STEPS = 400;
/** Generators round a tube besides those its outline needs, so that a curved cut is drawn as curved on a flat side too. */
const AROUND = 96;
/** A narrower facet turns with the last bits of its corners. */
const NARROWEST: Mm = 0.2;
/** From the deepest point of a cut to the first ring round the tube. */
const PAST_CUT: Mm = 1;

/** A piece as a hollow tube from cut to cut; the wall's edge follows the solved curves of outside and bore. */
export function pieceMesh(piece: Piece): Mesh {
  const { member } = piece;
  const stations = stationsOf(piece);
  const loops = generatorsOf(piece).map((u) => {
    const side = (surface: 'outer' | 'inner'): readonly Vec3[] => {
      const s0 = piece.startEnd ? curveAt(piece.startEnd.curves[surface], u) : piece.from;
      const s1 = piece.finishEnd ? curveAt(piece.finishEnd.curves[surface], u) : piece.to;
      const { pointAt } = generatorOf(member, u, surface === 'outer' ? 0 : member.section.wall);
      return stations.map((station) => pointAt(station(s0, s1)));
    };
    return [...side('outer'), ...[...side('inner')].reverse()];
  });
  const mesh = loopsMesh(loops, IDENTITY);
  return isTapered(member) ? welded(mesh) : mesh;
}

/** u of the generators that are drawn: as many as outline and cuts need, first those where a cut goes from one stop to the next. */
function generatorsOf({ member, startEnd, finishEnd }: Piece): readonly number[] {
  const least = NARROWEST / meanPerimeter(member);
  const needed = [
    ...[startEnd, finishEnd].flatMap((end) => (end ? changesOf(end) : [])),
    ...[startEnd, finishEnd].flatMap((end) => (end ? cornersOf(end) : [])),
    ...outlineUs(member, 0, BOW),
  ];
  const kept: number[] = [];
  for (const u of needed) {
    const apart = (v: number): number => Math.min(Math.abs(u - v), 1 - Math.abs(u - v));
    if (kept.every((v) => apart(v) > least)) kept.push(u);
  }
  kept.sort((p, q) => p - q);
  return kept.flatMap((from, i) => {
    const to = kept[i + 1] ?? kept[0]! + 1;
    const steps = Math.ceil((to - from) * AROUND - 1e-9);
    return Array.from({ length: Math.max(1, steps) }, (_, k) => (from + ((to - from) * k) / steps) % 1);
  });
}

const changesOf = ({ curves: { outer } }: CutEnd): readonly number[] =>
  outer.samples.flatMap(({ u, stop }, i) => (stop === outer.samples.at(i - 1)!.stop ? [] : [u]));

/** u of the samples that a curve cannot do without: the rest lie near the chords between them (D. H. Douglas, T. K. Peucker 1973). */
function cornersOf({ curves: { outer }, member }: CutEnd): readonly number[] {
  const around = meanPerimeter(member);
  const points = outer.samples.map(({ u, s }): Vec2 => [u * around, s]);
  points.push([around, points[0]![1]]);
  const kept: number[] = [];
  const between = (from: number, to: number): void => {
    const [p, q] = [points[from]!, points[to]!];
    const chord = Math.hypot(q[0] - p[0], q[1] - p[1]);
    let [farthest, off] = [from, BOW];
    for (let i = from + 1; i < to; i++) {
      const [x, y] = [points[i]![0] - p[0], points[i]![1] - p[1]];
      const distance = Math.abs(x * (q[1] - p[1]) - y * (q[0] - p[0])) / chord;
      if (distance > off) [farthest, off] = [i, distance];
    }
    if (farthest === from) return;
    between(from, farthest);
    kept.push(points[farthest]![0] / around);
    between(farthest, to);
  };
  between(0, points.length - 1);
  return kept;
}

/** Where along a generator from s0 to s1 its points lie: shared places where both cuts are past, shares of the rest. */
type Station = (s0: Mm, s1: Mm) => Mm;

/**
 * Between the two cuts lie rings at the tangent points and along the bends; from a cut to the first ring, generators are
 * parted in equal steps. Where the cuts overlap along the piece there is no ring, and all of it is parted so.
 */
function stationsOf(piece: Piece): readonly Station[] {
  const { startEnd, finishEnd } = piece;
  const reach = (end: CutEnd | undefined, plain: Mm): readonly Mm[] =>
    end ? [...end.curves.outer.samples, ...end.curves.inner.samples].map(({ s }) => s) : [plain];
  const starts = reach(startEnd, piece.from);
  const ends = reach(finishEnd, piece.to);
  const [first, last] = [extreme(starts, -1), extreme(ends, 1)];
  const inner = [extreme(starts, 1), extreme(ends, -1)] as const;
  // A ring that touches the cut would have points that fall together.
  const off = Math.min(PAST_CUT, (inner[1] - inner[0]) / 4);
  const low = inner[0] > first ? inner[0] + off : first;
  const high = inner[1] < last ? inner[1] - off : last;
  if (!(off > 0)) {
    const steps = stepsBetween(piece, first, last);
    return Array.from(
      { length: steps + 1 },
      (_, k): Station =>
        (s0, s1) =>
          s0 + ((s1 - s0) * k) / steps,
    );
  }
  const before = low > first ? stepsBetween(piece, first, low) : 0;
  const after = last > high ? stepsBetween(piece, high, last) : 0;
  return [
    ...Array.from(
      { length: before },
      (_, k): Station =>
        (s0) =>
          s0 + ((low - s0) * k) / before,
    ),
    ...ringsBetween(piece, low, high).map(
      (s): Station =>
        () =>
          s,
    ),
    ...Array.from(
      { length: after },
      (_, k): Station =>
        (_s0, s1) =>
          high + ((s1 - high) * (k + 1)) / after,
    ),
  ];
}

/** The largest of many with sign 1, the smallest with -1; a curve has more samples than a call takes arguments. */
const extreme = (values: readonly Mm[], sign: 1 | -1): Mm =>
  values.reduce((far, value) => (sign * value > sign * far ? value : far), -sign * Number.POSITIVE_INFINITY);

function ringsBetween(piece: Piece, low: Mm, high: Mm): readonly Mm[] {
  const { segments } = piece.member.centerline;
  const marks = [low, ...segments.map(({ s0 }) => s0).filter((s) => s > low + 1e-6 && s < high - 1e-6), high];
  return marks.flatMap((from, i) => {
    const to = marks[i + 1];
    if (to === undefined) return [from];
    const steps = stepsBetween(piece, from, to);
    return Array.from({ length: steps }, (_, k) => from + ((to - from) * k) / steps);
  });
}

/** Steps that a stretch needs by the tightest bend in it; one where it is straight. */
function stepsBetween({ member }: Piece, from: Mm, to: Mm): number {
  const clrs = member.centerline.segments.flatMap((segment) =>
    segment.kind === 'bend' && segment.s0 < to - 1e-6 && segment.s0 + segment.length > from + 1e-6 ? [segment.clr] : [],
  );
  if (clrs.length === 0) return 1;
  return Math.min(MOST_STEPS, Math.max(1, Math.ceil((to - from) / (STEP * Math.min(...clrs)))));
}

/** s at u, between the curve's samples. */
function curveAt({ samples }: CutCurve, u: number): Mm {
  const after = samples.findIndex((sample) => sample.u > u);
  const p = after === 0 ? { ...samples.at(-1)!, u: samples.at(-1)!.u - 1 } : samples.at(after < 0 ? -1 : after - 1)!;
  const q = after < 0 ? { ...samples[0]!, u: samples[0]!.u + 1 } : samples[after]!;
  return p.s + ((u - p.u) / (q.u - p.u)) * (q.s - p.s);
}
