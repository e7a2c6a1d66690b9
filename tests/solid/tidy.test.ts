import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { placementFrom } from '../../src/geometry/placement.ts';
import { evaluate, meshVolume } from '../../src/solid/evaluate.ts';
import type { Solid } from '../../src/solid/expression.ts';
import { SolidFault } from '../../src/solid/fault.ts';
import { type Kernel, openKernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { gridCoordinate, isClean, tidyMesh } from '../../src/solid/tidy.ts';
import { at, box, boxMesh, circle, labeledSleeve, prism } from './shapes.ts';

let kernel: Kernel;
beforeAll(async () => {
  kernel = await openKernel();
});
const options = { partName: 'tool' };

function meshOrFault(tree: Solid): Mesh | SolidFault {
  try {
    return evaluate(kernel, tree, options);
  } catch (fault) {
    if (fault instanceof SolidFault) return fault;
    throw fault;
  }
}
const alongX = (z: number, y = 0) => placementFrom([-50, y, z], [1, 0, 0], [0, 1, 0]);

/** A box with an extra vertex on the edge from corner 0 to corner 1, and the facets that touch it; `off` moves it off the edge. */
function splitBox(place: number, off = 0): Mesh {
  const { positions, triangles } = boxMesh();
  const on = 8;
  const split: number[] = [];
  for (let i = 0; i < triangles.length; i += 3) {
    const corners = [triangles[i]!, triangles[i + 1]!, triangles[i + 2]!];
    const k = corners.findIndex((v, j) => v + corners[(j + 1) % 3]! === 1);
    if (k < 0) split.push(...corners);
    else {
      const [a, b, c] = [corners[k]!, corners[(k + 1) % 3]!, corners[(k + 2) % 3]!];
      split.push(a, on, c, on, b, c);
    }
  }
  return { positions: Float64Array.from([...positions, place, off, 0]), triangles: Uint32Array.from(split) };
}

describe('tidying a mesh', () => {
  it('a clean mesh on the grid comes through untouched', () => {
    const { mesh, facts } = tidyMesh(boxMesh());
    expect(mesh).toEqual(boxMesh());
    expect(isClean(facts)).toBe(true);
  });

  it.each([0, 1e-7, 3e-5])('an edge of %d mm shrinks to its first end', (place) => {
    const { mesh, facts } = tidyMesh(splitBox(place, place > 0 ? 1e-9 : 0));
    // 3e-5 mm is an honest edge on the grid: it stays.
    expect(facts).toMatchObject({ closed: true, zeroArea: 0, duplicateVertices: 0, vertices: place > 1e-6 ? 9 : 8 });
    expect(facts.volume).toBeCloseTo(6000, 3);
    expect(mesh.positions.slice(0, 24)).toEqual(boxMesh().positions);
  });

  it('a flat triangle is turned away and its middle vertex kept', () => {
    // The bottom's facets skip the point on the edge, the front's take it: the gap between is a triangle of corner, point, corner.
    const split = splitBox(4);
    const bottom = boxMesh().triangles.slice(0, 6);
    const sewn = { ...split, triangles: Uint32Array.from([...bottom, 1, 8, 0, ...split.triangles.slice(9)]) };
    expect(checkMesh(sewn)).toMatchObject({ closed: true, zeroArea: 1 });
    const { facts } = tidyMesh(sewn);
    expect(facts).toMatchObject({ closed: true, zeroArea: 0, vertices: 9, triangles: checkMesh(sewn).triangles });
  });

  it('an open mesh stays open and says so', () => {
    expect(isClean(tidyMesh({ ...boxMesh(), triangles: boxMesh().triangles.slice(3) }).facts)).toBe(false);
  });

  it('a coordinate is never minus zero', () => {
    expect(Object.is(gridCoordinate(-1e-9), 0)).toBe(true);
    expect(gridCoordinate(57.15)).toBe(Math.fround(57.15));
  });
});

describe('solids whose faces all but coincide', () => {
  const nearly = fc.constantFrom(0, 1e-9, 1e-7, 1e-6, -1e-6, 1e-5, -1e-5, 1e-4);
  const round = (
    name: string,
    radius: number,
    change: { turn?: number; height?: number; at?: Parameters<typeof prism>[2]['at'] },
  ): Solid =>
    prism(
      name,
      [
        circle(radius, 64).map(([x, y]): [number, number] => {
          const [c, s] = [Math.cos(change.turn ?? 0), Math.sin(change.turn ?? 0)];
          return [c * x - s * y, s * x + c * y];
        }),
      ],
      { height: change.height ?? 60, ...(change.at ? { at: change.at } : {}) },
    );

  it.each<[string, (a: number, b: number, c: number) => Solid]>([
    [
      'equal tubes that cross',
      (a, b) => ({
        kind: 'union',
        name: 'tee',
        of: [round('run', 20, {}), round('branch', 20, { height: 100, at: alongX(30 + b, a) })],
      }),
    ],
    [
      'an equal tee, bored through',
      (a, b, c) => ({
        kind: 'subtract',
        name: 'tee',
        from: {
          kind: 'union',
          name: 'outside',
          of: [round('run', 23, {}), round('branch', 23, { height: 100, at: alongX(30, a) })],
        },
        cuts: [
          {
            kind: 'union',
            name: 'bores',
            of: [
              round('bore', 20, { height: 80, at: at([b, c, -10]) }),
              round('bore', 20, { height: 100, at: alongX(30 + c, a) }),
            ],
          },
        ],
      }),
    ],
    [
      'tubes stacked end on end',
      (a, b, c) => ({
        kind: 'union',
        name: 'stack',
        of: [round('low', 20, {}), round('high', 20 + a, { turn: c, at: at([b, 0, 60 + c]) })],
      }),
    ],
    [
      'a hole and a slot ending at its edge',
      (a, b, c) => ({
        kind: 'subtract',
        name: 'plate',
        from: box('plate', [80, 80, 10]),
        cuts: [round('hole', 20, { at: at([0, 0, -1]) }), box('slot', [3, 40, 20], [a, 36 + b, 5 + c])],
      }),
    ],
  ])('%s make a clean mesh of the right volume', (_, solid) => {
    fc.assert(
      fc.property(nearly, nearly, nearly, (a, b, c) => {
        const tree = solid(a, b, c);
        const mesh = meshOrFault(tree);
        // About one in three hundred cannot be told apart from touching, and is said so by name rather than written.
        if (mesh instanceof SolidFault) return;
        const facts = checkMesh(mesh);
        expect(isClean(facts)).toBe(true);
        expect(Math.abs(facts.volume - meshVolume(kernel, tree))).toBeLessThan(0.05);
      }),
      { numRuns: 25 },
    );
  });

  it('two blocks that touch along an edge only are a fault, not a file that slicers guess at', () => {
    const pair: Solid = {
      kind: 'union',
      name: 'pair',
      of: [box('a', [10, 10, 10]), box('b', [10, 10, 10], [10, 10, 0])],
    };
    expect(() => evaluate(kernel, pair, options)).toThrow(SolidFault);
    expect(() => evaluate(kernel, pair, options)).toThrow(/^tool\/pair: faces of the solid touch along an edge/);
  });

  it('blocks that touch at a corner only hang together by a vertex and count as two pieces', () => {
    const pair: Solid = {
      kind: 'union',
      name: 'pair',
      of: [box('a', [10, 10, 10]), box('b', [10, 10, 10], [10, 10, 10])],
    };
    expect(checkMesh(evaluate(kernel, pair, options))).toMatchObject({ closed: true, shells: 2, vertices: 15 });
  });

  it('a tidy tool is what a second evaluation makes of it', () => {
    const once = evaluate(kernel, labeledSleeve({ bore: 30.45, thick: 3, facets: 64 }), options);
    const twice = evaluate(kernel, { kind: 'mesh', name: 'again', mesh: once }, options);
    expect(new Set(twice.positions)).toEqual(new Set(once.positions));
    expect(twice.triangles.length).toBe(once.triangles.length);
  });
});
