import { add, along, cross, dot, scale, sub, unit, type Vec3 } from './vector.ts';

/** Where a solid's own axes stand: x, y, z unit, square and right-handed; `apply` takes own coordinates to the outside. */
export interface Placement {
  readonly origin: Vec3;
  readonly x: Vec3;
  readonly y: Vec3;
  readonly z: Vec3;
}

export const IDENTITY: Placement = { origin: [0, 0, 0], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };

/** Right-handed placement with z given and x as near the wish as it can be. */
export function placementFrom(origin: Vec3, z: Vec3, xWish: Vec3): Placement {
  const zUnit = unit(z);
  const x = unit(along(xWish, zUnit, -dot(xWish, zUnit)));
  return { origin, x, y: cross(zUnit, x), z: zUnit };
}

export const placeDirection = (m: Placement, v: Vec3): Vec3 =>
  add(add(scale(m.x, v[0]), scale(m.y, v[1])), scale(m.z, v[2]));
export const place = (m: Placement, p: Vec3): Vec3 => add(m.origin, placeDirection(m, p));
export const unplaceDirection = (m: Placement, v: Vec3): Vec3 => [dot(v, m.x), dot(v, m.y), dot(v, m.z)];
export const unplace = (m: Placement, p: Vec3): Vec3 => unplaceDirection(m, sub(p, m.origin));

/** outer after inner: place(compose(a, b), p) = place(a, place(b, p)). */
export const compose = (outer: Placement, inner: Placement): Placement => ({
  origin: place(outer, inner.origin),
  x: placeDirection(outer, inner.x),
  y: placeDirection(outer, inner.y),
  z: placeDirection(outer, inner.z),
});

export const inverse = (m: Placement): Placement => ({
  origin: unplaceDirection(m, scale(m.origin, -1)),
  x: [m.x[0], m.y[0], m.z[0]],
  y: [m.x[1], m.y[1], m.z[1]],
  z: [m.x[2], m.y[2], m.z[2]],
});
