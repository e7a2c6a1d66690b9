import { describe, expect, test } from 'vitest';
import { cutTable } from '../../src/export/cut-table.ts';
import { flowSection } from '../../src/geometry/flow.ts';
import { loadJob } from '../../src/job/load.ts';
import { materialNamed } from '../../src/job/material.ts';
import type { Problem } from '../../src/job/problem.ts';
import { metalVolume } from '../../src/solve/mass.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';

function solved(text: string): { readonly solution: Solution; readonly problems: readonly Problem[] } {
  const loaded = loadJob(text);
  if (!loaded.value) throw new Error(loaded.problems.map(({ message }) => message).join('; '));
  const { value, problems } = solveJob(loaded.value);
  if (!value) throw new Error(problems.map(({ message }) => message).join('; '));
  return { solution: value, problems };
}

const job = (section: string, members: string, more = ''): string =>
  `job: t\nsections:\n  tube: ${section}\nmembers:\n${members}\n${more}`;
const METER = '  a: { section: tube, points: [[0, 0, 0], [1000, 0, 0]], up: [0, 0, 1] }';
const volumeOf = (text: string): number => metalVolume(solved(text).solution.pieces[0]!);

describe('mass of tube', () => {
  test.each([
    // 50.8 x 1.65, one meter (derived): density of 304 by the ASM data sheet, the others W. D. Callister, appendix B.
    ['304', 2.0382],
    ['1020', 2.0051],
    ['6061', 0.6879],
    // Derived with 4.51 (with 4.50 it is 1.1465).
    ['titanium', 1.149],
  ])('a meter of 50.8 x 1.65 in %s weighs %f kg', (material, mass) => {
    const { solution } = solved(job(`{ kind: round, od: 50.8, wall: 1.65, material: "${material}" }`, METER));
    const table = cutTable(solution);
    expect(table.pieces[0]!.mass).toBeCloseTo(mass, 4);
    expect(table.masses).toMatchObject({ materials: [{ material }], unknown: [] });
    expect(table.masses.total).toBe(table.pieces[0]!.mass);
  });

  test('a density in the file outranks that of the material, and does where there is none', () => {
    const massOf = (more: string) =>
      cutTable(solved(job(`{ kind: round, od: 50.8, wall: 1.65${more} }`, METER)).solution).pieces[0]!.mass;
    expect(massOf(', material: "304", density: 4')).toBeCloseTo(2.0382 / 2, 4);
    expect(massOf(', density: 8')).toBeCloseTo(2.0382, 4);
  });

  test('an unknown material is named once, weighs nothing and stops nothing', () => {
    const two = `${METER}\n  b: { section: tube, points: [[0, 90, 0], [1000, 90, 0]] }`;
    const { solution, problems } = solved(job('{ kind: round, od: 50, wall: 2, material: unobtainium }', two));
    expect(problems).toEqual([]);
    const { masses, pieces } = cutTable(solution);
    expect(masses).toEqual({ total: 0, materials: [], unknown: ['tube'] });
    expect(pieces.every((piece) => !('mass' in piece))).toBe(true);
  });
});

describe('metal of a piece', () => {
  const SECTIONS = [
    '{ kind: round, od: 40, wall: 2 }',
    '{ kind: flat-oval, width: 60, height: 30, wall: 1.5 }',
    '{ kind: rectangle, width: 50, height: 30, wall: 3, corner-radius: 2 }',
    '{ kind: ellipse, width: 50, height: 30, wall: 1.5 }',
  ];
  const wallOf = (section: string): number => volumeOf(job(section, METER)) / 1000;

  test('between two flat cuts is area times the length at the center (the centroid lies on it)', () => {
    for (const section of SECTIONS) {
      const trims =
        'joints:\n  - trim: { end: a.end, at: 480, miter: 40, long-point: 70 }\n  - trim: { end: a.start, at: 130, miter: 25, long-point: 190 }';
      expect(volumeOf(job(section, METER, trims)) / (wallOf(section) * 350), section).toBeCloseTo(1, 4);
    }
  });

  test('of a bend is area times arc (Pappus), for every section and side', () => {
    for (const section of SECTIONS) {
      const bend =
        '  a: { section: tube, start: { heading: [1, 0, 0] }, run: [{ bend: { clr: 90, angle: 75, toward: 30 } }] }';
      expect(volumeOf(job(section, bend)) / ((wallOf(section) * 75 * Math.PI * 90) / 180), section).toBeCloseTo(1, 6);
    }
  });

  test('of a solid bar cut by an equal one square to it: half of the Steinmetz solid less than to its axis', () => {
    // Volume of two equal perpendicular cylinders 16/3 r^3 (CRC Concise Encyclopedia of Mathematics); a thin wall r(1 - mean of |cos|).
    const thin = volumeOf(
      job(
        '{ kind: round, od: 50.8, wall: 0.1 }',
        `${METER}\n  run: { section: tube, points: [[1000, -200, 0], [1000, 200, 0]] }`,
        'joints:\n  - cope: { branch: a.end, run: run }',
      ),
    );
    // On the outside the cut lies r |cos p| before the axis, in the mean 2 r / pi; half way down the wall hardly less.
    const length = thin / wallOf('{ kind: round, od: 50.8, wall: 0.1 }');
    expect(length).toBeCloseTo(1000 - (2 * 25.4) / Math.PI, 0);
  });
});

describe('materials', () => {
  test.each([
    ['304', ['304L', 'SS304', 'ss 304', 'AISI 304', '1.4301', 'stainless', 'Stainless Steel', 'EN 1.4307']],
    ['316', ['316L', '1.4404', 'a4']],
    [
      '1020',
      [
        'mild steel',
        'Mild-Steel',
        'steel',
        'A513',
        'ASTM A513',
        'DOM',
        'S235',
        '1018',
        'carbon steel',
        'low carbon steel',
      ],
    ],
    ['4130', ['chromoly', 'SAE 4130', 'chrome-moly']],
    ['6061', ['6061-T6', 'aluminum', 'aluminium 6061', '6082']],
    ['titanium', ['Ti', 'ti grade 2', 'CP2']],
  ])('%s goes by its other names', (name, others) => {
    for (const other of others) expect(materialNamed(other)?.name, other).toBe(name);
  });

  test('what is not known is not guessed at', () => {
    for (const name of ['petg', 'unobtainium', '3040', '', 'oak', '30'])
      expect(materialNamed(name), name).toBeUndefined();
  });
});

describe('growth with heat', () => {
  test('is length times expansion times rise', () => {
    const { solution } = solved(job('{ kind: round, od: 50, wall: 2, material: "304" }', METER, 'heat: { rise: 60 }'));
    // 1000 mm * 17.3e-6 (ASM data sheet) * 60.
    expect(solution.heat).toMatchObject([{ member: 'a', growth: expect.closeTo(1.038, 9) }]);
    const own = solved(job('{ kind: round, od: 50, wall: 2, expansion: 10 }', METER, 'heat: { rise: -100 }'));
    expect(own.solution.heat[0]!.growth).toBeCloseTo(-1, 9);
  });

  test('of a material that is not known is asked for, once for its section', () => {
    const two = `${METER}\n  b: { section: tube, points: [[0, 90, 0], [1000, 90, 0]] }`;
    const { problems } = solved(job('{ kind: round, od: 50, wall: 2, material: oak }', two, 'heat: { rise: 60 }'));
    expect(problems).toMatchObject([
      { code: 'material/unknown', severity: 'warning', path: ['sections', 'tube', 'material'] },
    ]);
  });
});

describe('flow sections', () => {
  test.each([
    // Inside sizes; area, perimeter, hydraulic diameter 4A/P and 1.55 A^0.625 / P^0.25 (Heyt & Diaz 1975), recomputed.
    [100, 50, 4463.4954, 257.0796, 69.4492, 73.937],
    [80, 40, 2856.6371, 205.6637, 55.5594, 59.1496],
  ])('a flat oval of %f x %f', (width, height, area, round, hydraulic, equivalent) => {
    const wall = 1.5;
    const flow = flowSection({ kind: 'flat-oval', width: width + 2 * wall, height: height + 2 * wall, wall });
    expect(flow.area).toBeCloseTo(area, 3);
    expect(flow.perimeter).toBeCloseTo(round, 3);
    expect(flow.hydraulicDiameter).toBeCloseTo(hydraulic, 3);
    expect(flow.equivalentDiameter).toBeCloseTo(equivalent, 3);
  });

  test('a round bore is its own diameter, a square one its side', () => {
    expect(flowSection({ kind: 'round', od: 53, wall: 1.5 })).toMatchObject({
      hydraulicDiameter: 50,
      equivalentDiameter: 50,
    });
    const square = flowSection({ kind: 'rectangle', width: 44, height: 44, wall: 2, cornerRadius: 1 });
    expect(square.hydraulicDiameter).toBeCloseTo(40, 9);
  });
});
