import { describe, expect, it } from 'vitest';
import type { Mesh } from '../../src/solid/mesh.ts';
import { checkMesh, signedVolume } from '../../src/solid/mesh-check.ts';
import { boxMesh } from './shapes.ts';

const join = (a: Mesh, b: Mesh): Mesh => ({
  positions: Float64Array.from([...a.positions, ...b.positions]),
  triangles: Uint32Array.from([...a.triangles, ...b.triangles.map((i) => i + a.positions.length / 3)]),
});
const moved = (mesh: Mesh, by: number): Mesh => ({ ...mesh, positions: mesh.positions.map((x) => x + by) });
const flipped = (mesh: Mesh): Mesh => ({ ...mesh, triangles: mesh.triangles.slice().reverse() });

describe('checking a mesh', () => {
  it('a box is closed, one shell, and has its volume, area and bounds', () => {
    expect(checkMesh(boxMesh())).toEqual({
      triangles: 12,
      vertices: 8,
      closed: true,
      openEdges: 0,
      misoriented: 0,
      crowdedEdges: 0,
      zeroArea: 0,
      shells: 1,
      volume: 6000,
      area: 2200,
      bounds: { min: [0, 0, 0], max: [10, 20, 30] },
      duplicateVertices: 0,
    });
  });

  it('volume does not depend on where the mesh stands, and is negative inside out', () => {
    expect(signedVolume(moved(boxMesh(), 5000))).toBeCloseTo(6000, 6);
    expect(signedVolume(flipped(boxMesh()))).toBe(-6000);
    expect(checkMesh(flipped(boxMesh())).closed).toBe(true);
  });

  it('a missing triangle leaves three open edges', () => {
    const mesh = { ...boxMesh(), triangles: boxMesh().triangles.slice(3) };
    expect(checkMesh(mesh)).toMatchObject({ closed: false, openEdges: 3, misoriented: 0, crowdedEdges: 0 });
  });

  it('one flipped triangle leaves three edges run twice the same way', () => {
    const triangles = boxMesh().triangles.slice();
    [triangles[0], triangles[1]] = [triangles[1]!, triangles[0]!];
    expect(checkMesh({ ...boxMesh(), triangles })).toMatchObject({ closed: false, openEdges: 0, misoriented: 3 });
  });

  it('a wall inside makes edges with three triangles', () => {
    const mesh = { ...boxMesh(), triangles: Uint32Array.from([...boxMesh().triangles, 0, 1, 6]) };
    expect(checkMesh(mesh)).toMatchObject({ closed: false, crowdedEdges: 2, openEdges: 1 });
  });

  it('two boxes apart are two shells, and sharing places without sharing vertices is counted', () => {
    expect(checkMesh(join(boxMesh(), moved(boxMesh(), 100)))).toMatchObject({ closed: true, shells: 2, volume: 12000 });
    expect(checkMesh(join(boxMesh(), boxMesh())).duplicateVertices).toBe(8);
  });

  it('a triangle with its corners in a line, or a corner named twice, has no area', () => {
    const { positions } = boxMesh();
    const line = Float64Array.from([...positions, 5, 0, 0]);
    expect(checkMesh({ positions: line, triangles: Uint32Array.from([0, 8, 1]) }).zeroArea).toBe(1);
    expect(checkMesh({ positions, triangles: Uint32Array.from([0, 0, 1]) }).zeroArea).toBe(1);
    line[25] = 1e-6;
    expect(checkMesh({ positions: line, triangles: Uint32Array.from([0, 8, 1]) }).zeroArea).toBe(0);
    expect(
      checkMesh({ positions: positions.map((x, i) => (i === 0 ? Number.NaN : x)), triangles: boxMesh().triangles }),
    ).toMatchObject({
      closed: false,
      zeroArea: 5,
    });
  });

  it('an index beyond the vertices is refused', () => {
    expect(() => checkMesh({ ...boxMesh(), triangles: Uint32Array.from([0, 1, 8]) })).toThrow(
      'internal: mesh names vertex 8 of 8',
    );
  });
});
