/** Vectors as plain readonly tuples; all lengths in millimeters. */
export type Mm = number;
export type Deg = number;
export type Vec2 = readonly [number, number];
export type Vec3 = readonly [number, number, number];

export const add = (p: Vec3, q: Vec3): Vec3 => [p[0] + q[0], p[1] + q[1], p[2] + q[2]];
export const sub = (p: Vec3, q: Vec3): Vec3 => [p[0] - q[0], p[1] - q[1], p[2] - q[2]];
export const scale = (p: Vec3, k: number): Vec3 => [p[0] * k, p[1] * k, p[2] * k];
/** p + k q, the step along a direction. */
export const along = (p: Vec3, q: Vec3, k: number): Vec3 => [p[0] + k * q[0], p[1] + k * q[1], p[2] + k * q[2]];
export const dot = (p: Vec3, q: Vec3): number => p[0] * q[0] + p[1] * q[1] + p[2] * q[2];
export const cross = (p: Vec3, q: Vec3): Vec3 => [
  p[1] * q[2] - p[2] * q[1],
  p[2] * q[0] - p[0] * q[2],
  p[0] * q[1] - p[1] * q[0],
];
export const length = (p: Vec3): number => Math.sqrt(dot(p, p));
export const distance = (p: Vec3, q: Vec3): number => length(sub(p, q));
export const lerp = (p: Vec3, q: Vec3, t: number): Vec3 => along(p, sub(q, p), t);

/** Unit vector along p; a zero vector is a bug of the caller, who decides degenerate cases by name. */
export function unit(p: Vec3): Vec3 {
  const n = length(p);
  if (!(n > 0)) throw new Error('internal: direction of a zero-length vector');
  return scale(p, 1 / n);
}

/** The part of p square to the unit vector n. */
export const squareTo = (p: Vec3, n: Vec3): Vec3 => along(p, n, -dot(p, n));

/** Any unit vector square to the unit vector n, chosen the same way every time. */
export function anySquareTo(n: Vec3): Vec3 {
  const smallest =
    Math.abs(n[0]) <= Math.abs(n[1]) && Math.abs(n[0]) <= Math.abs(n[2]) ? 0 : Math.abs(n[1]) <= Math.abs(n[2]) ? 1 : 2;
  const pick: Vec3 = [smallest === 0 ? 1 : 0, smallest === 1 ? 1 : 0, smallest === 2 ? 1 : 0];
  return unit(squareTo(pick, n));
}
