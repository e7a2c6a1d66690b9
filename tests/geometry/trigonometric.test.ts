import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type TrigPolynomial, trigPolynomial, trigRoots, trigValue } from '../../src/geometry/trigonometric.ts';
import { between, runs } from '../properties/arbitrary.ts';

const RAD = Math.PI / 180;

/** The product of sin((t - r)/2) over an even number of roots: a trigonometric polynomial that is zero there and only there. */
const vanishingAt =
  (roots: readonly number[]) =>
  (t: number): number =>
    roots.reduce((product, deg) => product * Math.sin((t - deg * RAD) / 2), 1);

describe('a trigonometric polynomial', () => {
  test('is found from samples, and gives the roots it was made of', () => {
    fc.assert(
      fc.property(
        fc.array(fc.integer({ min: 0, max: 119 }), { minLength: 1, maxLength: 4 }),
        between(0, 2.9),
        (thirds, shift) => {
          // Distinct multiples of 3 degrees and a shift: never closer than that, and never at a sample.
          const given = [...new Set(thirds)].map((k) => 3 * k + shift);
          const roots = (given.length % 2 === 0 ? given : [...given, (given[0]! + 1.5) % 360]).sort((p, q) => p - q);
          const p = trigPolynomial(vanishingAt(roots), { most: 8, noise: 1e-15 })!;
          const found = trigRoots(p)!;
          expect(found).toHaveLength(roots.length);
          for (const [i, deg] of found.entries()) expect(Math.abs(deg - roots[i]!)).toBeLessThan(1e-6);
        },
      ),
      runs(300),
    );
  });

  test('of degree 1 has its roots in closed form: 3 cos t + 4 sin t = 5 cos(t - 53.13 deg)', () => {
    const p: TrigPolynomial = { cos: [2.5, 3], sin: [0, 4] };
    const middle = (Math.atan2(4, 3) * 180) / Math.PI;
    // cos is -1/2 at 120 deg to either side of the middle.
    const wanted = [middle + 120, middle + 240].sort((q, r) => q - r);
    expect(trigRoots(p)).toEqual(wanted.map((deg) => expect.closeTo(deg, 9)));
    expect(trigRoots({ cos: [6, 3], sin: [0, 4] })).toEqual([]);
  });

  test('that only touches zero is told there: (1 - cos t) squared', () => {
    const p = trigPolynomial((t) => (1 - Math.cos(t - 1)) ** 2, { most: 4, noise: 1e-15 })!;
    const roots = trigRoots(p)!;
    expect(roots.length).toBeGreaterThan(0);
    for (const deg of roots) expect(Math.abs(deg - 1 / RAD)).toBeLessThan(0.5);
  });

  test('nothing at all is zero everywhere, and a function that is none is refused', () => {
    expect(trigRoots(trigPolynomial(() => 1e-13, { most: 4, noise: 1e-12 })!)).toBeUndefined();
    expect(trigPolynomial((t) => t, { most: 16, noise: 1e-12 })).toBeUndefined();
    expect(trigPolynomial((t) => Math.cos(9 * t), { most: 8, noise: 1e-12 })).toBeUndefined();
    const p = trigPolynomial((t) => 2 + Math.sin(3 * t), { most: 4, noise: 1e-12 })!;
    expect(trigValue(p, 0.7)).toBeCloseTo(2 + Math.sin(2.1), 12);
  });
});
