import type { TaperSegment } from '../geometry/centerline.ts';
import { besideCenterline } from '../geometry/distance.ts';
import { outlinePlace } from '../geometry/outline-place.ts';
import { perimeter } from '../geometry/section.ts';
import { SAME_PLACE } from '../geometry/tolerance.ts';
import { isTapered, tapersOf } from '../geometry/tube-shape.ts';
import { generatorLength, lengthRound, surfacePlace } from '../geometry/tube-surface.ts';
import { type FlatRuling, nearestOf, unrolledRulings } from '../geometry/unrolled.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { CutCurve, Member, OpeningSample } from './solution.ts';

/** Where on a run's outside something lies. */
export interface PlaceOnRun {
  readonly s: Mm;
  readonly u: number;
}

/** u and s of the place of a run beneath a point of its outside, or near it. */
export function placeOnRun(run: Member, p: Vec3): PlaceOnRun {
  if (isTapered(run)) return surfacePlace(run, p);
  const { s, a, b } = besideCenterline(run.centerline, run.section, p);
  return { s, u: outlinePlace(run.section, a, b) };
}

/**
 * Points of a hole on the run, from its center: along it and round it on the run's own lines. On a taper, which is
 * developable, they are those of the flat pattern, upright on the center's ruling: what a tape laid square to that line shows.
 */
export function placedOnRun(samples: CutCurve['samples'], run: Member, center: PlaceOnRun): readonly OpeningSample[] {
  let before = center.u;
  const places = samples.map(({ point }) => {
    const { s, u: place } = placeOnRun(run, point);
    // The way round goes on from the last sample, so that a hole over the witness line stays in one piece.
    const u = before + ((place - before + 1.5) % 1) - 0.5;
    before = u;
    return { s, u };
  });
  const taper = taperUnder(run, [center, ...places]);
  const flat = taper ? onTaper(run, taper, { places, center }) : places.map((at) => onLines(run, at, center));
  return samples.map(({ u: v, point }, i) => ({ v, ...places[i]!, x: flat[i]![0], y: flat[i]![1], point }));
}

/** The taper that all places lie on; undefined where one lies beside it. */
export const taperUnder = (run: Member, places: readonly PlaceOnRun[]): TaperSegment | undefined =>
  tapersOf(run).find(({ s0, length }) => places.every(({ s }) => s > s0 - SAME_PLACE && s < s0 + length + SAME_PLACE));

/** Whether paper with a hole's edge lies flat on the run: not over the end of a taper, where the surface has an edge. */
export const liesFlat = (run: Member, places: readonly PlaceOnRun[]): boolean =>
  taperUnder(run, places) !== undefined ||
  tapersOf(run).every(({ s0, length }) => places.every(({ s }) => s < s0 + SAME_PLACE || s > s0 + length - SAME_PLACE));

const turnShare = (u: number): number => ((u % 1) + 1) % 1;

function onLines(run: Member, { s, u }: PlaceOnRun, center: PlaceOnRun): Vec2 {
  const y = generatorLength(run, turnShare(u), { from: center.s, to: s });
  if (!isTapered(run)) return [(u - center.u) * perimeter(run.section), y];
  const whole = lengthRound(run, s, 1 - Number.EPSILON);
  const round = (at: number): Mm => Math.floor(at) * whole + lengthRound(run, s, turnShare(at));
  return [round(u) - round(center.u), y];
}

/** Steps of a turn that rulings are laid down in. */
const RULINGS = 1440;

function onTaper(
  run: Member,
  taper: TaperSegment,
  { places, center }: { readonly places: readonly PlaceOnRun[]; readonly center: PlaceOnRun },
): readonly Vec2[] {
  const all = [center.u, ...places.map(({ u }) => u)];
  const [low, high] = [Math.min(...all), Math.max(...all)];
  const count = Math.ceil((high - low) * RULINGS);
  const steps = Array.from({ length: count }, (_, i) => low + ((high - low) * i) / count);
  const us = [...new Set([...all, ...steps])].sort((p, q) => p - q);
  const { s0: base, length } = taper;
  const rulings = unrolledRulings(run, { us, base, top: base + length, upright: center.u });
  const place = ({ u, s }: PlaceOnRun): Vec2 => {
    const { foot, way, speed }: FlatRuling = rulings[nearestOf(us, u)]!;
    return [foot[0] + way[0] * (s - base) * speed, foot[1] + way[1] * (s - base) * speed];
  };
  const origin = place(center);
  return places.map((at) => {
    const [x, y] = place(at);
    return [x - origin[0], y - origin[1]];
  });
}
