import { describe, expect, test } from 'vitest';
import { viewData } from '../../src/export/sheet-view.ts';
import { loopArea } from '../../src/geometry/flat-path.ts';
import { unplace } from '../../src/geometry/placement.ts';
import type { Vec2 } from '../../src/geometry/vector.ts';
import { flatMesh } from '../../src/solid/flat-mesh.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { example, made, vertices } from '../support/tools.ts';

const square = (x: number, y: number, side: number): readonly Vec2[] => [
  [x, y],
  [x + side, y],
  [x + side, y + side],
  [x, y + side],
];

describe('a flat part as a mesh', () => {
  test('is closed and has the volume of the sheet, holes taken out, whichever way its loops are drawn', () => {
    const outline = square(0, 0, 100);
    const holes = [square(10, 10, 20), square(60, 10, 30), square(20, 50, 40)];
    for (const way of [(loop: readonly Vec2[]) => loop, (loop: readonly Vec2[]) => [...loop].reverse()]) {
      const { closed, zeroArea, volume } = checkMesh(
        flatMesh({ outline: way(outline), holes: holes.map((hole) => way(hole)) }, 3),
      );
      expect({ closed, zeroArea }).toEqual({ closed: true, zeroArea: 0 });
      expect(volume).toBeCloseTo(3 * (10_000 - 400 - 900 - 1600), 6);
    }
  });

  test('stands on the page where the layout has it, under a name that no piece has', () => {
    const { solution } = made(example('bench-frame'));
    const items = viewData(solution, []).items.filter(({ group }) => group === 'plate');
    expect(items.map(({ label }) => label)).toEqual(solution.plates.map(({ name }) => name));
    expect(items.length).toBeGreaterThan(1);
    items.forEach(({ mesh }, i) => {
      const { at, spec, outline, holes } = solution.plates[i]!;
      const flat = vertices(mesh).map((p) => unplace(at, p)[2]);
      expect(Math.max(...flat.map(Math.abs))).toBeCloseTo(spec.thickness / 2, 9);
      const area = Math.abs(loopArea(outline)) - holes.reduce((sum, { loop }) => sum + Math.abs(loopArea(loop)), 0);
      const { closed, volume } = checkMesh(mesh);
      expect(closed).toBe(true);
      expect(volume / (area * spec.thickness)).toBeCloseTo(1, 2);
    });
  });
});
