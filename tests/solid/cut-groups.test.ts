import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { type Cutter, cutGroups } from '../../src/solid/cut-groups.ts';
import { evaluate } from '../../src/solid/evaluate.ts';
import type { Solid, SubtractSolid } from '../../src/solid/expression.ts';
import { SolidFault } from '../../src/solid/fault.ts';
import { type Kernel, openKernel } from '../../src/solid/kernel.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { box } from './shapes.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await openKernel();
});

type Extent = readonly [number, number];
const cutterOf = (name: string, x: Extent, change: Partial<Cutter> = {}): Cutter => ({
  name,
  solid: undefined as never,
  box: { min: [x[0], 0, 0], max: [x[1], 1, 1] },
  alone: false,
  ...change,
});
const named = (cutters: readonly Cutter[]): string[] =>
  cutGroups(cutters).map((group) => group.map(({ name }) => name).join(''));

describe('cuts made in one go', () => {
  it('are those whose boxes lie apart, and none goes before one that it meets', () => {
    expect(named([cutterOf('a', [0, 1]), cutterOf('b', [2, 3]), cutterOf('c', [4, 5])])).toEqual(['abc']);
    expect(named([cutterOf('a', [0, 1]), cutterOf('b', [0.5, 3]), cutterOf('c', [4, 5])])).toEqual(['ac', 'b']);
    // c meets b, so that it stays behind it though a is far from it; touching is meeting.
    expect(named([cutterOf('a', [0, 1]), cutterOf('b', [0.5, 3]), cutterOf('c', [3, 5])])).toEqual(['a', 'b', 'c']);
    const letters = cutterOf('l', [6, 7], { alone: true });
    expect(named([cutterOf('a', [0, 1]), letters, cutterOf('c', [4, 5])])).toEqual(['ac', 'l']);
    expect(named([letters, letters])).toEqual(['l', 'l']);
    expect(named([])).toEqual([]);
  });

  const plate = (cuts: readonly Solid[]): SubtractSolid => ({
    kind: 'subtract',
    name: 'plate',
    from: box('block', [40, 40, 10]),
    cuts,
  });
  const make = (solid: Solid) => checkMesh(evaluate(kernel, solid, { partName: 'tool' }));

  it('take away what they take one by one', () => {
    const place = fc.integer({ min: -18, max: 18 });
    const size = fc.integer({ min: 1, max: 9 });
    fc.assert(
      fc.property(fc.array(fc.tuple(place, place, size, size), { minLength: 2, maxLength: 6 }), (cuts) => {
        const boxes = cuts.map(([x, y, w, d], i) =>
          box(`cut ${i}`, [w, d, 7 + i / 8], [x + i / 16, y + i / 32, -1 - i / 8]),
        );
        let together: number | string;
        let oneByOne: number | string;
        try {
          together = make(plate(boxes)).volume;
        } catch (fault) {
          if (!(fault instanceof SolidFault)) throw fault;
          together = fault.message;
        }
        try {
          oneByOne = make(boxes.reduce<Solid>((left, cut) => ({ ...plate([cut]), from: left }), plate([]).from)).volume;
        } catch (fault) {
          if (!(fault instanceof SolidFault)) throw fault;
          oneByOne = fault.message;
        }
        if (typeof together === 'number' && typeof oneByOne === 'number') expect(together).toBeCloseTo(oneByOne, 2);
        else expect(together).toBe(oneByOne);
      }),
      { numRuns: 60, seed: 7 },
    );
  });

  it('each must cut, and the one that does not is named', () => {
    const good = [box('left', [4, 4, 20], [-10, 0, -5]), box('right', [4, 4, 20], [10, 0, -5])];
    const beside = box('beside', [4, 4, 20], [60, 0, -5]);
    const above = box('above', [4, 4, 4], [0, 10, 10]);
    const grazing = box('grazing', [0.1, 0.05, 0.1], [0, -10, 9.9]);
    expect(make(plate(good)).volume).toBeCloseTo(16000 - 2 * 160, 2);
    for (const idle of [beside, above, grazing]) {
      expect(() => make(plate([good[0]!, idle, good[1]!]))).toThrow(`tool/${idle.name}: the cut takes nothing away`);
    }
  });
});
