import { anglesWhere } from './bends.ts';
import type { Deg } from './vector.ts';

/** a0 + the sum of a_k cos kt + b_k sin kt. */
export interface TrigPolynomial {
  readonly cos: readonly number[];
  readonly sin: readonly number[];
}

const TURN = 2 * Math.PI;

/** Places to try a fit at: odd shares of a turn that no sample falls on. */
const TRIED = [0.1234567, 0.3719283, 0.5813559, 0.7645321, 0.9310977] as const;

/**
 * The trigonometric polynomial that a function of an angle (radians) is, found from its own samples; undefined when it is
 * none up to degree `most`. What stays below `noise` is nothing. A place that turns with one bend is of degree 1, with two bends by one angle of degree 2.
 */
export function trigPolynomial(
  f: (t: number) => number,
  { most, noise }: { readonly most: number; readonly noise: number },
): TrigPolynomial | undefined {
  const tried = TRIED.map((share) => [share * TURN, f(share * TURN)] as const);
  for (let degree = 1; degree <= most; degree *= 2) {
    const count = 2 * degree + 1;
    const samples = Array.from({ length: count }, (_, i) => f((i * TURN) / count));
    const size = Math.max(...samples.map(Math.abs), ...tried.map(([, v]) => Math.abs(v)));
    const sum = (wave: (t: number) => number): number =>
      samples.reduce((all, v, i) => all + v * wave((i * TURN) / count), 0) / count;
    const orders = Array.from({ length: degree + 1 }, (_, k) => k);
    const cos = orders.map((k) => (k === 0 ? 1 : 2) * sum((t) => Math.cos(k * t)));
    const sin = orders.map((k) => (k === 0 ? 0 : 2 * sum((t) => Math.sin(k * t))));
    const told = (a: number): number => (Math.abs(a) <= noise ? 0 : a);
    if (tried.every(([t, v]) => Math.abs(trigValue({ cos, sin }, t) - v) <= Math.max(noise, 1e-9 * size)))
      return { cos: cos.map(told), sin: sin.map(told) };
  }
  return undefined;
}

export const trigValue = ({ cos, sin }: TrigPolynomial, t: number): number =>
  cos.reduce((sum, a, k) => sum + a * Math.cos(k * t) + sin[k]! * Math.sin(k * t), 0);

/**
 * Angles in [0, 360) where it is zero, ascending; undefined when it is zero throughout. Degree 1 in closed form; above, at
 * most 2 * degree roots are bracketed between samples far closer than they usually lie. A place where it comes near zero
 * without crossing is given too, for the caller to look at.
 */
export function trigRoots(p: TrigPolynomial): readonly Deg[] | undefined {
  const degree = p.cos.findLastIndex((a, k) => Math.hypot(a, p.sin[k]!) > 1e-12 * sizeOf(p));
  if (degree < 0) return undefined;
  if (degree === 0) return [];
  if (degree === 1) {
    const roots = anglesWhere(p.cos[1]!, p.sin[1]!, p.cos[0]!).map((deg) => (deg < 0 ? deg + 360 : deg));
    return [...roots].sort((q, r) => q - r);
  }
  const count = 64 * degree;
  const at = (i: number): number => (i * TURN) / count;
  const values = Array.from({ length: count }, (_, i) => trigValue(p, at(i)));
  const roots = values.flatMap((v, i): number[] => {
    const next = values[(i + 1) % count]!;
    if (v === 0) return [at(i)];
    if (v > 0 !== next > 0 && next !== 0) return [bisected(p, at(i), at(i + 1))];
    const before = values[(i + count - 1) % count]!;
    const dips = Math.abs(v) <= Math.abs(before) && Math.abs(v) < Math.abs(next) && before > 0 === v > 0;
    return dips ? nearTouch(p, at(i - 1), at(i + 1)) : [];
  });
  return roots.map((t) => ((((t / TURN) % 1) + 1) % 1) * 360).sort((q, r) => q - r);
}

const sizeOf = ({ cos, sin }: TrigPolynomial): number => Math.max(...cos.map(Math.abs), ...sin.map(Math.abs));

function bisected(p: TrigPolynomial, from: number, to: number): number {
  let [low, high] = [from, to];
  const positive = trigValue(p, low) > 0;
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (trigValue(p, middle) > 0 === positive) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Where it comes nearest to zero between two samples: two roots close together, one that only touches, or none near. */
function nearTouch(p: TrigPolynomial, from: number, to: number): number[] {
  let [low, high] = [from, to];
  const sign = Math.sign(trigValue(p, from));
  const height = (t: number): number => sign * trigValue(p, t);
  for (let i = 0; i < 80; i++) {
    const third = (high - low) / 3;
    if (height(low + third) < height(high - third)) high -= third;
    else low += third;
  }
  const bottom = (low + high) / 2;
  if (height(bottom) < 0) return [bisected(p, from, bottom), bisected(p, bottom, to)];
  return height(bottom) < 1e-6 * sizeOf(p) ? [bottom] : [];
}
