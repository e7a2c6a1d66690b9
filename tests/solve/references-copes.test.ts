import { describe, expect, test } from 'vitest';
import type { Mm } from '../../src/geometry/vector.ts';
import { LATERAL_LENGTH, lateral, ordinate, round } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';

/** A table "printed truncated" to two places lies up to 0.01 below the exact value, and up to the tracing error above. */
const PRINTED: Mm = 0.011;
/** Our own derivations, given to four places: half of the last place and 1e-6 for tracing. */
const DERIVED: Mm = 0.00006;

/** Cut-back from the acute element, as fitters' tables give it. */
const cutBacks = (R: Mm, r: Mm, angleDeg: number, positions: readonly number[]): readonly Mm[] => {
  const end = lateral({ branch: round(2 * r), run: round(2 * R), angleDeg });
  const from = ordinate(end, 0);
  return positions.map((p) => from - ordinate(end, p));
};

describe('cope of round on round against printed tables', () => {
  test('45 deg lateral, R 57, r 44: fitter tutorial of September 2023 (weak, recomputed; its 45 deg entry is misprinted 22.95)', () => {
    const printed = [
      [22.5, 6.94],
      [45, 25.95],
      [67.5, 51.26],
      [90, 73.36],
      [112.5, 84.94],
      [135, 88.18],
      [157.5, 88.24],
      [180, 88],
    ] as const;
    const ours = cutBacks(
      57,
      44,
      45,
      printed.map(([p]) => p),
    );
    expect(
      worst(
        '45 deg lateral 57/44',
        printed.map(([, value], i) => [value, ours[i]!]),
      ),
    ).toBeLessThan(PRINTED);
  });

  test('the largest cut-back of that lateral is not opposite the acute side', () => {
    const end = lateral({ branch: round(88), run: round(114), angleDeg: 45 });
    const back = (p: number): Mm => ordinate(end, 0) - ordinate(end, p);
    expect(back(157.5)).toBeGreaterThan(back(180) + 0.2);
    // Long and short point of the cut are those of the curve, not of the two elements in the plane of the axes.
    expect(end.longPoint - end.shortPoint).toBeGreaterThan(back(157.5));
  });

  test('45 deg lateral, R 57, r 56.5: the same tutorial', () => {
    const printed = [
      [22.5, 10.32],
      [45, 39.66],
      [67.5, 83.1],
      [90, 126.45],
      [112.5, 126.35],
      [135, 119.56],
      [157.5, 114.72],
      [180, 113],
    ] as const;
    const ours = cutBacks(
      57,
      56.5,
      45,
      printed.map(([p]) => p),
    );
    expect(
      worst(
        '45 deg lateral 57/56.5',
        printed.map(([, value], i) => [value, ours[i]!]),
      ),
    ).toBeLessThan(PRINTED);
  });

  test('90 deg tee, R 136.5, r 131.5: the same tutorial', () => {
    const ours = cutBacks(136.5, 131.5, 90, [45, 90]);
    expect(
      worst('90 deg tee 136.5/131.5', [
        [36.56, ours[0]!],
        [99.89, ours[1]!],
      ]),
    ).toBeLessThan(PRINTED);
  });

  test('equal lateral at 45 deg: long and short cut 1.2071 and 0.2071 of the OD, tan(67.5)/2 and tan(22.5)/2 (trade rule, recomputed)', () => {
    const od = 60.3;
    const end = lateral({ branch: round(od), run: round(od), angleDeg: 45 });
    expect(Math.abs(ordinate(end, 0) / od - 1.2071)).toBeLessThan(0.00005);
    expect(Math.abs(ordinate(end, 180) / od - 0.2071)).toBeLessThan(0.00005);
    expect(Math.abs(ordinate(end, 0) - (od / 2) * Math.tan((67.5 * Math.PI) / 180))).toBeLessThan(1e-6);
    expect(Math.abs(ordinate(end, 180) - (od / 2) * Math.tan((22.5 * Math.PI) / 180))).toBeLessThan(1e-6);
  });
});

/** Derived by us by two methods from Stockie's curve; not published. Ordinates at p = 0, 45, ... 315. */
const ORDINATES = [
  { R: 25.4, r: 25.4, b: 90, e: 0, w: [25.4, 17.9605, 0, 17.9605, 25.4, 17.9605, 0, 17.9605] },
  { R: 25.4, r: 19.05, b: 90, e: 0, w: [25.4, 21.5339, 16.8005, 21.5339, 25.4, 21.5339, 16.8005, 21.5339] },
  { R: 25.4, r: 19.05, b: 45, e: 0, w: [54.971, 43.9239, 23.7595, 16.9831, 16.871, 16.9831, 23.7595, 43.9239] },
  { R: 25.4, r: 19.05, b: 60, e: 0, w: [40.3279, 32.6423, 19.3996, 17.0881, 18.3309, 17.0881, 19.3996, 32.6423] },
  { R: 25.4, r: 19.05, b: 90, e: 5, w: [24.903, 17.4357, 8.1705, 17.4357, 24.903, 23.946, 21.1603, 23.946] },
  { R: 25.4, r: 19.05, b: 60, e: 5, w: [39.754, 27.9102, 9.4345, 12.3559, 17.757, 19.8734, 24.4338, 35.4276] },
  { R: 25.4, r: 12.7, b: 90, e: 12.7, w: [21.997, 13.2335, 0, 13.2335, 21.997, 25.1262, 25.4, 25.1262] },
] as const;

/** Stockie, "The Geometry of Intersecting Tubes Applied to Controlling a Robotic Welding Torch", MapleTech 5(2/3) 1998, 58-66. */
const stockie = (R: Mm, r: Mm, angleDeg: number, e: Mm) => {
  const b = (angleDeg * Math.PI) / 180;
  return (pDeg: number): Mm => {
    const p = (pDeg * Math.PI) / 180;
    return (Math.sqrt(Math.max(0, R * R - (e + r * Math.sin(p)) ** 2)) + r * Math.cos(p) * Math.cos(b)) / Math.sin(b);
  };
};

describe('ordinates of round on round (derived, two methods)', () => {
  test.each(ORDINATES)('R $R, r $r, $b deg, offset $e', ({ R, r, b, e, w }) => {
    const end = lateral({ branch: round(2 * r), run: round(2 * R), angleDeg: b, offset: e });
    expect(
      worst(
        `ordinates ${R} ${r} ${b} ${e}`,
        w.map((value, i) => [value, ordinate(end, 45 * i)]),
      ),
    ).toBeLessThan(DERIVED);
  });

  test.each(ORDINATES)(
    'follows the closed curve of Stockie (MapleTech 5(2/3) 1998) all round: R $R, r $r, $b deg, offset $e',
    ({ R, r, b, e }) => {
      const end = lateral({ branch: round(2 * r), run: round(2 * R), angleDeg: b, offset: e });
      const w = stockie(R, r, b, e);
      const exact = (u: number): Mm => w(360 * (1 - u));
      const generators = Array.from({ length: 144 }, (_, i) => i / 144 + 0.0013);
      expect(
        worst(
          `all round ${R} ${r} ${b} ${e}`,
          generators.map((u) => [exact(u), ordinate(end, 360 * (1 - u))]),
        ),
      ).toBeLessThan(1e-6);
      expect(
        worst(
          `samples ${R} ${r} ${b} ${e}`,
          end.curves.outer.samples.map((sample) => [exact(sample.u), LATERAL_LENGTH - sample.s]),
        ),
      ).toBeLessThan(1e-6);
    },
  );

  test('the same comparison fails for a run 0.01 mm larger', () => {
    const end = lateral({ branch: round(38.1), run: round(50.82), angleDeg: 60, offset: 5 });
    const w = ORDINATES[5].w;
    expect(
      worst(
        'shifted run',
        w.map((value, i) => [value, ordinate(end, 45 * i)]),
      ),
    ).toBeGreaterThan(0.01);
  });
});

describe('which surface the number is for', () => {
  // Pipe tables fit the branch's bore to the run's outside: Graves, The Pipe Fitters Blue Book, preface.
  test('the inner curve is the bore of the branch on the outside of the run', () => {
    const wall = 3.91;
    const end = lateral({ branch: round(60.3, wall), run: round(114.3, 6.02), angleDeg: 60, offset: 7 });
    const outer = stockie(57.15, 30.15, 60, 7);
    const inner = stockie(57.15, 30.15 - wall, 60, 7);
    const places = Array.from({ length: 72 }, (_, i) => 5 * i + 1.7);
    expect(
      worst(
        'outer',
        places.map((p) => [outer(p), ordinate(end, p, 'outer')]),
      ),
    ).toBeLessThan(1e-6);
    expect(
      worst(
        'inner',
        places.map((p) => [inner(p), ordinate(end, p, 'inner')]),
      ),
    ).toBeLessThan(1e-6);
    // And the two are not the same number: taking one for the other is off by more than a saw cut.
    expect(Math.max(...places.map((p) => Math.abs(outer(p) - inner(p))))).toBeGreaterThan(3);
  });

  test('saddle depth of 114 on 168, OD to OD, is R - sqrt(R^2 - r^2) = 22.299 mm, not d^2/(4D) = 19.33', () => {
    const end = lateral({ branch: round(114), run: round(168), angleDeg: 90 });
    const depth = ordinate(end, 0) - ordinate(end, 90);
    expect(depth).toBeCloseTo(22.299, 3);
    expect(Math.abs(depth - 19.33)).toBeGreaterThan(2.9);
    expect(end.longPoint - end.shortPoint).toBeCloseTo(22.299, 3);
  });

  test('depth of an equal tee of 114.3 is half the OD, 57.15 mm, not two fifths of it', () => {
    const end = lateral({ branch: round(114.3), run: round(114.3), angleDeg: 90 });
    expect(ordinate(end, 0) - ordinate(end, 90)).toBeCloseTo(57.15, 5);
    expect(end.longPoint - end.shortPoint).toBeCloseTo(57.15, 5);
    expect(Math.abs(end.longPoint - end.shortPoint - 45.72)).toBeGreaterThan(11);
  });
});

describe('two equal perpendicular cylinders, CRC Concise Encyclopedia of Mathematics, "Steinmetz solid"', () => {
  const r = 25.4;
  const end = lateral({ branch: round(2 * r, r / 2), run: round(2 * r), angleDeg: 90 });

  test('surface 16 r^2 = 10322.56 mm^2, half of it on each tube', () => {
    // Midpoint rule on |cos|, whose kinks fall on panel ends.
    const n = 2000;
    let onBranch = 0;
    for (let i = 0; i < n; i++) onBranch += 2 * ordinate(end, (360 * (i + 0.5)) / n) * ((2 * Math.PI * r) / n);
    expect(Math.abs(2 * onBranch - 10322.56) / 10322.56).toBeLessThan(1e-6);
  });

  test('volume 16/3 r^3 = 87397.67 mm^3, summed over branches of every radius from nothing to r', () => {
    const rings = 60;
    const around = 240;
    let volume = 0;
    for (let k = 0; k < rings; k++) {
      // Equal steps in t with rho = r sin t take the square-root edge out of the integrand.
      const t = ((k + 0.5) / rings) * (Math.PI / 2);
      const rho = r * Math.sin(t);
      const ring = lateral({ branch: round(2 * rho, rho / 2), run: round(2 * r), angleDeg: 90 });
      let mean = 0;
      for (let i = 0; i < around; i++) mean += ordinate(ring, (360 * (i + 0.5)) / around) / around;
      volume += 2 * mean * 2 * Math.PI * rho * r * Math.cos(t) * (Math.PI / 2 / rings);
    }
    const off = worst('Steinmetz volume, relative', [[1, volume / 87397.67]]);
    expect(off).toBeLessThan(2e-4);
  });

  test.each([
    [57.15, 30.15, 60, 7],
    [47, 14, 46, 3],
    [56, 15, 68, 9],
    [63, 20, 79, 12],
    [45, 17, 35, 11],
  ])(
    'long and short point of a leaning, offset branch (%d, %d, %d deg, %d) are those of the closed form',
    (R, r, angleDeg, offset) => {
      const end = lateral({ branch: round(2 * r), run: round(2 * R), angleDeg, offset });
      const formula = stockie(R, r, angleDeg, offset);
      const all = Array.from({ length: 36000 }, (_, i) => formula(i / 100));
      const between = Math.max(...all) - Math.min(...all);
      expect(Math.abs(end.longPoint - end.shortPoint - between)).toBeLessThan(5e-5);
    },
  );
});
