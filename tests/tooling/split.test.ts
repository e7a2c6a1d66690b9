import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { IDENTITY } from '../../src/geometry/placement.ts';
import { evaluate, intersectionVolume } from '../../src/solid/evaluate.ts';
import type { Solid } from '../../src/solid/expression.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { bordersOf, chooseSplit, pieceIn, type Rectangle, seatsOn } from '../../src/tooling/split.ts';
import { kernel } from '../support/tools.ts';

const rectangle = (x: readonly [number, number], y: readonly [number, number]): Rectangle => [
  { low: x[0], high: x[1] },
  { low: y[0], high: y[1] },
];
const sides = (cell: Rectangle): readonly number[] => cell.map(({ low, high }) => high - low);
const area = (cell: Rectangle): number => sides(cell).reduce((p, q) => p * q);

describe('parting a rectangle for the bed', () => {
  test('leaves it whole where it fits, either way round', () => {
    const size = rectangle([0, 200], [0, 100]);
    const part = { size, whole: [], least: 50 };
    expect(chooseSplit({ ...part, bed: [220, 220] })).toEqual([size]);
    expect(chooseSplit({ ...part, bed: [110, 210] })).toEqual([size]);
  });

  test('cuts beside what must stay whole', () => {
    const cells = chooseSplit({
      size: rectangle([0, 300], [0, 100]),
      whole: [rectangle([120, 190], [40, 60])],
      bed: [220, 220],
      least: 50,
    });
    expect(cells).toHaveLength(2);
    expect([120, 190]).toContain(cells![0]![0].high);
  });

  test('says so where there is no place to cut', () => {
    const whole = [rectangle([10, 290], [40, 60])];
    expect(chooseSplit({ size: rectangle([0, 300], [0, 100]), whole, bed: [220, 220], least: 50 })).toBe(undefined);
  });

  test('gives pieces that fit with their keys, cover what stays whole and overlap nowhere, whatever stands on it', () => {
    const post = fc.record({
      x: fc.integer({ min: 10, max: 560 }),
      y: fc.integer({ min: 10, max: 360 }),
      wide: fc.integer({ min: 10, max: 70 }),
      deep: fc.integer({ min: 10, max: 70 }),
    });
    fc.assert(
      fc.property(fc.array(post, { maxLength: 8 }), fc.integer({ min: 120, max: 300 }), (posts, bed) => {
        const whole = posts.map(({ x, y, wide, deep }) => rectangle([x, x + wide], [y, y + deep]));
        const cells = chooseSplit({
          size: rectangle([0, 640], [0, 440]),
          whole,
          bed: [bed, bed + 20],
          least: 50,
        });
        for (const cell of cells ?? []) {
          const [short, long] = [...sides(cell)].sort((p, q) => p - q);
          expect(short).toBeLessThanOrEqual(bed);
          expect(long).toBeLessThanOrEqual(bed + 20);
        }
        const inside = (kept: Rectangle, cell: Rectangle): boolean =>
          [0, 1].every((k) => kept[k]!.low >= cell[k]!.low && kept[k]!.high <= cell[k]!.high);
        if (cells) for (const kept of whole) expect(cells.filter((cell) => inside(kept, cell)).length).toBe(1);
        if (cells) expect(cells.reduce((sum, cell) => sum + area(cell), 0)).toBeCloseTo(640 * 440, 6);
      }),
      { seed: 5, numRuns: 25 },
    );
  });
});

describe('pieces of a plate', () => {
  const size = rectangle([0, 180], [0, 90]);
  const plate: Solid = {
    kind: 'prism',
    name: 'plate',
    loops: [
      [
        [0, 0],
        [180, 0],
        [180, 90],
        [0, 90],
      ],
    ],
    height: 7,
    at: IDENTITY,
  };
  const cells = chooseSplit({ size, whole: [], bed: [120, 120], least: 50 })!;
  const seats = bordersOf(cells).flatMap((border) => seatsOn(border, { low: 0, high: 7, free: () => true }));
  const pieces = cells.map((cell) => evaluate(kernel, pieceIn(plate, { cell, cells, seats }), { partName: 'piece' }));
  const [low, high] = pieces as [(typeof pieces)[0], (typeof pieces)[0]];
  const apart = (step: readonly [number, number, number]): number =>
    intersectionVolume(kernel, low, {
      kind: 'place',
      name: 'neighbor',
      of: { kind: 'mesh', name: 'piece', mesh: high },
      at: { ...IDENTITY, origin: step },
    });

  test('are closed bodies that together are the plate less its gaps', () => {
    expect(pieces).toHaveLength(2);
    expect(seats).toHaveLength(2);
    const volumes = pieces.map((mesh) => checkMesh(mesh));
    expect(volumes.map(({ closed, shells }) => [closed, shells])).toEqual([
      [true, 1],
      [true, 1],
    ]);
    const whole = volumes.reduce((sum, { volume }) => sum + volume, 0);
    expect(whole).toBeLessThan(180 * 90 * 7);
    expect(whole).toBeGreaterThan(0.99 * 180 * 90 * 7);
  });

  test('come together from above without touching, and hold every other way', () => {
    expect(apart([0, 0, 0])).toBe(0);
    expect(apart([0, 0, 3])).toBe(0);
    for (const way of [
      [0.6, 0, 0],
      [-0.6, 0, 0],
      [0, 0.6, 0],
      [0, -0.6, 0],
    ] as const)
      expect(apart(way)).toBeGreaterThan(1);
    expect(apart([0.05, 0, 0])).toBe(0);
  });
});
