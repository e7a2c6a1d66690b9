import dxfParser, { type IDxf, type IEntity } from 'dxf-parser';
import { describe, expect, test } from 'vitest';
import { plateDxf } from '../../src/export/flat-dxf.ts';
import { plateSvg } from '../../src/export/flat-svg.ts';
import { boundsOfLoops, loopArea } from '../../src/geometry/flat-path.ts';
import type { Plate } from '../../src/solve/plates/plate.ts';
import { example, made } from '../support/tools.ts';

interface ReadEntity extends IEntity {
  readonly center?: { readonly x: number; readonly y: number };
  readonly radius?: number;
  readonly shape?: boolean;
  readonly vertices?: readonly { readonly x: number; readonly y: number; readonly bulge?: number }[];
}

/** The package's types name a default export of its default export; at run time it is the class itself. */
const Reader = dxfParser as unknown as new () => { parseSync(text: string): IDxf | null };

const read = (plate: Plate) => {
  const parsed = new Reader().parseSync(plateDxf(plate));
  if (!parsed) expect.fail('no DXF');
  return {
    header: parsed.header,
    layers: Object.keys(parsed.tables.layer.layers),
    entities: parsed.entities as readonly ReadEntity[],
  };
};

/** Area of what the reader found, worked out anew: shoelace and, for each bulge, the segment of its circle. */
function areaOf({ center, radius, vertices = [] }: ReadEntity): number {
  if (center && radius !== undefined) return Math.PI * radius ** 2;
  return vertices.reduce((sum, p, i) => {
    const q = vertices[(i + 1) % vertices.length]!;
    const theta = 4 * Math.atan(p.bulge ?? 0);
    const chord = Math.hypot(q.x - p.x, q.y - p.y);
    const r = theta === 0 ? 0 : chord / 2 / Math.sin(Math.abs(theta) / 2);
    return (
      sum +
      (p.x * q.y - q.x * p.y) / 2 +
      (Math.sign(theta) * (r * r * (Math.abs(theta) - Math.sin(Math.abs(theta))))) / 2
    );
  }, 0);
}

const plates = ['dust-wye', 'bench-frame'].flatMap((name) => made(example(name)).solution.plates);

describe('flat parts', () => {
  test.each(plates)(
    '$name reads back in another library: mm, layers, closed contours, true arcs, the same areas and places',
    (plate) => {
      const { header, layers, entities } = read(plate);
      expect(header.$INSUNITS).toBe(4);
      expect(layers).toEqual(expect.arrayContaining(['CUT', 'MARK']));
      const cuts = entities.filter(({ layer }) => layer === 'CUT');
      const loops = [...plate.holes.map(({ loop }) => loop), plate.outline];
      expect(cuts).toHaveLength(loops.length);
      const { min } = boundsOfLoops([plate.outline]);
      for (const [i, loop] of loops.entries()) {
        const entity = cuts[i]!;
        expect(Math.abs(areaOf(entity) - loopArea(loop))).toBeLessThan(1e-3);
        if (loop.kind === 'circle') {
          expect(entity.type).toBe('CIRCLE');
          expect(entity.center!.x).toBeCloseTo(loop.center[0] - min[0], 5);
          expect(entity.center!.y).toBeCloseTo(loop.center[1] - min[1], 5);
        } else {
          expect(entity).toMatchObject({ type: 'LWPOLYLINE', shape: true });
          expect(entity.vertices).toHaveLength(loop.corners.length);
        }
      }
      // No line twice.
      const seen = entities.map(({ type, center, radius, vertices }) =>
        JSON.stringify({ type, center, radius, vertices }),
      );
      expect(new Set(seen).size).toBe(seen.length);
      expect(plateDxf(plate)).toBe(plateDxf(plate));
    },
  );

  test('a stadium hole is two lines and two half circles, no polygon', () => {
    const hanger = plates.find(({ name }) => name === 'hanger')!;
    const duct = read(hanger).entities.find(({ type }) => type === 'LWPOLYLINE')!;
    expect(duct.vertices!.map(({ bulge = 0 }) => Math.abs(Number(bulge.toFixed(9)))).sort()).toEqual([0, 0, 1, 1]);
  });

  test('the SVG is 1:1 and as large as the part', () => {
    for (const plate of plates) {
      const { min, max } = boundsOfLoops([plate.outline]);
      const svg = plateSvg(plate, plate.name);
      const [, width, height] = /width="([\d.]+)mm" height="([\d.]+)mm" viewBox/.exec(svg)!;
      expect(Number(width)).toBeCloseTo(max[0] - min[0] + 2, 3);
      expect(Number(height)).toBeCloseTo(max[1] - min[1] + 2, 3);
    }
  });
});
