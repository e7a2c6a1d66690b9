import { add, along, cross, dot, type Mm, scale, sub, type Vec3 } from '../../src/geometry/vector.ts';

export type Corners = readonly [Vec3, Vec3, Vec3];

/**
 * Distance along a ray to a triangle, from either side, or undefined (Moeller and Trumbore, "Fast, Minimum Storage
 * Ray/Triangle Intersection", 1997). Edges belong to the triangle; a ray in its plane misses.
 */
export function rayThroughTriangle(origin: Vec3, direction: Vec3, [a, b, c]: Corners): Mm | undefined {
  const e1 = sub(b, a);
  const e2 = sub(c, a);
  const p = cross(direction, e2);
  const det = dot(e1, p);
  if (det === 0) return undefined;
  const t = sub(origin, a);
  const u = dot(t, p) / det;
  const q = cross(t, e1);
  const v = dot(direction, q) / det;
  return u >= 0 && v >= 0 && u + v <= 1 ? dot(e2, q) / det : undefined;
}

/** Point of a triangle nearest to a place, by which of its corners, edges or face the place lies over (Ericson, 2004, 5.1.5). */
export function nearestOnTriangle(place: Vec3, [a, b, c]: Corners): Vec3 {
  const ab = sub(b, a);
  const ac = sub(c, a);
  const ap = sub(place, a);
  const d1 = dot(ab, ap);
  const d2 = dot(ac, ap);
  if (d1 <= 0 && d2 <= 0) return a;
  const bp = sub(place, b);
  const d3 = dot(ab, bp);
  const d4 = dot(ac, bp);
  if (d3 >= 0 && d4 <= d3) return b;
  const overAb = d1 * d4 - d3 * d2;
  if (overAb <= 0 && d1 >= 0 && d3 <= 0) return along(a, ab, d1 / (d1 - d3));
  const cp = sub(place, c);
  const d5 = dot(ab, cp);
  const d6 = dot(ac, cp);
  if (d6 >= 0 && d5 <= d6) return c;
  const overAc = d5 * d2 - d1 * d6;
  if (overAc <= 0 && d2 >= 0 && d6 <= 0) return along(a, ac, d2 / (d2 - d6));
  const overBc = d3 * d6 - d5 * d4;
  if (overBc <= 0 && d4 >= d3 && d5 >= d6) return along(b, sub(c, b), (d4 - d3) / (d4 - d3 + (d5 - d6)));
  const whole = overBc + overAc + overAb;
  return add(a, add(scale(ab, overAc / whole), scale(ac, overAb / whole)));
}
