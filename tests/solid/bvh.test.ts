import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { distance, sub, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { buildBvh, castRay, cornersOf, nearestPoint } from '../support/bvh.ts';
import { nearestOnTriangle, rayThroughTriangle } from '../support/triangle.ts';
import { boxMesh, sleeveMesh } from './shapes.ts';

const mesh = sleeveMesh({ bore: 20, thick: 3, facets: 48 });
const bvh = buildBvh(mesh);
const every = Array.from({ length: mesh.triangles.length / 3 }, (_, i) => i);
// Off the round numbers the sleeve's planes stand on: a ray lying in a plane has no single answer.
const coordinate = fc.integer({ min: -40_000, max: 40_000 }).map((i) => i / 1000 + 0.000_123);
const place = fc.tuple(coordinate, coordinate, coordinate);

describe('asking a mesh along a line and near a place', () => {
  it('finds the same first hit as trying every triangle', () => {
    fc.assert(
      fc.property(place, place, (from, to) => {
        if (distance(from, to) < 1e-3) return;
        const direction = unit(sub(to, from));
        const tried = every
          .map((t) => rayThroughTriangle(from, direction, cornersOf(mesh, t)))
          .filter((d) => d !== undefined && d > 0);
        expect(castRay(bvh, from, direction)?.distance).toBe(
          tried.length > 0 ? Math.min(...(tried as number[])) : undefined,
        );
      }),
      { numRuns: 300 },
    );
  });

  it('finds the same nearest point as trying every triangle', () => {
    fc.assert(
      fc.property(place, (p) => {
        const tried = every.map((t) => distance(nearestOnTriangle(p, cornersOf(mesh, t)), p));
        expect(nearestPoint(bvh, p).distance).toBeCloseTo(Math.min(...tried), 9);
      }),
      { numRuns: 200 },
    );
  });

  it('measures the sleeve’s wall from its bore outward', () => {
    const inside: Vec3 = [0, 0, 5];
    const outward: Vec3 = unit([Math.cos(Math.PI / 48), Math.sin(Math.PI / 48), 0]);
    const first = castRay(bvh, inside, outward);
    const second = castRay(bvh, inside, outward, (first?.distance ?? 0) + 1e-6);
    // Across the flats of 48 facets.
    expect((second?.distance ?? 0) - (first?.distance ?? 0)).toBeCloseTo(3 * Math.cos(Math.PI / 48), 9);
    expect(castRay(bvh, [0, 0, -1], [0, 0, -1])).toBeUndefined();
  });

  it('the nearest point of a box lies on its face, edge or corner as the place does', () => {
    const box = buildBvh(boxMesh(10, 10, 10));
    expect(nearestPoint(box, [5, 5, 12])).toMatchObject({ distance: 2, point: [5, 5, 10] });
    expect(nearestPoint(box, [13, 5, 14]).distance).toBeCloseTo(5, 12);
    expect(nearestPoint(box, [-1, -2, -2])).toMatchObject({ distance: 3, point: [0, 0, 0] });
    expect(nearestPoint(box, [5, 5, 9]).distance).toBe(1);
  });

  it('a ray along a face’s plane does not divide by nothing', () => {
    const hit = castRay(buildBvh(boxMesh(10, 10, 10)), [-5, 3, 10], [1, 0, 0]);
    expect(hit === undefined || hit.distance === 5).toBe(true);
  });
});
