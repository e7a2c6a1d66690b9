import type { PathCorner } from './flat-path.ts';
import type { Mm, Vec2 } from './vector.ts';

/** A point of a smooth curve and the way it runs there (any length but zero). */
export interface CurvePoint {
  readonly at: Vec2;
  readonly along: Vec2;
}

/** Pieces a curve is halved into at most: a curve that needs more is no smooth one. */
const DEEPEST = 12;
const CHECKS = [0.125, 0.25, 0.375, 0.5, 0.625, 0.75, 0.875] as const;

/**
 * A smooth curve for t from 0 to 1 as true arcs within a tolerance: pairs of arcs that share their tangents (biarcs, after
 * Bolton, "Biarc curves", Computer-Aided Design 7, 1975), halved until every checked place lies near enough. A piece that
 * is straight is a line. The corners begin at the curve's start; its end is the next curve's first corner.
 */
export function arcsAlong(curve: (t: number) => CurvePoint, tolerance: Mm): readonly PathCorner[] {
  const piece = (t0: number, t1: number, depth: number): readonly PathCorner[] => {
    const [from, to] = [curve(t0), curve(t1)];
    const corners = biarc(from, to);
    const near = CHECKS.every((k) => offPath(corners, to.at, curve(t0 + (t1 - t0) * k).at) <= tolerance);
    if (near || depth >= DEEPEST) return corners;
    const middle = (t0 + t1) / 2;
    return [...piece(t0, middle, depth + 1), ...piece(middle, t1, depth + 1)];
  };
  return piece(0, 1, 0);
}

/** Two arcs from one point and direction to another, joined where both control arms are of one length. */
function biarc(from: CurvePoint, to: CurvePoint): readonly PathCorner[] {
  const [t0, t1] = [unit2(from.along), unit2(to.along)];
  const v: Vec2 = [to.at[0] - from.at[0], to.at[1] - from.at[1]];
  const t: Vec2 = [t0[0] + t1[0], t0[1] + t1[1]];
  const [vv, vt, tt] = [dot2(v, v), dot2(v, t), 2 * (1 - dot2(t0, t1))];
  const straight = Math.abs(cross2(t0, v)) + Math.abs(cross2(t1, v)) <= 1e-9 * Math.sqrt(vv);
  if (straight) return [{ at: from.at, bulge: 0 }];
  const arm = tt > 1e-9 ? (Math.sqrt(vt * vt + tt * vv) - vt) / tt : vv / (2 * vt);
  const middle: Vec2 = [
    (from.at[0] + to.at[0] + arm * (t0[0] - t1[0])) / 2,
    (from.at[1] + to.at[1] + arm * (t0[1] - t1[1])) / 2,
  ];
  const [c0, c1]: readonly [Vec2, Vec2] = [
    [middle[0] - from.at[0], middle[1] - from.at[1]],
    [to.at[0] - middle[0], to.at[1] - middle[1]],
  ];
  // From the tangent to the chord is half the turn; the bulge is the tangent of a quarter of it.
  return [
    { at: from.at, bulge: Math.tan(Math.atan2(cross2(t0, c0), dot2(t0, c0)) / 2) },
    { at: middle, bulge: Math.tan(Math.atan2(cross2(c1, t1), dot2(c1, t1)) / 2) },
  ];
}

/** Distance of a point from a path of arcs and lines, beside its pieces. */
function offPath(corners: readonly PathCorner[], end: Vec2, p: Vec2): Mm {
  return Math.min(...corners.map((corner, i) => offPiece(corner, corners[i + 1]?.at ?? end, p)));
}

function offPiece({ at, bulge }: PathCorner, to: Vec2, p: Vec2): Mm {
  const v: Vec2 = [to[0] - at[0], to[1] - at[1]];
  const w: Vec2 = [p[0] - at[0], p[1] - at[1]];
  const chord = Math.hypot(...v);
  const share = dot2(w, v) / (chord * chord);
  if (share < -0.01 || share > 1.01) return Number.POSITIVE_INFINITY;
  const off = cross2(v, w) / chord;
  if (Math.abs(bulge) < 1e-12) return Math.abs(off);
  const radius = (chord * (1 + bulge * bulge)) / (4 * Math.abs(bulge));
  // Left of the chord is positive; an arc that turns left bows to the right of it.
  const center = (Math.sign(bulge) * chord * (1 - bulge * bulge)) / (4 * Math.abs(bulge));
  return Math.abs(Math.hypot(share * chord - chord / 2, off - center) - radius);
}

const dot2 = (p: Vec2, q: Vec2): number => p[0] * q[0] + p[1] * q[1];
const cross2 = (p: Vec2, q: Vec2): number => p[0] * q[1] - p[1] * q[0];
const unit2 = (p: Vec2): Vec2 => {
  const n = Math.hypot(...p);
  return [p[0] / n, p[1] / n];
};
