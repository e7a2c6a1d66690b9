import { describe, expect, test } from 'vitest';
import { ellipsePerimeter } from '../../src/geometry/ellipse.ts';
import { areaInside, outlineAt, perimeter, type Section } from '../../src/geometry/section.ts';
import { ellipse, oval, rectangle, round } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';

describe('flat oval (ASHRAE duct sections, closed form)', () => {
  test.each([
    [100, 50, 4463.4954, 257.0796, 69.4492, 73.937],
    [80, 40, 2856.6371, 205.6637, 55.5594, 59.1496],
  ])('%d x %d: area %d, perimeter %d', (width, height, area, around, hydraulic, equivalent) => {
    for (const section of [oval(width, height), oval(height, width)]) {
      const off = worst(`oval ${section.kind} ${width}`, [
        [area, areaInside(section)],
        [around, perimeter(section)],
        [hydraulic, (4 * areaInside(section)) / perimeter(section)],
        // Equivalent round duct, Heyt & Diaz, ASHRAE Trans. 81 (1975): 1.55 area^0.625 / perimeter^0.25.
        [equivalent, (1.55 * areaInside(section) ** 0.625) / perimeter(section) ** 0.25],
      ]);
      expect(off).toBeLessThan(0.00006);
    }
  });

  test('the exponent 0.325 of a misprinted reproduction is not the equivalent diameter', () => {
    const section = oval(100, 50);
    expect(Math.abs((1.55 * areaInside(section) ** 0.325) / perimeter(section) ** 0.25 - 73.937)).toBeGreaterThan(60);
  });
});

describe('ellipse', () => {
  test.each([
    // NIST DLMF 19.8.6 (arithmetic-geometric mean), derived by two methods.
    [2, 1, 9.68844822054, 1e-10],
    [10, 5, 48.442241102738, 1e-10],
    [3, 1, 13.364893220555, 1e-10],
    [10, 1, 40.639741801009, 1e-10],
  ])('perimeter of semi-axes %d, %d', (p, q, around, within) => {
    expect(
      worst(`ellipse ${p} ${q}`, [
        [around, ellipsePerimeter(p, q)],
        [around, ellipsePerimeter(q, p)],
      ]),
    ).toBeLessThan(within);
  });

  test('a circle is an ellipse of equal axes', () => {
    const pairs = Array.from({ length: 97 }, (_, i): [number, number][] => {
      const u = i / 97;
      const [x, y] = outlineAt(ellipse(50, 50), u).point;
      const [a, b] = outlineAt(round(50), u).point;
      return [
        [a, x],
        [b, y],
      ];
    }).flat();
    expect(worst('circle as ellipse', pairs)).toBeLessThan(1e-12);
  });
});

test('four 1.75 bores have the area of one 3.5 (arithmetic)', () => {
  expect((4 * areaInside(round(1.75 * 25.4))) / areaInside(round(3.5 * 25.4))).toBeCloseTo(1, 12);
});

test('area of a section is what its outline encloses, at any depth up to the corner and past it', () => {
  const enclosed = (section: Section, depth: number): number => {
    const n = 4000;
    let twice = 0;
    for (let i = 0; i < n; i++) {
      const [x, y] = outlineAt(section, i / n, depth).point;
      const [a, b] = outlineAt(section, (i + 1) / n, depth).point;
      // Clockwise, so the sum comes out negative.
      twice -= x * b - a * y;
    }
    return twice / 2;
  };
  const cases: readonly (readonly [Section, number])[] = [
    [round(50), 0],
    [round(50), 3],
    [oval(80, 40), 2],
    [oval(40, 80), 2],
    [ellipse(80, 40), 0],
    [ellipse(80, 40), 3],
    [rectangle(60, 40, 5), 0],
    [rectangle(60, 40, 5), 3],
    [rectangle(60, 40, 5), 5],
    [rectangle(60, 40, 2), 3],
    [rectangle(60, 40, 0), 3],
  ];
  expect(
    worst(
      'enclosed area, relative',
      cases.map(([section, depth]) => [1, enclosed(section, depth) / areaInside(section, depth)]),
    ),
  ).toBeLessThan(1e-5);
});
