import type { TaperSegment } from './centerline.ts';
import { type Form, formAt, formBetween, formNearest, type Quarter, support } from './form.ts';
import { formOf, type Section, sectionBetween } from './section.ts';
import { SAME_PLACE } from './tolerance.ts';
import type { Mm, Vec2 } from './vector.ts';

/**
 * A taper is the hull of its two end sections, which lie in parallel planes. Its rulings join the places of both that have
 * one normal, so the tangent plane is the same all along a ruling: the surface is developable, as a sheet-metal adapter is.
 * Round to round it is a cone; round to rectangle four flat triangles and four parts of oblique cones. Every section
 * between is again a sum of box, disk and ellipses in proportion, and width and height fall evenly along it.
 */
export const taperSection = ({ from, to, length }: TaperSegment, t: Mm): Section =>
  t < SAME_PLACE ? from : t > length - SAME_PLACE ? to : sectionBetween(from, to, t / length);

const formIn = (from: Form, to: Form, share: number): Form =>
  share === 0 ? from : share === 1 ? to : formBetween(from, to, share);

/** One straight line of the taper's surface: places beside the taper's own axis, mm and mm per mm along the heading. */
export interface Ruling {
  readonly at: Vec2;
  readonly slope: Vec2;
  /** Of the outline, the same all along. */
  readonly normal: Vec2;
  /** How fast the tangent plane rises outward along the heading. */
  readonly rise: number;
}

export function rulingAt({ from, to, length, shift }: TaperSegment, quarter: Quarter, u: number): Ruling {
  const [first, last] = [formAt(formOf(from), quarter, u), formAt(formOf(to), quarter, u)];
  const slope: Vec2 = [(last.point[0] - first.point[0]) / length, (last.point[1] - first.point[1]) / length];
  const rise =
    slope[0] * first.normal[0] +
    slope[1] * first.normal[1] +
    (shift[0] * first.normal[0] + shift[1] * first.normal[1]) / length;
  return { at: first.point, slope, normal: first.normal, rise };
}

/** Rise of the tangent plane with a given normal of the outline. */
const riseAt = (taper: TaperSegment, forms: readonly [Form, Form], n: Vec2): number =>
  (support(forms[1], n) - support(forms[0], n) + taper.shift[0] * n[0] + taper.shift[1] * n[1]) / taper.length;

export interface TaperNearest {
  /** Signed distance from the side of the taper; outside it counts the rims at both ends. */
  readonly distance: Mm;
  /** Along the heading from the taper's start to the nearest place, 0 to its length, and that place's normal in its outline. */
  readonly t: Mm;
  readonly normal: Vec2;
  /** Where the point itself lies beside the axis there. */
  readonly beside: Vec2;
}

const STEPS = 40;

/**
 * Nearest place of the side to a point at (a, b) beside the start's axis and t along the heading. Outside, the squared
 * distance over the slices is convex (the taper is), and its slope (x - t) - d(x) rise(x) is brought to zero; inside it is
 * the distance within the slice, turned to the tangent plane, which has the right sign and never claims too much.
 */
export function taperNearest(taper: TaperSegment, [a, b]: Vec2, t: Mm): TaperNearest {
  const { length, shift } = taper;
  const forms = [formOf(taper.from), formOf(taper.to)] as const;
  const look = (x: Mm) => {
    const k = x / length;
    const beside: Vec2 = [a - shift[0] * k, b - shift[1] * k];
    const near = formNearest(formIn(forms[0], forms[1], k), beside[0], beside[1]);
    const rise = riseAt(taper, forms, near.normal);
    return { x, beside, ...near, rise, slope: x - t - Math.max(0, near.distance) * rise };
  };
  const start = look(Math.max(0, Math.min(length, t)));
  if (start.distance <= 0) {
    const past = Math.max(-t, t - length, 0);
    const flat = start.distance / Math.hypot(1, start.rise);
    return { distance: past > 0 ? past : flat, t: start.x, normal: start.normal, beside: start.beside };
  }
  let [low, high] = [0, length];
  let at = start;
  for (let i = 0; i < STEPS; i++) {
    if (at.slope > 0) high = at.x;
    else low = at.x;
    const newton = at.x - at.slope / (1 + at.rise * at.rise);
    const next = newton >= low && newton <= high ? newton : newton < low ? low : high;
    const x = i % 4 === 3 && next !== newton ? (low + high) / 2 : next;
    if (Math.abs(x - at.x) <= 1e-12 * (1 + Math.abs(x))) break;
    at = look(x);
  }
  return { distance: Math.hypot(Math.max(0, at.distance), at.x - t), t: at.x, normal: at.normal, beside: at.beside };
}
