import dxfParser, { type IDxf, type IEntity } from 'dxf-parser';
import { describe, expect, test } from 'vitest';
import { type FlatDrawing, flatDrawings, openingDrawing, plateDrawing } from '../../src/export/flat-drawing.ts';
import { flatDxf } from '../../src/export/flat-dxf.ts';
import { flatSvg } from '../../src/export/flat-svg.ts';
import { boundsOfLoops, loopArea, loopPoints } from '../../src/geometry/flat-path.ts';
import { example, made } from '../support/tools.ts';

interface ReadEntity extends IEntity {
  readonly center?: { readonly x: number; readonly y: number };
  readonly radius?: number;
  readonly shape?: boolean;
  readonly vertices?: readonly { readonly x: number; readonly y: number; readonly bulge?: number }[];
}

/** The package's types name a default export of its default export; at run time it is the class itself. */
const Reader = dxfParser as unknown as new () => { parseSync(text: string): IDxf | null };

const read = (flat: FlatDrawing) => {
  const parsed = new Reader().parseSync(flatDxf(flat));
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

const flats = ['dust-wye', 'bench-frame', 'flue-elbow'].flatMap((name) => flatDrawings(made(example(name)).solution));

describe('flat parts', () => {
  test.each(flats)(
    '$name reads back in another library: mm, layers, closed contours, true arcs, the same areas and places',
    (flat) => {
      const { header, layers, entities } = read(flat);
      expect(header.$INSUNITS).toBe(4);
      expect(layers).toEqual(expect.arrayContaining(['CUT', 'MARK']));
      const cuts = entities.filter(({ layer }) => layer === 'CUT');
      const loops = [...flat.holes, flat.outline];
      expect(cuts).toHaveLength(loops.length);
      const { min } = boundsOfLoops([flat.outline]);
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
      expect(flatDxf(flat)).toBe(flatDxf(flat));
    },
  );

  test('a stadium hole is two lines and two half circles, no polygon', () => {
    const hanger = flats.find(({ name }) => name === 'hanger-plate')!;
    const duct = read(hanger).entities.find(({ type }) => type === 'LWPOLYLINE')!;
    expect(duct.vertices!.map(({ bulge = 0 }) => Math.abs(Number(bulge.toFixed(9)))).sort()).toEqual([0, 0, 1, 1]);
  });

  test('the SVG is 1:1 and as large as the part', () => {
    for (const { plate, flat } of made(example('bench-frame')).solution.plates.map((p) => ({
      plate: p,
      flat: plateDrawing(p),
    }))) {
      const { min, max } = boundsOfLoops([plate.outline]);
      const [, width, height] = /width="([\d.]+)mm" height="([\d.]+)mm" viewBox/.exec(flatSvg(flat, plate.name))!;
      expect(Number(width)).toBeCloseTo(max[0] - min[0] + 2, 3);
      expect(Number(height)).toBeCloseTo(max[1] - min[1] + 2, 3);
    }
  });

  test('a drilled hole unrolls to u^2 = a^2 - sin^2 x (Apostol and Mnatsakanian, Amer. Math. Monthly 114, 2007), of arcs', () => {
    const R = 30;
    const r = 18;
    const { solution } = made(`
job: t
sections: { big: { kind: round, od: ${2 * R}, wall: 2 }, small: { kind: round, od: ${2 * r}, wall: 2 } }
members:
  run: { section: big, points: [[0, 0, 0], [300, 0, 0]], up: [0, 0, 1] }
  branch: { section: small, points: [[150, 0, 100], [150, 0, 0]] }
joints: [{ cope: { branch: branch.end, run: run, open: true } }]
tools: []
`);
    const [opening] = solution.openings;
    const a = opening!.edge === 'bore' ? r - 2 : r;
    const loop = openingDrawing(opening!).outline;
    for (const [x, y] of loopPoints(loop, 0.002)) {
      expect(Math.abs(y * y + (R * Math.sin(x / R)) ** 2 - a * a) / (2 * a)).toBeLessThan(0.012);
    }
    // The area of the unrolled hole, summed.
    const n = 20000;
    const top = R * Math.asin(a / R);
    const area = Array.from({ length: n }, (_, i) => {
      const x = -top + (2 * top * (i + 0.5)) / n;
      return (2 * Math.sqrt(a * a - (R * Math.sin(x / R)) ** 2) * 2 * top) / n;
    }).reduce((sum, d) => sum + d, 0);
    expect(Math.abs(loopArea(loop) - area)).toBeLessThan(0.3);
    if (loop.kind === 'path') expect(loop.corners.length).toBeLessThan(160);
  });
});
