import { ellipsePerimeter } from './ellipse.ts';
import type { Mm, Vec2 } from './vector.ts';

/**
 * What an outline is drawn from: a box of half sizes hx and hy grown by a disk of radius r and by ellipses given by their
 * semi-axes (right, up); all add up place by place of equal normal (Minkowski sum). What lies between two such outlines is
 * one again, with every size in proportion, so that all sections of a taper are.
 */
export interface Form {
  readonly hx: Mm;
  readonly hy: Mm;
  readonly r: Mm;
  readonly ellipses: readonly Vec2[];
}

/** The form at a share of the way from one to another: where the hull of the two is cut there, parallel to both. */
export function formBetween(from: Form, to: Form, share: number): Form {
  const mix = (p: Mm, q: Mm): Mm => p + (q - p) * share;
  return {
    hx: mix(from.hx, to.hx),
    hy: mix(from.hy, to.hy),
    r: mix(from.r, to.r),
    ellipses: [...scaled(from.ellipses, 1 - share), ...scaled(to.ellipses, share)],
  };
}

const scaled = (ellipses: readonly Vec2[], k: number): readonly Vec2[] =>
  k === 0 ? [] : ellipses.map(([p, q]): Vec2 => [p * k, q * k]);

/** Half width and half height: they fall evenly along a taper. */
export const formHalf = ({ hx, hy, r, ellipses }: Form): Vec2 => [
  ellipses.reduce((sum, [p]) => sum + p, hx + r),
  ellipses.reduce((sum, [, q]) => sum + q, hy + r),
];

/** Distance of the outline's tangent with a unit normal from the axis. */
export function support({ hx, hy, r, ellipses }: Form, [nx, ny]: Vec2): Mm {
  let h = hx * Math.abs(nx) + hy * Math.abs(ny) + r;
  for (const [p, q] of ellipses) h += Math.sqrt(p * p * nx * nx + q * q * ny * ny);
  return h;
}

export const formPerimeter = ({ hx, hy, r, ellipses }: Form): Mm =>
  ellipses.reduce((sum, [p, q]) => sum + ellipsePerimeter(p, q), 2 * Math.PI * r + 4 * (hx + hy));

const AREA_STEPS = 64;

/** Area inside, from the support function: half the integral of h^2 - h'^2 over the turn (Simpson, smooth in a quarter). */
export function formArea(form: Form): number {
  const { hx, hy, ellipses } = form;
  const at = (k: number): number => {
    const t = (Math.PI / 2) * (k / AREA_STEPS);
    const [s, c] = [Math.sin(t), Math.cos(t)];
    const h = support(form, [s, c]);
    const slope = ellipses.reduce(
      (sum, [p, q]) => sum + ((p * p - q * q) * s * c) / Math.sqrt(p * p * s * s + q * q * c * c),
      hx * c - hy * s,
    );
    return h * h - slope * slope;
  };
  let sum = at(0) + at(AREA_STEPS);
  for (let k = 1; k < AREA_STEPS; k++) sum += (k % 2 === 1 ? 4 : 2) * at(k);
  return (2 * sum * (Math.PI / 2)) / (3 * AREA_STEPS);
}

/** How a quarter of the turn is shared between its flat, its arc and its other flat; the same for all outlines of a tube. */
export interface Quarter {
  readonly flatX: Mm;
  readonly arc: Mm;
  readonly flatY: Mm;
}

export const quarterOf = (form: Form): Quarter => ({
  flatX: form.hx,
  arc: form.ellipses.reduce((sum, [p, q]) => sum + quarterEllipse(p, q), (Math.PI / 2) * form.r),
  flatY: form.hy,
});

/** Nearly the length of a quarter (S. Ramanujan, Quart. J. Math. 45, 1914): shares of u need no more, and are asked for often. */
const quarterEllipse = (p: Mm, q: Mm): Mm => (Math.PI / 4) * (3 * (p + q) - Math.sqrt((3 * p + q) * (p + 3 * q)));

export const quarterLength = ({ flatX, arc, flatY }: Quarter): Mm => flatX + arc + flatY;

export interface FormPoint {
  readonly point: Vec2;
  /** Unit, outward. */
  readonly normal: Vec2;
}

/** Place at u: equal shares of flats on flats, equal normals on arcs, so that the same u of two outlines has one normal. */
export function formAt(form: Form, quarter: Quarter, u: number): FormPoint {
  const whole = quarterLength(quarter);
  const turns = (((u % 1) + 1) % 1) * 4;
  const q = Math.min(3, Math.floor(turns));
  // Odd quarters are walked backward, so that u and 1 - u are mirror images to the last bit.
  const run = (q % 2 === 1 ? q + 1 - turns : turns - q) * whole;
  const { point, normal } = firstQuarter(form, quarter, run);
  const sx = q < 2 ? 1 : -1;
  const sy = q === 0 || q === 3 ? 1 : -1;
  return { point: [sx * point[0], sy * point[1]], normal: [sx * normal[0], sy * normal[1]] };
}

function firstQuarter(form: Form, { flatX, arc, flatY }: Quarter, run: Mm): FormPoint {
  const { hx, hy } = form;
  if (run <= flatX) return { point: [flatX > 0 ? (hx * run) / flatX : 0, formHalf(form)[1]], normal: [0, 1] };
  if (run >= flatX + arc) {
    const left = Math.max(0, flatX + arc + flatY - run);
    return { point: [formHalf(form)[0], flatY > 0 ? (hy * Math.min(left, flatY)) / flatY : 0], normal: [1, 0] };
  }
  const t = ((run - flatX) / arc) * (Math.PI / 2);
  // Taken from the nearer axis, so that the quarter is symmetric.
  const far = t > Math.PI / 4;
  const [sin, cos] = far ? [Math.cos(Math.PI / 2 - t), Math.sin(Math.PI / 2 - t)] : [Math.sin(t), Math.cos(t)];
  const [x, y] = onArc(form, sin, cos);
  return { point: [hx + x, hy + y], normal: [sin, cos] };
}

/** Place of the arc with the normal (sin, cos), beside the corner of the box. */
function onArc({ r, ellipses }: Form, sin: number, cos: number): Vec2 {
  let x = r * sin;
  let y = r * cos;
  for (const [p, q] of ellipses) {
    const n = Math.sqrt(p * p * sin * sin + q * q * cos * cos);
    x += (p * p * sin) / n;
    y += (q * q * cos) / n;
  }
  return [x, y];
}

/** Length of a form's outline from the top clockwise to u. */
export function formRun(form: Form, quarter: Quarter, u: number): Mm {
  const { flatX, arc, flatY } = quarter;
  const whole = quarterLength(quarter);
  const turns = (((u % 1) + 1) % 1) * 4;
  const q = Math.min(3, Math.floor(turns));
  const back = q % 2 === 1;
  const run = (back ? q + 1 - turns : turns - q) * whole;
  const share = (part: Mm, flat: Mm, half: Mm): Mm =>
    flat > 0 ? (Math.max(0, Math.min(part, flat)) / flat) * half : 0;
  const turn = arc > 0 ? (Math.max(0, Math.min(run - flatX, arc)) / arc) * (Math.PI / 2) : 0;
  const first = share(run, flatX, form.hx) + arcRun(form, turn) + share(run - flatX - arc, flatY, form.hy);
  const quarterRun = formPerimeter(form) / 4;
  return back ? (q + 1) * quarterRun - first : q * quarterRun + first;
}

/** Length of the arc from the top by its normal's turn: r t, and for each ellipse the integral of its radius of curvature (Simpson). */
function arcRun({ r, ellipses }: Form, turn: number): Mm {
  const radius = (t: number): Mm =>
    ellipses.reduce((sum, [p, q]) => {
      const n = Math.hypot(p * Math.sin(t), q * Math.cos(t));
      return sum + (p * p * q * q) / (n * n * n);
    }, 0);
  if (ellipses.length === 0 || turn === 0) return r * turn;
  let sum = radius(0) + radius(turn);
  for (let k = 1; k < ARC_STEPS; k++) sum += (k % 2 === 1 ? 4 : 2) * radius((turn * k) / ARC_STEPS);
  return r * turn + (sum * turn) / (3 * ARC_STEPS);
}

const ARC_STEPS = 256;

/** Values of u where flats meet arcs, and the four sides. */
export function formKinks(quarter: Quarter): readonly number[] {
  const total = 4 * quarterLength(quarter);
  const first = [quarter.flatX / total, (quarter.flatX + quarter.arc) / total];
  const all = [0, 0.25, 0.5, 0.75].flatMap((k) => [k, ...(k === 0 || k === 0.5 ? first.map((f) => k + f) : [])]);
  const mirrored = first.flatMap((f) => [0.5 - f, 1 - f]);
  return [...new Set([...all, ...mirrored].map((k) => k % 1))].sort((p, q) => p - q);
}

/** Signed distance from the outline (negative inside; exact outside and near it), and the normal of the nearest place. */
export interface FormNearest {
  readonly distance: Mm;
  readonly normal: Vec2;
}

export function formNearest(form: Form, a: Mm, b: Mm): FormNearest {
  const [sx, sy] = [a < 0 ? -1 : 1, b < 0 ? -1 : 1];
  const x = Math.abs(a) - form.hx;
  const y = Math.abs(b) - form.hy;
  const [capX, capY] = [formHalf(form)[0] - form.hx, formHalf(form)[1] - form.hy];
  if (x <= 0 || y <= 0) {
    return x - capX > y - capY ? { distance: x - capX, normal: [sx, 0] } : { distance: y - capY, normal: [0, sy] };
  }
  if (form.ellipses.length === 0) {
    const n = Math.sqrt(x * x + y * y);
    return { distance: n - form.r, normal: [(sx * x) / n, (sy * y) / n] };
  }
  const [sin, cos] = facing(form, x, y);
  return { distance: x * sin + y * cos - arcSupport(form, sin, cos), normal: [sx * sin, sy * cos] };
}

const arcSupport = (form: Form, sin: number, cos: number): Mm =>
  form.ellipses.reduce((sum, [p, q]) => sum + Math.sqrt(p * p * sin * sin + q * q * cos * cos), form.r);

/** Sine and cosine, from up, of the normal through (x, y) beside the corner: the root of (place - arc) x tangent, kept in its bracket. */
function facing(form: Form, x: Mm, y: Mm): Vec2 {
  const gap = (t: number): number => {
    const [sin, cos] = [Math.sin(t), Math.cos(t)];
    const [px, py] = onArc(form, sin, cos);
    return (x - px) * cos - (y - py) * sin;
  };
  let [low, high] = [0, Math.PI / 2];
  let [lowGap, highGap] = [x, -y];
  for (let i = 0; i < 100 && high - low > 1e-15; i++) {
    const secant = i % 3 === 2 ? Number.NaN : low + (lowGap / (lowGap - highGap)) * (high - low);
    const mid = secant > low && secant < high ? secant : (low + high) / 2;
    if (mid === low || mid === high) break;
    const g = gap(mid);
    if (g === 0) return [Math.sin(mid), Math.cos(mid)];
    if (g > 0) {
      [low, lowGap] = [mid, g];
      highGap /= 2;
    } else {
      [high, highGap] = [mid, g];
      lowGap /= 2;
    }
  }
  const t = (low + high) / 2;
  return [Math.sin(t), Math.cos(t)];
}

/** u of the place nearest to (a, b): the inverse of `formAt`; where a flat has shrunk to nothing, its middle. */
export function formU(form: Form, quarter: Quarter, [a, b]: Vec2): number {
  const { flatX, arc, flatY } = quarter;
  const { normal } = formNearest(form, a, b);
  const total = 4 * quarterLength(quarter);
  const [x, y] = [Math.abs(a), Math.abs(b)];
  const share = (along: Mm, half: Mm, flat: Mm): Mm => (half > 0 ? (Math.min(along, half) / half) * flat : 0);
  const run =
    normal[0] === 0
      ? share(x, form.hx, flatX)
      : normal[1] === 0
        ? flatX + arc + flatY - share(y, form.hy, flatY)
        : flatX + (Math.atan2(Math.abs(normal[0]), Math.abs(normal[1])) / (Math.PI / 2)) * arc;
  const first = run / total;
  const half = b >= 0 ? first : 0.5 - first;
  return a >= 0 ? half : (1 - half) % 1;
}
