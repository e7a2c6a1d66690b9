import { expect, test } from 'vitest';
import { IDENTITY } from '../../src/geometry/placement.ts';
import { facetsOf } from '../../src/proof/facets.ts';
import { measureKeptSide } from '../../src/proof/kept-side.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { bend, cutOf, jobOf, round, runTube, solved, straight, trim } from '../support/jobs.ts';

/** Box about the origin, half sizes in mm. */
function boxMesh(x: number, y: number, z: number): Mesh {
  const corners = [-1, 1].flatMap((i) => [-1, 1].flatMap((j) => [-1, 1].map((k) => [i * x, j * y, k * z])));
  const quads = [
    [0, 1, 3, 2],
    [4, 6, 7, 5],
    [0, 4, 5, 1],
    [2, 3, 7, 6],
    [0, 2, 6, 4],
    [1, 5, 7, 3],
  ] as const;
  return {
    positions: Float64Array.from(corners.flat()),
    triangles: Uint32Array.from(quads.flatMap(([a, b, c, d]) => [a, b, c, a, c, d])),
  };
}

// A hairpin: the plane 175 deg into the bend passes through the bend's center and so through the straight before it.
const hairpin = runTube('hairpin', round(20, 2), {
  up: [0, 1, 0],
  run: [straight(100), bend(40, 180, 0), straight(100)],
});
const end = cutOf(
  solved(jobOf([hairpin], [trim('hairpin.end', { kind: 'into-bend', bendAngleDeg: 175 })])),
  'hairpin.end',
);
const feature = { kind: 'slot', cut: end.flat!.plane, keptOffset: -0.15, width: 1.5, kerf: 1.2 } as const;

test('a blade that reaches the leg of a hairpin takes some of the kept tube', () => {
  const { value, faults } = measureKeptSide(facetsOf(boxMesh(200, 200, 200), IDENTITY), { feature, end });
  // Ring of the section times the kerf, the plane standing 5 deg off square there.
  const ring = Math.PI * 18 * 2 * 1.2;
  expect(value).toBeGreaterThan(0.6 * ring);
  expect(value).toBeLessThan(1.4 * ring);
  expect(faults.map(({ code }) => code)).toEqual(['proof/kept-side']);
});

test('a guide that ends short of that leg keeps the blade off it', () => {
  const origin = end.curves.outer.samples[0]!.point;
  const { value, faults } = measureKeptSide(facetsOf(boxMesh(30, 30, 30), { ...IDENTITY, origin }), { feature, end });
  expect(value).toBe(0);
  expect(faults).toEqual([]);
});
