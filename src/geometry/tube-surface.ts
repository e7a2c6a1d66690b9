import { frameAt } from './centerline.ts';
import { sidePlace } from './distance.ts';
import { formRun, formU, type Quarter, quarterLength } from './form.ts';
import { formOf, outlineU, perimeter, sectionReach } from './section.ts';
import { rulingAt, taperSection } from './taper.ts';
import { SAME_PLACE } from './tolerance.ts';
import {
  type Generator,
  generatorOf,
  isTapered,
  quarterFor,
  sectionAt,
  type TubeShape,
  tapersOf,
} from './tube-shape.ts';
import { along, dot, type Mm, sub, type Vec2, type Vec3 } from './vector.ts';

/** Unit normal of the surface at (u, s), outward. */
export function surfaceNormal(tube: TubeShape, u: number, s: Mm): Vec3 {
  const generator = generatorOf(tube, u);
  return normalOf(tube, generator.besideAt(s).normal, { s, rise: generator.riseAt(s) });
}

function normalOf({ centerline }: TubeShape, [a, b]: Vec2, at: { readonly s: Mm; readonly rise: number }): Vec3 {
  const { right, up, heading } = frameAt(centerline, at.s);
  const lean = Math.hypot(1, at.rise);
  return [0, 1, 2].map((k) => (right[k]! * a + up[k]! * b - heading[k]! * at.rise) / lean) as unknown as Vec3;
}

/**
 * Point `out` beyond the surface at (u, s), square to it; where two segments of a tapered tube meet, on both their
 * surfaces moved outward, so that a bore built from such points is nowhere nearer to the tube.
 */
export function surfacePoint(
  tube: TubeShape,
  { u, s, out }: { readonly u: number; readonly s: Mm; readonly out: Mm },
): Vec3 {
  const generator = generatorOf(tube, u);
  const p = generator.pointAt(s);
  const { normal } = generator.besideAt(s);
  if (!isTapered(tube)) return along(p, normalOf(tube, normal, { s, rise: 0 }), out);
  const rises = [-SAME_PLACE, SAME_PLACE].map((step) => generator.riseAt(s + 2 * step));
  const [q, r] = rises.map((rise) => Math.hypot(1, rise)) as [number, number];
  // Both unit normals lie in the plane of the outline's normal and the heading: their sum over 1 + their product.
  const product = (1 + rises[0]! * rises[1]!) / (q * r);
  const { right, up, heading } = frameAt(tube.centerline, s);
  const [inPlane, back] = [(1 / q + 1 / r) / (1 + product), (rises[0]! / q + rises[1]! / r) / (1 + product)];
  const step: Vec3 = [0, 1, 2].map(
    (k) => inPlane * (right[k]! * normal[0] + up[k]! * normal[1]) - back * heading[k]!,
  ) as unknown as Vec3;
  return along(p, step, out);
}

/** The same with how far along the tube it comes to lie: before or past s, where a taper begins or ends there. */
export function kinkPoint(
  tube: TubeShape,
  at: { readonly u: number; readonly s: Mm; readonly out: Mm },
): { readonly s: Mm; readonly point: Vec3 } {
  const point = surfacePoint(tube, at);
  const { origin, heading } = frameAt(tube.centerline, at.s);
  return { s: at.s + dot(sub(point, origin), heading), point };
}

/**
 * Where a taper begins or ends so near to the end of a bore at `from` that the kink of the bore, moved off the tube, may lie
 * on the other side of it.
 */
export const kinksBeside = (tube: TubeShape, from: Mm): readonly Mm[] =>
  tapersOf(tube)
    .flatMap(({ s0, length }) => [s0, s0 + length])
    .filter((s) => Math.abs(s - from) < KINK_REACH);

/** mm. More than a kink moves along the tube: half the slope's share of the widest room or wall that is laid round a tube. */
const KINK_REACH: Mm = 3;

/** Where on the tube's side a point stands. */
export interface SurfacePlace {
  readonly u: number;
  readonly s: Mm;
}

/** The place of the side square beneath a point: u of the generator there and its s. */
export function surfacePlace(tube: TubeShape, p: Vec3): SurfacePlace {
  const { segment, s, a, b } = sidePlace(tube.centerline, tube.section, p);
  if (!isTapered(tube)) return { u: outlineU(tube.section, a, b), s };
  const section = segment.kind === 'taper' ? taperSection(segment, s - segment.s0) : (segment.section ?? tube.section);
  return { u: formU(formOf(section), quarterFor(tube), [a, b]), s };
}

/** The generator whose outline normal is the given one; at a flat, its middle. */
export function uFacing(tube: TubeShape, way: Vec2): number {
  // What rounding leaves of a direction square to a flat would lead to the flat's end.
  const [nx, ny] = way.map((x) => (Math.abs(x) < SAME_PLACE ? 0 : x)) as unknown as Vec2;
  if (!isTapered(tube)) {
    const far = 8 * sectionReach(tube.section);
    return outlineU(tube.section, far * nx, far * ny);
  }
  const { flatX, arc, flatY }: Quarter = quarterFor(tube);
  const turn = Math.atan2(Math.abs(nx), Math.abs(ny)) / (Math.PI / 2);
  const run = turn === 0 ? 0 : turn === 1 ? flatX + arc + flatY : flatX + turn * arc;
  const first = run / (4 * quarterLength(quarterFor(tube)));
  const half = ny >= 0 ? first : 0.5 - first;
  return nx >= 0 ? half : (1 - half) % 1;
}

/** How much longer than square to the surface a step is in the plane square to the centerline, at most: 1 without tapers. */
export function steepest(tube: TubeShape): number {
  const quarter = quarterFor(tube);
  const rises = tapersOf(tube).flatMap((taper) =>
    Array.from({ length: LOOKS }, (_, i) => rulingAt(taper, quarter, i / LOOKS).rise),
  );
  return rises.reduce((most, rise) => Math.max(most, Math.hypot(1, rise)), 1);
}

const LOOKS = 64;

/** Whether the tube grows, or stays as it is, all round and all along from one s to another; both in one heading. */
export function growsAlong(tube: TubeShape, from: Mm, to: Mm): boolean {
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  const quarter = quarterFor(tube);
  return tapersOf(tube)
    .filter(({ s0, length }) => s0 < high - SAME_PLACE && s0 + length > low + SAME_PLACE)
    .every((taper) =>
      Array.from({ length: LOOKS }, (_, i) => rulingAt(taper, quarter, i / LOOKS).rise).every(
        (rise) => rise * Math.sign(to - from) >= -SAME_PLACE,
      ),
    );
}

/** Length round the outside in the plane at s, from the witness line clockwise to u. */
export const lengthRound = (tube: TubeShape, s: Mm, u: number): Mm =>
  isTapered(tube) ? formRun(formOf(sectionAt(tube, s)), quarterFor(tube), u) : u * perimeter(tube.section);

/** The u that lies a share of the way round in the plane at s: the inverse of `lengthRound`. */
export function uAtShare(tube: TubeShape, s: Mm, share: number): number {
  if (!isTapered(tube) || (share * 4) % 1 === 0) return share;
  const wanted = share * lengthRound(tube, s, 1 - Number.EPSILON);
  let [low, high] = [0, 1];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (lengthRound(tube, s, middle) < wanted) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Length on the tube's own surface along the generator at u, from one s to another; negative backward. */
export const generatorLength = (tube: TubeShape, u: number, span: SpanOfS): Mm =>
  lineLength(tube.centerline, generatorOf(tube, u), span);

export interface SpanOfS {
  readonly from: Mm;
  readonly to: Mm;
}

/** The same of any line along the tube that knows how fast it runs, evenly in each segment. */
export function lineLength(
  { segments }: TubeShape['centerline'],
  line: Pick<Generator, 'speedAt'>,
  { from, to }: SpanOfS,
): Mm {
  const [low, high] = [Math.min(from, to), Math.max(from, to)];
  let more = 0;
  for (const segment of segments) {
    if (segment.kind === 'straight') continue;
    const inside = Math.min(high, segment.s0 + segment.length) - Math.max(low, segment.s0);
    if (inside > 0) more += inside * (line.speedAt(segment.s0 + segment.length / 2) - 1);
  }
  return Math.sign(to - from) * (high - low + more);
}
