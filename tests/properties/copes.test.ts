import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { besideCenterline } from '../../src/geometry/distance.ts';
import { perimeter, sectionDistance } from '../../src/geometry/section.ts';
import { CURVE_BOW } from '../../src/geometry/tolerance.ts';
import { traceCurve } from '../../src/solve/cut-curve.ts';
import { stopDistance } from '../../src/solve/generator.ts';
import type { CutCurve, CutEnd } from '../../src/solve/solution.ts';
import { carried, cutOf, reflected, sAt, solved } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { between, direction, motion, randomCope, runs } from './arbitrary.ts';

const RUNS = runs(24);
const US = [0, 0.0513, 0.117, 0.25, 0.2812, 0.37, 0.4441, 0.5, 0.6203, 0.75, 0.83, 0.9307];

const copeOf = (job: Parameters<typeof solved>[0]): CutEnd => cutOf(solved(job), 'branch.end');

/** All three; the square one is traced here, since no tool of these jobs follows it. */
function curvesOf(end: CutEnd): readonly CutCurve[] {
  const square = traceCurve(end, 'square', 0.01);
  if ('faults' in square) throw new Error(`${square.faults.length} faults in the square curve`);
  return [end.curves.outer, end.curves.inner, square.curve];
}

describe('a cope of any section on any section', () => {
  test('lies on the outside of the run, a weld gap away, and on its own surface at the stated depth', () => {
    fc.assert(
      fc.property(randomCope, ({ job, branch }) => {
        const end = copeOf(job);
        const stop = end.stops[0]!;
        for (const curve of curvesOf(end)) {
          expect(
            worst(
              'on the run',
              curve.samples.map((x) => [0, stopDistance(stop, x.point)]),
            ),
          ).toBeLessThan(1e-6);
        }
        const own = (curve: CutCurve, depth: number) =>
          curve.samples.map(({ point }): [number, number] => {
            const { a, b } = besideCenterline(end.member.centerline, branch, point);
            return [-depth, sectionDistance(branch, a, b)];
          });
        expect(worst('on the branch', own(end.curves.outer, 0))).toBeLessThan(1e-9);
        // At a corner sharper than the wall is thick the bore's corner lies deeper than the wall along the ray.
        if (branch.kind !== 'rectangle' || branch.cornerRadius >= branch.wall) {
          expect(worst('on the bore', own(end.curves.inner, branch.wall))).toBeLessThan(1e-9);
        }
      }),
      RUNS,
    );
  });

  test('is closed, in order, without gaps and without doubled samples', () => {
    fc.assert(
      fc.property(randomCope, ({ job, branch }) => {
        const end = copeOf(job);
        for (const { samples, surface } of curvesOf(end)) {
          for (const x of samples) expect([x.u, x.s, x.depth, ...x.point].every(Number.isFinite)).toBe(true);
          expect(samples[0]!.u).toBe(0);
          const steps = samples.map((x, i) => (samples[i + 1]?.u ?? 1) - x.u);
          expect(Math.min(...steps) * perimeter(branch), surface).toBeGreaterThan(1e-3);
          expect(Math.max(...steps)).toBeLessThan(0.05);
        }
        expect(
          worst('closes', [
            [sAt(end, 0), sAt(end, 1 - 1e-9)],
            [sAt(end, 0), sAt(end, 1e-9)],
          ]),
        ).toBeLessThan(1e-5);
      }),
      RUNS,
    );
  });

  test('between samples the curve bows by no more than the tolerance', () => {
    fc.assert(
      fc.property(randomCope, between(0.05, 0.95), ({ job }, part) => {
        const end = copeOf(job);
        const samples = end.curves.outer.samples;
        const pairs = samples.map((x, i): [number, number] => {
          const next = samples[i + 1] ?? { ...samples[0]!, u: 1 };
          return [sAt(end, x.u + part * (next.u - x.u)), x.s + part * (next.s - x.s)];
        });
        expect(worst('bow', pairs)).toBeLessThan(1.5 * CURVE_BOW);
        const all = Array.from({ length: 720 }, (_, i) => sAt(end, i / 720));
        expect(
          worst('long and short point', [
            [Math.max(...all, end.longPoint), end.longPoint],
            [Math.min(...all, end.shortPoint), end.shortPoint],
          ]),
        ).toBeLessThan(1.5 * CURVE_BOW);
      }),
      { ...RUNS, numRuns: 12 },
    );
  });

  test('square to the wall it reaches at least as far as outside and bore', () => {
    fc.assert(
      fc.property(randomCope, ({ job }) => {
        const end = copeOf(job);
        for (const u of US)
          expect(sAt(end, u, 'square')).toBeGreaterThanOrEqual(
            Math.max(sAt(end, u, 'outer'), sAt(end, u, 'inner')) - 1e-9,
          );
      }),
      RUNS,
    );
  });

  test('is the same wherever the job stands', () => {
    fc.assert(
      fc.property(randomCope, motion, ({ job }, how) => {
        const [here, there] = [copeOf(job), copeOf(carried(job, how))];
        for (const surface of ['outer', 'inner'] as const) {
          expect(
            worst(
              'carried',
              US.map((u) => [sAt(here, u, surface), sAt(there, u, surface)]),
            ),
          ).toBeLessThan(1e-6);
        }
      }),
      RUNS,
    );
  });

  test('grows with the job', () => {
    fc.assert(
      fc.property(randomCope, between(0.3, 20), ({ job }, factor) => {
        const [here, there] = [
          copeOf(job),
          copeOf(carried(job, { axis: [0, 0, 1], deg: 0, shift: [0, 0, 0], factor })),
        ];
        expect(
          worst(
            'scaled',
            US.map((u) => [sAt(here, u), sAt(there, u) / factor]),
          ),
        ).toBeLessThan(1e-6);
      }),
      RUNS,
    );
  });

  test('goes round the other way in a looking glass', () => {
    fc.assert(
      fc.property(randomCope, direction, ({ job }, normal) => {
        const [here, there] = [copeOf(job), copeOf(reflected(job, { point: [10, 20, 30], normal }))];
        for (const surface of ['outer', 'inner', 'square'] as const) {
          expect(
            worst(
              'reflected',
              US.map((u) => [sAt(here, u, surface), sAt(there, 1 - u, surface)]),
            ),
          ).toBeLessThan(1e-6);
        }
      }),
      RUNS,
    );
  });
});
