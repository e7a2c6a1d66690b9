import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Ink, LONGEST_NUMBER, putCoordinate, putWhole } from '../../src/export/number-bytes.ts';
import { plainDecimal } from '../../src/export/number-format.ts';
import { gridCoordinate } from '../../src/solid/tidy.ts';

const written = (put: (ink: Ink, x: number) => void, x: number): string => {
  const ink: Ink = { bytes: new Uint8Array(LONGEST_NUMBER), at: 0 };
  put(ink, x);
  expect(ink.at).toBeLessThanOrEqual(LONGEST_NUMBER);
  return new TextDecoder().decode(ink.bytes.subarray(0, ink.at));
};
const coordinateText = (x: number): string => written(putCoordinate, x);

describe('writing numbers', () => {
  it.each([
    [57.15, 6, '57.15'],
    [0.1 + 0.2, 6, '0.3'],
    [-1e-9, 6, '0'],
    [1e-7, 9, '0.0000001'],
    [100, 6, '100'],
    [1200, 0, '1200'],
    [-0.5, 0, '-1'],
    [123456789.25, 1, '123456789.3'],
  ])('%d with %d places is %s', (x, places, text) => {
    expect(plainDecimal(x, places)).toBe(text);
  });

  it.each([Number.NaN, Number.POSITIVE_INFINITY, 1e15])('%d is refused', (x) => {
    expect(() => plainDecimal(x, 6)).toThrow(/^internal: cannot write/);
    expect(() => coordinateText(x)).toThrow(/^internal: cannot write/);
  });

  it.each([
    [Math.fround(57.15), '57.15'],
    [Math.fround(-1 / 3), '-0.333333'],
    [4e-7, '0'],
    [-4e-7, '0'],
    [1e-6, '0.000001'],
    [Math.fround(199.99999), '199.99999'],
    [220, '220'],
    [0.5, '0.5'],
    [-0, '0'],
    [99.9999996, '100'],
    [9007199254.740992 - 1e-6, '9007199255'],
  ])('the coordinate %d is %s', (x, text) => {
    expect(coordinateText(x)).toBe(text);
  });

  it('a coordinate on the grid comes back bit for bit, plain and with six decimals at most', () => {
    fc.assert(
      fc.property(fc.double({ min: -2000, max: 2000, noNaN: true }), (x) => {
        const grid = gridCoordinate(x);
        const text = coordinateText(grid);
        expect(text).toMatch(/^-?\d+(\.\d{1,6})?$/);
        expect(text).not.toBe('-0');
        expect(Math.fround(Number(text))).toBe(grid);
        expect(gridCoordinate(grid)).toBe(grid);
      }),
      { numRuns: 3000 },
    );
  });

  it.each([0, 7, 10, 99, 100, 65535, 4294967295])('the whole number %d is written as the language writes it', (n) => {
    expect(written(putWhole, n)).toBe(String(n));
  });

  it('a coordinate is never longer than the fewest decimals that the language finds for the same float32', () => {
    fc.assert(
      fc.property(fc.double({ min: -2000, max: 2000, noNaN: true }), (x) => {
        const grid = gridCoordinate(x);
        const text = coordinateText(grid);
        const fewest = [0, 1, 2, 3, 4, 5, 6].find((places) => Math.fround(Number(grid.toFixed(places))) === grid)!;
        expect((text.split('.')[1] ?? '').length).toBeLessThanOrEqual(fewest);
      }),
      { numRuns: 1000 },
    );
  });

  it('five places would not do: neighbors on the grid would fall together', () => {
    expect(gridCoordinate(1.000001)).not.toBe(gridCoordinate(1.000002));
    expect(plainDecimal(gridCoordinate(1.000001), 5)).toBe(plainDecimal(gridCoordinate(1.000002), 5));
  });
});
