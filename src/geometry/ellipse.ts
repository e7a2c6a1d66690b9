import type { Mm, Vec2 } from './vector.ts';

/** Gauss-Legendre nodes and weights on [-1, 1], 16 points (Abramowitz & Stegun, table 25.4). */
const NODES = [
  0.0950125098376374, 0.2816035507792589, 0.4580167776572274, 0.6178762444026438, 0.755404408355003, 0.8656312023878318,
  0.9445750230732326, 0.9894009349916499,
];
const WEIGHTS = [
  0.1894506104550685, 0.1826034150449236, 0.1691565193950025, 0.1495959888165767, 0.1246289712555339,
  0.0951585116824928, 0.0622535239386479, 0.0271524594117541,
];

/** Arc length of the ellipse (p sin t, q cos t) from t = 0 to t; semi-axes p to the right, q up. */
function arcTo(p: Mm, q: Mm, t: number): Mm {
  const panels = Math.max(
    2,
    Math.ceil((Math.abs(t) * 8 * Math.max(1, Math.log2(Math.max(p / q, q / p) + 1))) / Math.PI),
  );
  const half = t / panels / 2;
  let sum = 0;
  for (let i = 0; i < panels; i++) {
    const middle = (2 * i + 1) * half;
    for (let k = 0; k < NODES.length; k++) {
      for (const side of [-1, 1]) {
        const at = middle + side * half * NODES[k]!;
        sum += WEIGHTS[k]! * Math.hypot(p * Math.cos(at), q * Math.sin(at));
      }
    }
  }
  return sum * half;
}

export const ellipsePerimeter = (p: Mm, q: Mm): Mm => 4 * arcTo(p, q, Math.PI / 2);

/** Point and outward normal at u of the perimeter, from the top, clockwise. */
export function ellipseAt(p: Mm, q: Mm, u: number): { point: Vec2; normal: Vec2 } {
  const turns = (((u % 1) + 1) % 1) * 4;
  const quarter = Math.min(3, Math.floor(turns));
  const part = quarter % 2 === 1 ? quarter + 1 - turns : turns - quarter;
  const t = parameterAt(p, q, part);
  const sx = quarter < 2 ? 1 : -1;
  const sy = quarter === 0 || quarter === 3 ? 1 : -1;
  const n = Math.hypot(q * Math.sin(t), p * Math.cos(t));
  return {
    point: [sx * p * Math.sin(t), sy * q * Math.cos(t)],
    normal: [(sx * q * Math.sin(t)) / n, (sy * p * Math.cos(t)) / n],
  };
}

/** Parameter t of the first quarter where the arc from the top is `part` of the quarter; Newton, kept in the bracket. */
function parameterAt(p: Mm, q: Mm, part: number): number {
  if (part <= 0) return 0;
  if (part >= 1) return Math.PI / 2;
  const wanted = part * arcTo(p, q, Math.PI / 2);
  let low = 0;
  let high = Math.PI / 2;
  let t = part * high;
  for (let i = 0; i < 60; i++) {
    const miss = arcTo(p, q, t) - wanted;
    if (miss > 0) high = t;
    else low = t;
    const next = t - miss / Math.hypot(p * Math.cos(t), q * Math.sin(t));
    const kept = next > low && next < high ? next : (low + high) / 2;
    if (Math.abs(kept - t) < 1e-15) return kept;
    t = kept;
  }
  return t;
}

/**
 * Signed distance from the ellipse with semi-axes p (first coordinate) and q; negative inside. Bisection on the
 * Lagrange parameter (D. Eberly, "Distance from a Point to an Ellipse", Geometric Tools), exact to rounding.
 */
export function ellipseDistance(p: Mm, q: Mm, a: number, b: number): Mm {
  const swap = p < q;
  const [e0, e1] = swap ? [q, p] : [p, q];
  const [y0, y1] = swap ? [Math.abs(b), Math.abs(a)] : [Math.abs(a), Math.abs(b)];
  const [x0, x1] = nearestOnEllipse(e0, e1, y0, y1);
  const d = Math.hypot(x0 - y0, x1 - y1);
  return (y0 / e0) ** 2 + (y1 / e1) ** 2 < 1 ? -d : d;
}

/** Nearest point in the first quadrant, e0 >= e1. */
function nearestOnEllipse(e0: Mm, e1: Mm, y0: number, y1: number): Vec2 {
  if (y1 > 0) {
    if (y0 === 0) return [0, e1];
    const z0 = y0 / e0;
    const z1 = y1 / e1;
    const g = z0 * z0 + z1 * z1 - 1;
    if (g === 0) return [y0, y1];
    const r0 = (e0 / e1) ** 2;
    const s = rootOf(r0, z0, z1, g);
    return [(r0 * y0) / (s + r0), y1 / (s + 1)];
  }
  const numerator = e0 * y0;
  const denominator = e0 * e0 - e1 * e1;
  if (numerator < denominator) {
    const ratio = numerator / denominator;
    return [e0 * ratio, e1 * Math.sqrt(Math.max(0, 1 - ratio * ratio))];
  }
  return [e0, 0];
}

function rootOf(r0: number, z0: number, z1: number, g: number): number {
  const n0 = r0 * z0;
  let low = z1 - 1;
  let high = g < 0 ? 0 : Math.hypot(n0, z1) - 1;
  let s = 0;
  for (let i = 0; i < 100; i++) {
    s = (low + high) / 2;
    if (s === low || s === high) break;
    const ratio0 = n0 / (s + r0);
    const ratio1 = z1 / (s + 1);
    const value = ratio0 * ratio0 + ratio1 * ratio1 - 1;
    if (value > 0) low = s;
    else if (value < 0) high = s;
    else break;
  }
  return s;
}
