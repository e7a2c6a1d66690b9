import type { TaperSegment } from '../geometry/centerline.ts';
import { tubeKinks } from '../geometry/tube-shape.ts';
import { type FlatRuling, nearestOf, unrolledRulings } from '../geometry/unrolled.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { CutCurve, CutEnd } from '../solve/solution.ts';

/**
 * The side of a taper from the base line to past the cut, unrolled flat. A taper is developable (its tangent plane is the
 * same all along a ruling), so paper lies on it true to size: a sector of a ring for a cone, flat triangles and parts of
 * oblique cones for others. x to the right going clockwise, y outward; the line opposite the witness line stands upright.
 */
export interface WrapTaper {
  readonly base: readonly Vec2[];
  /** Edge of the paper past the cut. */
  readonly top: readonly Vec2[];
  readonly outer: readonly Vec2[];
  readonly square?: readonly Vec2[];
  /** Rulings at 0, 90, 180, 270 and again 0, from the base line to the top. */
  readonly witness: readonly (readonly [Vec2, Vec2])[];
  /** Up from the base line, one for each ordinate. */
  readonly ticks: readonly (readonly [Vec2, Vec2])[];
}

/** Paper past the highest point of the cut, as far as the taper goes. */
const OVER_TOP: Mm = 12;
/** Length of the ordinates' marks. */
const TICK: Mm = 2;
/** Rulings that are unrolled besides those asked for: chords of a 300 mm girth are 0.0003 mm short in all. */
const RULINGS = 1440;

/** The taper that the whole cut lies in; undefined where it lies elsewhere or runs over a taper's end. */
export function taperOfCut({ member, segments }: CutEnd): TaperSegment | undefined {
  const segment = member.centerline.segments[segments.first];
  return segments.first === segments.last && segment?.kind === 'taper' ? segment : undefined;
}

/** Whether paper lies flat on the tube where it is cut: not over the end of a taper, where the surface has an edge. */
export const canWrap = (end: CutEnd): boolean =>
  taperOfCut(end) !== undefined ||
  end.member.centerline.segments
    .slice(end.segments.first, end.segments.last + 1)
    .every((segment) => segment.kind !== 'taper');

interface Unrolling {
  readonly base: Mm;
  readonly outer: CutCurve;
  readonly square?: CutCurve;
  /** u of the ordinates. */
  readonly ticks: readonly number[];
}

/** Unroll the taper between the plane of the base line and past the cut. */
export function unrollTaper(end: CutEnd, taper: TaperSegment, plan: Unrolling): WrapTaper {
  const dir = end.end === 'end' ? 1 : -1;
  const curves = [plan.outer, ...(plan.square ? [plan.square] : [])];
  const high = Math.max(...curves.flatMap(({ samples }) => samples.map(({ s }) => dir * s)));
  const far = dir > 0 ? taper.s0 + taper.length : -taper.s0;
  const top = dir * Math.min(far, high + OVER_TOP);
  const us = rulingsOf(end, { curves, ticks: plan.ticks });
  const rulings = unrolledRulings(end.member, { us, base: plan.base, top, upright: 0.5 });
  const at = (u: number): FlatRuling => rulings[nearestOf(us, u)]!;
  const place = (u: number, s: Mm): Vec2 => {
    const { foot, way, speed } = at(u);
    const long = dir * (s - plan.base) * speed;
    return [foot[0] + way[0] * long, foot[1] + way[1] * long];
  };
  const line = ({ samples }: CutCurve): readonly Vec2[] => [
    ...samples.map(({ u, s }) => place(u, s)),
    place(1, samples[0]!.s),
  ];
  return {
    base: rulings.map(({ foot }) => foot),
    top: us.map((u) => place(u, top)),
    outer: line(plan.outer),
    ...(plan.square ? { square: line(plan.square) } : {}),
    witness: [0, 0.25, 0.5, 0.75, 1].map((u) => [place(u, plan.base), place(u, top)] as const),
    ticks: plan.ticks.map((u) => [place(u, plan.base), place(u, plan.base + dir * TICK)] as const),
  };
}

function rulingsOf(
  { member }: CutEnd,
  { curves, ticks }: { readonly curves: readonly CutCurve[]; readonly ticks: readonly number[] },
): readonly number[] {
  const us = [
    ...Array.from({ length: RULINGS }, (_, i) => i / RULINGS),
    ...ticks,
    ...tubeKinks(member),
    ...curves.flatMap(({ samples }) => samples.map(({ u }) => u)),
  ];
  return [...new Set(us), 1].sort((p, q) => p - q);
}
