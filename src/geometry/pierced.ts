import { arcsAlong, type CurvePoint } from './arc-fit.ts';
import { type FlatLoop, type PathCorner, tidyLoop } from './flat-path.ts';
import type { Frame } from './frame.ts';
import type { Placement } from './placement.ts';
import { outlineAt, outlineKinks, type Section } from './section.ts';
import { PLATE_ARC } from './tolerance.ts';
import { dot, type Mm, sub, type Vec2 } from './vector.ts';

/** Steepest a tube may lie to a plate, as the cosine between its heading and the plate's normal (80 deg from square). */
export const LEAST_PIERCING = 0.17;

/** Pieces of outline shorter than this are corners: no cutter follows them. */
const SHORT: Mm = 1e-4;

interface Piercing {
  /** Room left round the tube, mm, square to its outside; minus the wall for the bore. */
  readonly grow: Mm;
  /** Thickness of the plate, half of it on each side of the plane; 0 for the section in the plane itself. */
  readonly thickness: Mm;
}

/**
 * The hole a straight tube needs in a flat plate cut square to its faces: the tube's oblique sections in both faces and all
 * between them (their hull), in the plate's own x and y. Square to the plate it is the section itself, of true arcs; leaning,
 * ellipses are made of arcs within a two-hundredth of a millimeter.
 */
export function piercedLoop(
  tube: { readonly section: Section; readonly frame: Frame },
  plane: Placement,
  { grow, thickness }: Piercing,
): FlatLoop {
  const { section, frame } = tube;
  const into = dot(plane.z, frame.heading);
  const lean: Vec2 = [dot(plane.x, frame.heading) / into, dot(plane.y, frame.heading) / into];
  const off = sub(frame.origin, plane.origin);
  /** What lies (a, b) beside the axis, carried along the heading into the plane; `rise` is the height it starts at. */
  const flat = ([a, b]: Vec2, from: Vec2, rise: number): Vec2 => {
    const height = rise + a * dot(plane.z, frame.right) + b * dot(plane.z, frame.up);
    const at = (axis: Placement['x'], start: number): number =>
      start + a * dot(axis, frame.right) + b * dot(axis, frame.up);
    return [at(plane.x, from[0]) - height * lean[0], at(plane.y, from[1]) - height * lean[1]];
  };
  const origin: Vec2 = [dot(off, plane.x), dot(off, plane.y)];
  const pointAt = (u: number): CurvePoint => {
    const { point, normal } = outlineAt(section, u, -grow);
    return { at: flat(point, origin, dot(off, plane.z)), along: flat([normal[1], -normal[0]], [0, 0], 0) };
  };
  const step: Vec2 = [thickness * lean[0], thickness * lean[1]];
  const corners = piecesOf(section, (u) => leans(pointAt(u), step)).flatMap(([from, to]): readonly PathCorner[] => {
    const [p, q] = [pointAt(from).at, pointAt(to).at];
    if (Math.hypot(q[0] - p[0], q[1] - p[1]) < SHORT) return [];
    const side = leans(pointAt((from + to) / 2), step) * Math.sign(into) > 0 ? 0.5 : -0.5;
    const arcs = arcsAlong((t) => pointAt(from + (to - from) * t), PLATE_ARC);
    const moved = [...arcs, { at: q, bulge: 0 }].map(
      ({ at, bulge }): PathCorner => ({ at: [at[0] + side * step[0], at[1] + side * step[1]], bulge }),
    );
    // The line to the piece beside it, where the two are moved apart.
    return step[0] === 0 && step[1] === 0 ? moved.slice(0, -1) : moved;
  });
  return tidyLoop(corners);
}

/** Positive where the outline looks (to the right of the way it runs) along the step. */
const leans = ({ along }: CurvePoint, step: Vec2): number => along[1] * step[0] - along[0] * step[1];

/** Stretches of u between kinks, parted where a function changes sign (once at most in a stretch: the outline is convex). */
function piecesOf(section: Section, sign: (u: number) => number): readonly (readonly [number, number])[] {
  const kinks = outlineKinks(section);
  return kinks.flatMap((from, i) => {
    const to = kinks[i + 1] ?? kinks[0]! + 1;
    if (!(sign(from) * sign(to) < 0)) return [[from, to] as const];
    let [low, high] = [from, to];
    for (let k = 0; k < 60; k++) {
      const middle = (low + high) / 2;
      if (sign(middle) * sign(from) > 0) low = middle;
      else high = middle;
    }
    return [[from, low] as const, [low, to] as const];
  });
}
