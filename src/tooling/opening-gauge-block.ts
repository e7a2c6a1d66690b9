import { frameAt } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { outlinePlace } from '../geometry/outline-place.ts';
import { outlineAt } from '../geometry/section.ts';
import { isTapered, sectionMarks, tapersOf } from '../geometry/tube-shape.ts';
import { steepest as slantOf } from '../geometry/tube-surface.ts';
import { add, along, cross, dot, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Bed } from './cradle.ts';
import { isLevel } from './cradle.ts';
import { extentsAt, framesAt, stationsBetween } from './stations.ts';
import type { HeldMember } from './tool.ts';

/** Flanks are left out where less of a flat would remain to stand on. */
const LEAST_FLAT: Mm = 12;
/** Wall below the deepest place of the hole. */
const BELOW_HOLE: Mm = 8;

/** Whether a stretch of a tube touches a taper. */
export const touchesTaper = (run: HeldMember, { from, to }: { readonly from: Mm; readonly to: Mm }): boolean =>
  tapersOf(run).some(({ s0, length: long }) => s0 < to && s0 + long > from);

/** Half width that a straight block about the axis at one place needs over a stretch, where an eccentric taper goes aside. */
export function widestOver(
  run: HeldMember,
  { from, to, about, up }: { readonly from: Mm; readonly to: Mm; readonly about: Mm; readonly up: Vec3 },
): Mm {
  const { origin, heading } = frameAt(run.centerline, about);
  const across = cross(up, heading);
  const places = [from, about, to, ...sectionMarks(run).filter((s) => s > from && s < to)];
  return Math.max(
    ...places.map((s) => {
      const aside = Math.abs(dot(sub(frameAt(run.centerline, s).origin, origin), across));
      return extentsAt(run, s, up).across + aside;
    }),
  );
}

/** Set the table below the lowest place of the tube, and the walls past its axis and the deepest place of the hole. */
export function heights(
  bed: Bed,
  span: {
    readonly from: Mm;
    readonly to: Mm;
    readonly room: Mm;
    readonly under: Mm;
    readonly edge: readonly Vec3[];
  },
) {
  const stations = stationsBetween(bed.member, span, bed.chordTolerance);
  const frames = framesAt(bed.member, stations);
  const ranges = frames.map((frame, i) => ({
    middle: dot(frame.origin, bed.at.z),
    half: extentsAt(bed.member, stations[i]!, bed.at.z).out,
  }));
  const lowest = Math.min(...ranges.map((x) => x.middle - x.half));
  const axis = Math.max(...ranges.map((x) => x.middle));
  const shoulder = Math.max(...ranges.map((x) => x.middle + 0.35 * x.half));
  const deepest = Math.max(...span.edge.map((p) => dot(p, bed.at.z))) + BELOW_HOLE;
  const clear = isTapered(bed.member) ? span.room * slantOf(bed.member) : span.room;
  const table = lowest - clear - span.under;
  const at = { ...bed.at, origin: along(bed.at.origin, bed.at.z, table - dot(bed.at.origin, bed.at.z)) };
  return {
    bed: { ...bed, at },
    axis: axis - table,
    wallTop: Math.max(shoulder, deepest) - table,
    level: isLevel(bed, frames),
  };
}

/** Where the sides may slope in toward the table at 45 degrees and still leave the wall; none over a tilted tube or a small one. */
export function flanksOf(
  bed: Bed | undefined,
  of: {
    readonly frame: Frame;
    readonly half: Mm;
    readonly room: Mm;
    readonly wall: Mm;
    readonly axis: Mm;
    readonly sideReach: Mm;
    readonly level: boolean;
    /** Wider than the bed. */
    readonly wide: boolean;
  },
): { readonly flanks?: readonly [Mm, Mm] } {
  // Under a taper, which rises over the table and falls, the sides stand upright; and in pieces, that the outer ones stand.
  if (!of.level || !bed || of.wide) return {};
  const { frame, axis, sideReach } = of;
  const across = unit(cross(bed.at.z, frame.heading));
  const reach = (side: 1 | -1): Mm => {
    const way = unit(add(scale(across, side), scale(bed.at.z, -1)));
    const [a, b] = [dot(way, frame.right), dot(way, frame.up)];
    const u = outlinePlace(bed.member.section, a, b);
    // The farthest place that way, of all round.
    const places = Array.from({ length: 720 }, (_, i) => outlineAt(bed.member.section, (u + i / 720) % 1).point);
    return Math.max(...places.map(([x, y]) => x * a + y * b)) + of.room + of.wall;
  };
  const flats = [reach(1), reach(-1)].map((h) => h * Math.SQRT2 - axis) as [Mm, Mm];
  if (flats.some((flat) => flat < LEAST_FLAT) || flats.every((flat) => flat >= sideReach - 1)) return {};
  return { flanks: [Math.min(sideReach, flats[0]), Math.min(sideReach, flats[1])] };
}
