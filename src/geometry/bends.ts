import { acosd, atan2d, cosd, sind, tand, toRadians } from './angle.ts';
import { type Centerline, centerlineFrom, type RunStep } from './centerline.ts';
import { frameFrom } from './frame.ts';
import { DOUBLE_ROOT } from './tolerance.ts';
import { cross, type Deg, distance, dot, length, type Mm, scale, squareTo, sub, unit, type Vec3 } from './vector.ts';

/** clr * tan(bend/2): from the tangent point to the corner. 90 deg at 100 mm gives 100 mm. */
export const setback = (clr: Mm, bendAngleDeg: Deg): Mm => clr * tand(bendAngleDeg / 2);

/** clr * bend in radians: centerline length of a bend. 90 deg at 100 mm gives 157.08 mm. */
export const arcLength = (clr: Mm, bendAngleDeg: Deg): Mm => clr * toRadians(bendAngleDeg);

/** One bend that does the work of two in square planes: acos(cos p cos q). 11 and 6 deg give 12.53 deg. */
export const combinedBend = (p: Deg, q: Deg): Deg => acosd(cosd(p) * cosd(q));

/** True offset of a rolling offset from its rise and its roll. */
export const trueOffset = (rise: Mm, roll: Mm): Mm => Math.hypot(rise, roll);

export interface EqualBendOffset {
  /** Distance between the two parallel axes. */
  readonly offset: Mm;
  /** Along the axes, first tangent point to last. */
  readonly advance: Mm;
  readonly developedLength: Mm;
}

/** Two equal bends, opposite ways, with a straight between: H = 2R(1 - cosA) + s sinA, run = 2R sinA + s cosA. */
export function equalBendOffset(clr: Mm, bendAngleDeg: Deg, straight: Mm): EqualBendOffset {
  const sin = sind(bendAngleDeg);
  const cos = cosd(bendAngleDeg);
  return {
    offset: 2 * clr * (1 - cos) + straight * sin,
    advance: 2 * clr * sin + straight * cos,
    developedLength: 2 * arcLength(clr, bendAngleDeg) + straight,
  };
}

/**
 * Bend angle in (0, 180) that carries a tube sideways by `across`: clr (1 - cosA) + after sinA = across, `after` being
 * the straight behind the bend. Two angles may do; both are given, smaller first; none when the reach is too short.
 */
export function bendAngleForOffset(clr: Mm, across: Mm, after: Mm = 0): readonly Deg[] {
  return anglesWhere(-clr, after, clr - across).filter((deg) => deg > 1e-9 && deg < 180);
}

/** Angles in (-180, 180] with p cosA + q sinA + r = 0: none, one or two, ascending. */
export function anglesWhere(p: number, q: number, r: number): readonly Deg[] {
  const size = Math.hypot(p, q);
  if (size === 0 || Math.abs(r) > size * (1 + 1e-12)) return [];
  const middle = (Math.atan2(q, p) * 180) / Math.PI;
  const spread = acosd(-r / size);
  const wrap = (deg: Deg): Deg => (deg > 180 ? deg - 360 : deg <= -180 ? deg + 360 : deg);
  // At its farthest the reach is flat: the two roots are one, held apart by rounding.
  if (spread < DOUBLE_ROOT) return [wrap(middle)];
  if (spread > 180 - DOUBLE_ROOT) return [wrap(middle + 180)];
  return [wrap(middle - spread), wrap(middle + spread)].sort((x, y) => x - y);
}

/** Angle of a corner whose axes turn through it: 0 straight on, 180 straight back. */
export function turnAt(before: Vec3, corner: Vec3, after: Vec3): Deg {
  const p = unit(sub(corner, before));
  const q = unit(sub(after, corner));
  // Both sine and cosine: an arcsine alone is 1e-6 deg off near 90.
  return atan2d(length(cross(p, q)), dot(p, q));
}

/** Corners and the clr at each inner corner, as straights and bends; the caller has checked that legs hold their setbacks. */
export function centerlineThrough(points: readonly Vec3[], clrs: readonly Mm[], up?: Vec3): Centerline {
  let frame = frameFrom(points[0]!, sub(points[1]!, points[0]!), up);
  const steps: RunStep[] = [];
  let used = 0;
  for (let i = 1; i < points.length; i++) {
    const leg = distance(points[i - 1]!, points[i]!);
    const next = points[i + 1];
    const bendAngleDeg = next ? turnAt(points[i - 1]!, points[i]!, next) : 0;
    const back = next ? setback(clrs[i - 1]!, bendAngleDeg) : 0;
    const straight = leg - used - back;
    if (straight > 1e-9) steps.push({ kind: 'straight', length: straight });
    if (next) {
      const side = unit(squareTo(sub(next, points[i]!), frame.heading));
      const towardDeg = (Math.atan2(dot(side, frame.right), dot(side, frame.up)) * 180) / Math.PI;
      steps.push({ kind: 'bend', clr: clrs[i - 1]!, bendAngleDeg, towardDeg: (towardDeg + 360) % 360 });
      frame = centerlineFrom({ ...frame, origin: [0, 0, 0] }, steps.slice(-1)).end;
      frame = { ...frame, origin: scale(frame.origin, 0) };
    }
    used = back;
  }
  return centerlineFrom(frameFrom(points[0]!, sub(points[1]!, points[0]!), up), steps);
}

/** Turn of each bend's plane from the one before it, degrees clockwise looking along the heading, in (-180, 180]. */
export function planeOfBendTurns(line: Centerline): readonly Deg[] {
  const bends = line.segments.filter((segment) => segment.kind === 'bend');
  return bends.slice(1).map((bend, i) => {
    const turn = (((bend.towardDeg - bends[i]!.towardDeg) % 360) + 360) % 360;
    return turn > 180 ? turn - 360 : turn;
  });
}
