import { beforeAll, describe, expect, it } from 'vitest';
import { readStl, stlBytes } from '../../src/export/stl.ts';
import { evaluate } from '../../src/solid/evaluate.ts';
import { openKernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { boxMesh, labeledSleeve } from '../solid/shapes.ts';

let sleeve: Mesh;
beforeAll(async () => {
  const solid = labeledSleeve({ bore: 30.45, thick: 3, facets: 256 });
  sleeve = evaluate(await openKernel(), solid, { partName: 'collar' });
});

/** Triangles as places, turned so that the least corner leads: the same whatever the vertices' numbers. */
const places = (mesh: Mesh): string[] =>
  Array.from({ length: mesh.triangles.length / 3 }, (_, t) => {
    const corners = [0, 1, 2].map((k) => {
      const v = 3 * mesh.triangles[3 * t + k]!;
      return mesh.positions.slice(v, v + 3).join();
    });
    return corners.join(' ');
  });

describe('STL', () => {
  it('is binary, 50 bytes a facet, and does not begin like the text kind', () => {
    const bytes = stlBytes(boxMesh());
    expect(bytes).toHaveLength(84 + 50 * 12);
    expect(new TextDecoder().decode(bytes.slice(0, 5))).not.toBe('solid');
    expect(new DataView(bytes.buffer).getUint32(80, true)).toBe(12);
  });

  it('carries the facets’ unit normals', () => {
    const view = new DataView(stlBytes(boxMesh()).buffer);
    const normal = [0, 4, 8].map((k) => view.getFloat32(84 + 2 * 50 + k, true));
    expect(normal).toEqual([0, 0, 1]);
  });

  it('read back it is the very mesh: same places, closed, no facet flat, no vertex doubled', () => {
    const back = readStl(stlBytes(sleeve));
    expect(places(back)).toEqual(places(sleeve));
    const facts = checkMesh(back);
    expect(facts).toMatchObject({ closed: true, zeroArea: 0, duplicateVertices: 0, shells: 1 });
    expect(facts.vertices).toBe(checkMesh(sleeve).vertices);
    expect(facts.volume).toBeCloseTo(checkMesh(sleeve).volume, 6);
    // The comparison tells a mesh moved by a hundredth of a micron at 30 mm apart.
    expect(places({ ...sleeve, positions: sleeve.positions.map((x) => x + 1e-5) })).not.toEqual(places(back));
  });

  it('a mesh off the grid keeps its shape to float32', () => {
    const off = { ...sleeve, positions: sleeve.positions.map((x) => x * 1.000_000_03) };
    expect(checkMesh(readStl(stlBytes(off)))).toMatchObject({ closed: true, zeroArea: 0 });
  });

  it('the same mesh makes the same bytes', () => {
    expect(stlBytes(sleeve)).toEqual(stlBytes(sleeve));
  });

  it('bytes cut short, text and numbers that are none are refused', () => {
    const bytes = stlBytes(boxMesh());
    expect(() => readStl(bytes.slice(0, -1))).toThrow('internal: STL of 683 bytes says it has 12 facets');
    expect(() => readStl(new TextEncoder().encode('solid a\nendsolid a\n'))).toThrow(/^internal: STL of 19 bytes/);
    new DataView(bytes.buffer).setFloat32(96, Number.NaN, true);
    expect(() => readStl(bytes)).toThrow('internal: STL corner 0 is not a number');
  });
});
