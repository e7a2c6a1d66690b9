import { along, distance, dot, type Mm, sub, type Vec3 } from './vector.ts';

/** A straight line from one point to another. */
export interface Chord {
  readonly from: Vec3;
  readonly to: Vec3;
}

/** Distance of a point from a chord. */
export function pointToChord(p: Vec3, { from, to }: Chord): Mm {
  const way = sub(to, from);
  const size = dot(way, way);
  const t = size > 0 ? Math.min(1, Math.max(0, dot(sub(p, from), way) / size)) : 0;
  return distance(p, along(from, way, t));
}

/**
 * Least distance between two chords (V. Lumelsky, "On fast computation of distance between line segments", Information
 * Processing Letters 21, 1985): the nearest points of the two lines where both lie on the chords, else at an end of one.
 */
export function chordDistance(p: Chord, q: Chord): Mm {
  const d1 = sub(p.to, p.from);
  const d2 = sub(q.to, q.from);
  const between = sub(p.from, q.from);
  const [a, b, e, c, f] = [dot(d1, d1), dot(d1, d2), dot(d2, d2), dot(d1, between), dot(d2, between)];
  const square = a * e - b * b;
  if (square > 0) {
    const s = (b * f - c * e) / square;
    const t = (b * s + f) / e;
    if (s >= 0 && s <= 1 && t >= 0 && t <= 1) return distance(along(p.from, d1, s), along(q.from, d2, t));
  }
  return Math.min(pointToChord(p.from, q), pointToChord(p.to, q), pointToChord(q.from, p), pointToChord(q.to, p));
}
