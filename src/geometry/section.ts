import { ellipseAt, ellipseDistance, ellipsePerimeter } from './ellipse.ts';
import {
  type Form,
  formArea,
  formAt,
  formBetween,
  formHalf,
  formKinks,
  formNearest,
  formPerimeter,
  formU,
  quarterOf,
  support,
} from './form.ts';
import { SHARP_CORNER } from './tolerance.ts';
import type { Mm, Vec2 } from './vector.ts';

/**
 * Cross-section of a tube, seen along the heading: first coordinate to the right, second up. Width lies right-left,
 * height up-down. Every section is symmetric about both axes.
 */
export type Section = RoundSection | FlatOvalSection | EllipseSection | RectangleSection | BlendSection;

export interface RoundSection {
  readonly kind: 'round';
  readonly od: Mm;
  readonly wall: Mm;
}

/** Two half circles and two flats. */
export interface FlatOvalSection {
  readonly kind: 'flat-oval';
  readonly width: Mm;
  readonly height: Mm;
  readonly wall: Mm;
}

export interface EllipseSection {
  readonly kind: 'ellipse';
  readonly width: Mm;
  readonly height: Mm;
  readonly wall: Mm;
}

/** Corner radius is the outside one. */
export interface RectangleSection {
  readonly kind: 'rectangle';
  readonly width: Mm;
  readonly height: Mm;
  readonly wall: Mm;
  readonly cornerRadius: Mm;
}

/** What a taper from or to an ellipse has between its ends; u counts equal normals on its arcs, not equal lengths. */
export interface BlendSection {
  readonly kind: 'blend';
  readonly width: Mm;
  readonly height: Mm;
  readonly wall: Mm;
  readonly form: Form;
}

export interface OutlinePoint {
  readonly point: Vec2;
  /** Unit, outward. */
  readonly normal: Vec2;
}

export const sectionWidth = (s: Section): Mm => (s.kind === 'round' ? s.od : s.width);
export const sectionHeight = (s: Section): Mm => (s.kind === 'round' ? s.od : s.height);
/** Radius of the smallest circle round the axis that holds the section. */
export const sectionReach = (s: Section): Mm => {
  // A blend lies within the circle of its parts added up.
  if (s.kind === 'blend')
    return s.form.ellipses.reduce((sum, e) => sum + Math.max(...e), Math.hypot(s.form.hx, s.form.hy) + s.form.r);
  if (s.kind !== 'rectangle') return Math.max(sectionWidth(s), sectionHeight(s)) / 2;
  const core = roundedCore(s);
  return Math.hypot(core.hx, core.hy) + core.r;
};

/** How far the section reaches from its axis toward a unit direction (right, up). */
export const reachToward = (s: Section, way: Vec2): Mm => support(formOf(s), way);

/** A rounded box: a core rectangle (or segment, or point) of half sizes hx, hy, grown by r. All sections but the ellipse. */
interface RoundedCore {
  readonly hx: Mm;
  readonly hy: Mm;
  readonly r: Mm;
}

function roundedCore(s: Exclude<Section, EllipseSection | BlendSection>): RoundedCore {
  if (s.kind === 'round') return { hx: 0, hy: 0, r: s.od / 2 };
  const r = s.kind === 'flat-oval' ? Math.min(s.width, s.height) / 2 : Math.max(s.cornerRadius, SHARP_CORNER);
  return { hx: s.width / 2 - r, hy: s.height / 2 - r, r };
}

/** The section as what its outline is drawn from. */
export function formOf(s: Section): Form {
  if (s.kind === 'blend') return s.form;
  if (s.kind === 'ellipse') return { hx: 0, hy: 0, r: 0, ellipses: [[s.width / 2, s.height / 2]] };
  return { ...roundedCore(s), ellipses: [] };
}

/** The section a share of the way along a taper: the hull of the two ends, cut there. */
export function sectionBetween(from: Section, to: Section, share: number): Section {
  if (share === 0) return from;
  if (share === 1) return to;
  const form = formBetween(formOf(from), formOf(to), share);
  const [x, y] = formHalf(form);
  const wall = from.wall + (to.wall - from.wall) * share;
  const size = { width: 2 * x, height: 2 * y, wall };
  if (form.ellipses.length > 0) return { kind: 'blend', ...size, form };
  if (form.hx === 0 && form.hy === 0) return { kind: 'round', od: 2 * form.r, wall };
  if (form.hx === 0 || form.hy === 0) return { kind: 'flat-oval', ...size };
  return { kind: 'rectangle', ...size, cornerRadius: form.r };
}

export function perimeter(s: Section): Mm {
  if (s.kind === 'blend') return formPerimeter(s.form);
  if (s.kind === 'ellipse') return ellipsePerimeter(s.width / 2, s.height / 2);
  const { hx, hy, r } = roundedCore(s);
  return 2 * Math.PI * r + 4 * (hx + hy);
}

/** Area inside the outline moved inward by `depth` (the wall for the bore). */
export function areaInside(s: Section, depth: Mm = 0): number {
  if (s.kind === 'ellipse' || s.kind === 'blend') {
    // Steiner's formula for a parallel curve of a convex outline.
    const whole = s.kind === 'blend' ? formArea(s.form) : (Math.PI * s.width * s.height) / 4;
    return whole - perimeter(s) * depth + Math.PI * depth * depth;
  }
  const { hx, hy, r } = roundedCore(s);
  const inner = r - depth;
  if (inner >= 0) return 4 * hx * hy + 4 * (hx + hy) * inner + Math.PI * inner * inner;
  return Math.max(0, 4 * (hx + inner) * (hy + inner));
}

/**
 * Outline point at u: u in [0,1) by arc length of the outside, 0 at up, clockwise looking along the heading. `depth`
 * moves it inward along the normal (the same u names one ray through the wall).
 */
export function outlineAt(s: Section, u: number, depth: Mm = 0): OutlinePoint {
  if (s.kind === 'blend') return inside(formAt(s.form, quarterOf(s.form), u), depth);
  if (s.kind === 'ellipse') return inside(ellipseAt(s.width / 2, s.height / 2, u), depth);
  const core = roundedCore(s);
  return insideCorner(core, inside(roundedAt(core, u), depth), depth);
}

const inside = ({ point, normal }: OutlinePoint, depth: Mm): OutlinePoint => ({
  point: [point[0] - depth * normal[0], point[1] - depth * normal[1]],
  normal,
});

/** Deeper than the corner radius the inside corner is sharp: rays that would cross behind it end in it. */
export function insideCorner(
  core: { readonly hx: Mm; readonly hy: Mm; readonly r: Mm },
  { point: moved, normal }: OutlinePoint,
  depth: Mm,
): OutlinePoint {
  const past = depth - core.r;
  if (past <= 0) return { point: moved, normal };
  const clamp = (x: number, half: Mm): number => Math.sign(x) * Math.min(Math.abs(x), Math.max(0, half - past));
  const corner: Vec2 = [
    Math.sign(normal[0]) * Math.max(0, core.hx - past),
    Math.sign(normal[1]) * Math.max(0, core.hy - past),
  ];
  const onArc = normal[0] !== 0 && normal[1] !== 0;
  return { point: onArc ? corner : [clamp(moved[0], core.hx), clamp(moved[1], core.hy)], normal };
}

function roundedAt({ hx, hy, r }: RoundedCore, u: number): OutlinePoint {
  const arc = (Math.PI / 2) * r;
  const quarter = hx + hy + arc;
  const turns = (((u % 1) + 1) % 1) * 4;
  const q = Math.min(3, Math.floor(turns));
  // Odd quarters are walked backward from the flat's middle, so that u and 1 - u are mirror images to the last bit.
  const back = q % 2 === 1;
  const run = (back ? q + 1 - turns : turns - q) * quarter;
  const p = quarterAt({ hx, hy, r }, run, arc);
  const sx = q < 2 ? 1 : -1;
  const sy = q === 0 || q === 3 ? 1 : -1;
  return { point: [sx * p.point[0], sy * p.point[1]], normal: [sx * p.normal[0], sy * p.normal[1]] };
}

/** First quarter, from the middle of the top to the middle of the right side, `run` mm along it. */
function quarterAt({ hx, hy, r }: RoundedCore, run: Mm, arc: Mm): OutlinePoint {
  if (run <= hx) return { point: [run, hy + r], normal: [0, 1] };
  if (run >= hx + arc) return { point: [hx + r, Math.max(0, hy - (run - hx - arc))], normal: [1, 0] };
  const t = (run - hx) / r;
  // sin and cos are taken from the nearer axis so that the quarter is symmetric.
  const far = (run - hx) * 2 > arc;
  const [sin, cos] = far ? [Math.cos(Math.PI / 2 - t), Math.sin(Math.PI / 2 - t)] : [Math.sin(t), Math.cos(t)];
  return { point: [hx + r * sin, hy + r * cos], normal: [sin, cos] };
}

/** Values of u where flats meet arcs: the outline is smooth between them. */
export function outlineKinks(s: Section): readonly number[] {
  if (s.kind === 'round' || s.kind === 'ellipse') return [0, 0.25, 0.5, 0.75];
  if (s.kind === 'blend') return formKinks(quarterOf(s.form));
  const { hx, hy, r } = roundedCore(s);
  const arc = (Math.PI / 2) * r;
  const total = 4 * (hx + hy + arc);
  const first = [hx / total, (hx + arc) / total];
  const all = [
    0,
    0.25,
    0.5,
    0.75,
    ...first,
    ...first.map((k) => 0.5 - k),
    ...first.map((k) => 0.5 + k),
    ...first.map((k) => 1 - k),
  ];
  return [...new Set(all.map((k) => k % 1))].sort((p, q) => p - q);
}

/** Signed distance from the outside outline, exact; negative inside. */
export function sectionDistance(s: Section, a: number, b: number): Mm {
  // Square roots, not Math.hypot: ten times faster, and millimeters neither overflow nor vanish.
  if (s.kind === 'round') return Math.sqrt(a * a + b * b) - s.od / 2;
  if (s.kind === 'ellipse') return ellipseDistance(s.width / 2, s.height / 2, a, b);
  if (s.kind === 'blend') return formNearest(s.form, a, b).distance;
  const { hx, hy, r } = roundedCore(s);
  const x = Math.abs(a) - hx;
  const y = Math.abs(b) - hy;
  const outX = Math.max(x, 0);
  const outY = Math.max(y, 0);
  return Math.sqrt(outX * outX + outY * outY) + Math.min(Math.max(x, y), 0) - r;
}

/** u of the outline point nearest (a, b): the inverse of `outlineAt` for points on or near the outline. */
export function outlineU(s: Section, a: number, b: number): number {
  if (s.kind === 'blend') return formU(s.form, quarterOf(s.form), [a, b]);
  const first = quarterU(s, Math.abs(a), Math.abs(b));
  const half = b >= 0 ? first : 0.5 - first;
  return a >= 0 ? half : (1 - half) % 1;
}

function quarterU(s: Exclude<Section, BlendSection>, a: number, b: number): number {
  if (s.kind === 'ellipse') return searchQuarter(s, a, b);
  const { hx, hy, r } = roundedCore(s);
  const arc = (Math.PI / 2) * r;
  const total = 4 * (hx + hy + arc);
  const x = a - hx;
  const y = b - hy;
  if (x > 0 && y > 0) return (hx + Math.atan2(x, y) * r) / total;
  return y > x ? Math.min(a, hx) / total : (hx + arc + hy - Math.min(b, hy)) / total;
}

function searchQuarter(s: EllipseSection, a: number, b: number): number {
  const gap = (u: number): number => {
    const { point, normal } = outlineAt(s, u);
    return (a - point[0]) * normal[1] - (b - point[1]) * normal[0];
  };
  let low = 0;
  let high = 0.25;
  for (let i = 0; i < 60; i++) {
    const mid = (low + high) / 2;
    if (gap(mid) > 0) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}

/** Number of equal facets that keeps an arc of the radius within the chord tolerance (sagitta r(1 - cos(pi/n))). */
export function facetsFor(radius: Mm, chordTolerance: Mm): number {
  const half = Math.acos(Math.max(0, 1 - chordTolerance / Math.max(radius, chordTolerance)));
  return Math.max(12, 4 * Math.ceil(Math.PI / half / 4));
}

/**
 * Outline point at u moved inward by any depth without folding: the plain parallel curve as far as the tightest arc
 * allows, then drawn in proportion. For lips and floors, which only have to clear the bore.
 */
export const insetAt = (s: Section, u: number, depth: Mm): Vec2 =>
  insetFrom(s, depth, (plain) => outlineAt(s, u, plain).point);

/** The same from the parallel curve at a depth that does not fold, however its places are counted. */
export function insetFrom(s: Section, depth: Mm, parallel: (depth: Mm) => Vec2): Vec2 {
  const plain = Math.min(depth, 0.8 * tightestArc(s));
  const point = parallel(plain);
  const halfX = sectionWidth(s) / 2 - plain;
  const halfY = sectionHeight(s) / 2 - plain;
  const more = depth - plain;
  return [(point[0] * Math.max(0.1, halfX - more)) / halfX, (point[1] * Math.max(0.1, halfY - more)) / halfY];
}

/** Least radius of the outline's arcs; radii of what a blend is made of add up where their normals agree. */
export function tightestArc(s: Section): Mm {
  if (s.kind === 'ellipse' || s.kind === 'blend') {
    const { r, ellipses } = formOf(s);
    return ellipses.reduce((sum, [p, q]) => sum + Math.min(p, q) ** 2 / Math.max(p, q), r);
  }
  return roundedCore(s).r;
}
