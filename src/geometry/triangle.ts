import { along, distance, dot, type Mm, sub, type Vec3 } from './vector.ts';

/** Distance of a point from a triangle (C. Ericson, Real-Time Collision Detection, 2005, 5.1.5). */
export function triangleDistance(p: Vec3, [a, b, c]: readonly [Vec3, Vec3, Vec3]): Mm {
  const [ab, ac] = [sub(b, a), sub(c, a)];
  const ap = sub(p, a);
  const [d1, d2] = [dot(ab, ap), dot(ac, ap)];
  if (d1 <= 0 && d2 <= 0) return distance(p, a);
  const bp = sub(p, b);
  const [d3, d4] = [dot(ab, bp), dot(ac, bp)];
  if (d3 >= 0 && d4 <= d3) return distance(p, b);
  const onAb = d1 * d4 - d3 * d2;
  if (onAb <= 0 && d1 >= 0 && d3 <= 0) return distance(p, along(a, ab, d1 / (d1 - d3)));
  const cp = sub(p, c);
  const [d5, d6] = [dot(ab, cp), dot(ac, cp)];
  if (d6 >= 0 && d5 <= d6) return distance(p, c);
  const onAc = d5 * d2 - d1 * d6;
  if (onAc <= 0 && d2 >= 0 && d6 <= 0) return distance(p, along(a, ac, d2 / (d2 - d6)));
  const onBc = d3 * d6 - d5 * d4;
  if (onBc <= 0 && d4 - d3 >= 0 && d5 - d6 >= 0)
    return distance(p, along(b, sub(c, b), (d4 - d3) / (d4 - d3 + (d5 - d6))));
  const whole = 1 / (onBc + onAc + onAb);
  return distance(p, along(along(a, ab, onAc * whole), ac, onAb * whole));
}
