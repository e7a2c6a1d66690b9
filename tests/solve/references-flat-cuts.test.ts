import { describe, expect, test } from 'vitest';
import { setback } from '../../src/geometry/bends.ts';
import { outlineAt, perimeter } from '../../src/geometry/section.ts';
import type { Mm } from '../../src/geometry/vector.ts';
import type { CutEnd } from '../../src/solve/solution.ts';
import {
  barTube,
  bend,
  cutOf,
  jobOf,
  lateral,
  miter,
  ordinate,
  rectangle,
  round,
  runTube,
  sAt,
  solved,
  straight,
  trim,
} from '../support/jobs.ts';
import { worst } from '../support/measure.ts';

const rad = (deg: number): number => (deg * Math.PI) / 180;

/** Straight tube trimmed at its middle by a plane at a miter angle, the long point at the witness line. */
const flatCut = (od: Mm, miterDeg: number): CutEnd =>
  cutOf(
    solved(
      jobOf(
        [runTube('tube', round(od), { run: [straight(2000)] })],
        [trim('tube.end', { kind: 'at', distance: 1000 }, { miterDeg, longPointDeg: 0 })],
      ),
    ),
    'tube.end',
  );

describe('unwrapped cuts: Apostol & Mnatsakanian, "Unwrapping Curves from Cylinders and Cones", Amer. Math. Monthly 114 (2007) 388-416', () => {
  test.each([15, 22.5, 30, 45, 60, 80])('a flat cut at %d deg from square unwraps to r tan(a) sin(x/r)', (miterDeg) => {
    const r = 25.4;
    const end = flatCut(2 * r, miterDeg);
    // Their x starts where the plane crosses mid height, a quarter turn before the long point.
    const at = (u: number): Mm => r * Math.tan(rad(miterDeg)) * Math.sin((2 * Math.PI * r * (u + 0.25)) / r);
    const off = worst(
      `flat cut at ${miterDeg}`,
      end.curves.outer.samples.map((sample) => [at(sample.u), sample.s - 1000]),
    );
    expect(off).toBeLessThan(1e-6);
    expect(end.flat?.miterDeg).toBe(miterDeg);
    expect(end.flat?.longPointDeg).toBe(0);
  });

  test('a hole drilled square through the axis of a unit cylinder unwraps to u^2 = a^2 - sin^2 x: the branch that fills it', () => {
    // The hole's edge lies where the branch meets the run: at run angle x the branch is u to the side.
    const a = 0.6;
    const R = 50;
    const end = lateral({ branch: round(2 * a * R), run: round(2 * R), angleDeg: 90 });
    const pairs = Array.from({ length: 90 }, (_, i): [number, number] => {
      const p = 4 * i + 0.3;
      const side = a * Math.cos(rad(p));
      const height = ordinate(end, p) / R;
      const x = Math.atan2(a * Math.sin(rad(p)), height);
      return [a * a - Math.sin(x) ** 2, side * side];
    });
    expect(worst('drilled hole', pairs)).toBeLessThan(1e-9);
  });

  test('200 dia cut at 45 deg: y = 100 cos(x/100), period 200 pi (Math Central, University of Regina)', () => {
    const end = flatCut(200, 45);
    const off = worst(
      '200 dia at 45',
      end.curves.outer.samples.map((sample) => [100 * Math.cos((sample.u * 200 * Math.PI) / 100), sample.s - 1000]),
    );
    expect(off).toBeLessThan(1e-6);
    expect(perimeter(end.member.section)).toBeCloseTo(200 * Math.PI, 9);
  });

  test('3 in square tube mitered at 45 deg: the cut face is 3 sqrt 2 = 4.24 in high (printed to two places)', () => {
    const side = 76.2;
    const tube = rectangle(side, side, 0, 3);
    const job = jobOf(
      [runTube('rail', tube, { run: [straight(500)] })],
      [trim('rail.end', { kind: 'at', distance: 300 }, { miterDeg: 45 })],
    );
    const end = cutOf(solved(job), 'rail.end');
    const across = Math.hypot(side, sAt(end, 0) - sAt(end, 0.5));
    expect(across).toBeCloseTo(side * Math.SQRT2, 9);
    expect(Math.abs(across / 25.4 - 4.24)).toBeLessThan(0.005);
  });
});

/** Square, closed-end segments of an elbow: a leg to the corner, cut at half the turn of one weld. */
function elbowEnd(r: Mm, R: Mm, halfDeg: number): { readonly end: CutEnd; readonly toCorner: Mm } {
  const toCorner = setback(R, 2 * halfDeg);
  const turn = rad(2 * halfDeg);
  const job = jobOf(
    [
      // The heel (outside of the elbow) is at the witness line: the second piece goes to the other side.
      barTube('first', round(2 * r), { from: [0, 0, 0], to: [toCorner, 0, 0], up: [0, 0, 1] }),
      barTube('second', round(2 * r), {
        from: [toCorner, 0, 0],
        to: [toCorner + 2 * toCorner * Math.cos(turn), 0, -2 * toCorner * Math.sin(turn)],
        up: [Math.sin(turn), 0, Math.cos(turn)],
      }),
    ],
    [miter('first.end', 'second.start')],
  );
  return { end: cutOf(solved(job), 'first.end'), toCorner };
}

describe('segmented elbows', () => {
  test('four welds over 90 deg spaced 15.913 in: half angle 11.25, R 40 in (pipe-stress applications guide after ASME B31.3)', () => {
    const { end, toCorner } = elbowEnd(100, 40 * 25.4, 90 / 8);
    expect(Math.abs((2 * toCorner) / 25.4 - 15.913)).toBeLessThan(0.0005);
    expect(end.flat?.miterDeg).toBeCloseTo(11.25, 9);
  });

  // Fabricator's worksheet (weak, recomputed), printed rounded to two places.
  test.each([
    { r: 250, R: 2000, f: 10, end: [396.74, 390.83, 374.69, 352.65, 330.61, 314.48, 308.57] },
    { r: 1056, R: 6300, f: 4.625, end: [595.08, 583.64, 552.37, 509.65, 466.94, 435.67, 424.23] },
  ])('end piece r $r, R $R, half angle $f by 30 deg from the heel', ({ r, R, f, end: printed }) => {
    const { end } = elbowEnd(r, R, f);
    const ours = printed.map((_, i) => sAt(end, (30 * i) / 360));
    expect(
      worst(
        `end piece ${r}`,
        printed.map((value, i) => [value, ours[i]!]),
      ),
    ).toBeLessThan(0.006);
    expect(
      worst(
        `end piece ${r}, other half`,
        ours.map((value, i) => [value, sAt(end, 1 - (30 * i) / 360)]),
      ),
    ).toBeLessThan(1e-9);
  });

  test('middle piece and cut-back of r 250, R 2000, half angle 10 (the same worksheet)', () => {
    const { end } = elbowEnd(250, 2000, 10);
    const middle = [793.47, 781.66, 749.39, 705.31, 661.23, 628.96, 617.14];
    const back = [88.16, 82.26, 66.12, 44.08, 22.04, 5.91, 0];
    const at = (i: number): Mm => sAt(end, (30 * i) / 360);
    expect(
      worst(
        'middle piece',
        middle.map((value, i) => [value, 2 * at(i)]),
      ),
    ).toBeLessThan(0.011);
    expect(
      worst(
        'cut-back',
        back.map((value, i) => [value, at(i) - end.shortPoint]),
      ),
    ).toBeLessThan(0.011);
  });

  test.each([
    { pieces: 5, total: 90, rises: [11.25, 33.75, 56.25, 78.75] },
    { pieces: 4, total: 75, rises: [12.5, 37.5, 62.5] },
  ])(
    'the welds of a $pieces-piece $total deg elbow rise as in Longfield, Sheet Metal Drafting, McGraw-Hill 1921, p. 59',
    ({ pieces, total, rises }) => {
      // Each weld of the elbow is the radial plane of the bend it stands for; the plane's rise is read off the solved cut.
      const found = rises.map((rise) => {
        const job = jobOf(
          [runTube('elbow', round(50), { run: [bend(300, total, 0)] })],
          [trim('elbow.end', { kind: 'into-bend', bendAngleDeg: rise })],
        );
        const end = cutOf(solved(job), 'elbow.end');
        return Math.atan2(
          -end.flat!.plane.normal[0] || Math.hypot(end.flat!.plane.normal[0], end.flat!.plane.normal[1]),
          end.flat!.plane.normal[2],
        );
      });
      const half = total / (2 * (pieces - 1));
      expect(
        worst(
          `rises ${total}`,
          rises.map((rise, i) => [half * (2 * i + 1), rise]),
        ),
      ).toBe(0);
      expect(
        worst(
          `rises solved ${total}`,
          rises.map((rise, i) => [rad(rise), Math.abs(found[i]!)]),
        ),
      ).toBeLessThan(1e-9);
    },
  );

  test.each([
    [2, 12],
    [3, 24],
    [4, 36],
    [5, 48],
    [6, 60],
    [7, 72],
    [8, 84],
  ])('backset is 6 deg for a %d-piece elbow of %d deg (the same book)', (pieces, total) => {
    const { end } = elbowEnd(50, 300, total / (2 * (pieces - 1)));
    expect(end.flat?.miterDeg).toBeCloseTo(6, 9);
  });
});

describe('a miter needs the outline, not only the angle', () => {
  test('the ordinate of a mitered rectangle is its height times the tangent, corner arcs included', () => {
    const tube = rectangle(60, 40, 6, 2);
    const job = jobOf(
      [runTube('rail', tube, { run: [straight(500)] })],
      [trim('rail.end', { kind: 'at', distance: 300 }, { miterDeg: 30, longPointDeg: 90 })],
    );
    const end = cutOf(solved(job), 'rail.end');
    const pairs = end.curves.outer.samples.map((sample): [number, number] => [
      outlineAt(tube, sample.u).point[0] * Math.tan(rad(30)),
      sample.s - 300,
    ]);
    expect(worst('mitered rectangle', pairs)).toBeLessThan(1e-6);
  });
});
