import { BOW_NOISE, DIP_NOISE, TOUCH, TRACE_ROOT, TRACE_STEP, TRACE_STEP_MOST, TRACE_STEPS } from './tolerance.ts';
import type { Mm } from './vector.ts';

/** What a generator met: where (outward coordinate t, mm), or why nothing. */
export type Hit =
  | { readonly kind: 'hit'; readonly t: Mm; readonly touch: boolean }
  | { readonly kind: 'miss'; readonly nearest: Mm; readonly at: Mm }
  | { readonly kind: 'inside'; readonly depth: Mm };

export interface TraceRange {
  readonly from: Mm;
  readonly to: Mm;
  /** Bounds how fast the curve's point moves with t. */
  readonly speed: number;
  /** A start inside is left first if the curve leaves within this run. */
  readonly leave?: Mm;
  /** Whether a touch at t ends the trace; all do when absent. */
  readonly counts?: (t: Mm) => boolean;
}

/**
 * First zero of a signed distance along a curve, from `from` outward to `to`. `distanceAt(t)` is the signed distance of
 * the curve's point at t. Steps by the distance itself (sphere tracing, J. C. Hart, The Visual Computer 12, 1996), by no
 * less than a floor that grows to 0.5 mm where the curve runs along a surface, then closes in by a bracketed secant to
 * 1e-10 mm. Touching without crossing, or crossing by no more than rounding, is a hit at the point of touch if it counts.
 */
export function traceFirst(distanceAt: (t: Mm) => Mm, range: TraceRange): Hit {
  const counts = range.counts ?? (() => true);
  let t = range.from;
  let d = distanceAt(t);
  if (d <= -DIP_NOISE) {
    const out = leaveInside(distanceAt, range);
    if (out === undefined) return { kind: 'inside', depth: -d };
    t = out;
    d = distanceAt(t);
  }
  let back = t;
  let backD = d;
  let nearest = d;
  let at = t;
  let floor: Mm = TRACE_STEP;
  for (let i = 0; i < TRACE_STEPS && t < range.to; i++) {
    const next = Math.min(range.to, t + Math.max(d, floor) / range.speed);
    const nextD = distanceAt(next);
    if (nextD <= 0) {
      const zero = d > 0 ? closeIn(distanceAt, { low: t, lowD: d, high: next, highD: nextD }) : t;
      const dip = firstDip(distanceAt, zero, next);
      if (dip !== undefined) return { kind: 'hit', t: dip, touch: false };
      if (counts(zero)) return { kind: 'hit', t: zero, touch: true };
    } else if (d < backD && d <= nextD && d < 2 * floor) {
      // Samples flat to rounding hide no dip between them.
      const touch = backD - d + (nextD - d) > BOW_NOISE ? lowest(distanceAt, back, next) : { t, d };
      if (touch.d < -DIP_NOISE)
        return {
          kind: 'hit',
          t: closeIn(distanceAt, { low: back, lowD: backD, high: touch.t, highD: touch.d }),
          touch: false,
        };
      if (touch.d <= TOUCH && counts(touch.t)) return { kind: 'hit', t: touch.t, touch: true };
    }
    if (nextD < nearest) {
      nearest = nextD;
      at = next;
    }
    floor = d < TRACE_STEP_MOST ? Math.min(TRACE_STEP_MOST, floor * 1.25) : TRACE_STEP;
    back = t;
    backD = d;
    t = next;
    d = Math.max(nextD, 0);
  }
  return { kind: 'miss', nearest, at };
}

/** The zero that leads to `near`: the first one outward where the distance is still positive there, else the last one before it. */
export function traceNear(distanceAt: (t: Mm) => Mm, near: Mm, range: TraceRange): Hit {
  const d = distanceAt(near);
  if (d >= 0) return traceFirst(distanceAt, { ...range, from: near });
  const back = traceFirst((x) => -distanceAt(near - x), { from: 0, to: near, speed: range.speed });
  return back.kind === 'hit' ? { ...back, t: near - back.t } : { kind: 'inside', depth: -d };
}

/**
 * Where behind a zero the distance goes below rounding, looked for to 0.1 mm and at the end of the step: at the zero
 * itself where a surface is crossed, later where the curve first runs in one, nowhere where it only touches.
 */
function firstDip(distanceAt: (t: Mm) => Mm, zero: Mm, next: Mm): Mm | undefined {
  const dips = (t: Mm): boolean => distanceAt(t) < -DIP_NOISE;
  const probes = [TRACE_STEP, 10 * TRACE_STEP, 100 * TRACE_STEP, 1000 * TRACE_STEP];
  let before = 0;
  for (const h of next - zero > 1000 * TRACE_STEP ? [...probes, next - zero] : probes) {
    if (dips(zero + h)) {
      if (before === 0) return zero;
      let [low, high] = [zero + before, zero + h];
      while (high - low > TRACE_ROOT) {
        const middle = (low + high) / 2;
        if (dips(middle)) high = middle;
        else low = middle;
      }
      return high;
    }
    before = h;
  }
  return undefined;
}

/** Where a curve that starts inside comes out, if it does within the allowed run. */
function leaveInside(distanceAt: (t: Mm) => Mm, range: TraceRange): Mm | undefined {
  const last = Math.min(range.to, range.from + (range.leave ?? 0));
  let t = range.from;
  for (let i = 0; i < TRACE_STEPS && t < last; i++) {
    const d = distanceAt(t);
    if (d > TOUCH) return t;
    t += Math.max(-d, 0.05) / range.speed;
  }
  return undefined;
}

/** Zero between a positive low and a non-positive high end: secant steps, halved whenever they stall (Illinois). */
export function closeIn(distanceAt: (t: Mm) => Mm, bracket: { low: Mm; lowD: Mm; high: Mm; highD: Mm }): Mm {
  let { low, lowD, high, highD } = bracket;
  for (let i = 0; i < 200 && high - low > TRACE_ROOT; i++) {
    const secant = i % 3 === 2 ? Number.NaN : low + (lowD / (lowD - highD)) * (high - low);
    const mid = secant > low && secant < high ? secant : (low + high) / 2;
    const d = distanceAt(mid);
    if (d === 0) return mid;
    if (d > 0) {
      low = mid;
      lowD = d;
      highD /= 2;
    } else {
      high = mid;
      highD = d;
      lowD /= 2;
    }
  }
  return (low + high) / 2;
}

/** Lowest point of a distance that dips between low and high (golden section, to where rounding hides the dip). */
function lowest(distanceAt: (t: Mm) => Mm, low: Mm, high: Mm): { t: Mm; d: Mm } {
  const g = (Math.sqrt(5) - 1) / 2;
  let p = high - g * (high - low);
  let q = low + g * (high - low);
  let dp = distanceAt(p);
  let dq = distanceAt(q);
  let [a, b] = [low, high];
  for (let i = 0; i < 80 && b - a > TRACE_ROOT; i++) {
    if (dp < dq) {
      b = q;
      q = p;
      dq = dp;
      p = b - g * (b - a);
      dp = distanceAt(p);
    } else {
      a = p;
      p = q;
      dp = dq;
      q = a + g * (b - a);
      dq = distanceAt(q);
    }
    if (Math.min(dp, dq) < 0) break;
  }
  return dp < dq ? { t: p, d: dp } : { t: q, d: dq };
}
