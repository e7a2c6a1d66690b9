import type { Mesh } from './mesh.ts';

/** Outward unit normal, three numbers a facet (zeros for one without area), and area in mm^2 of every facet. */
export function facetNormals({ positions: p, triangles }: Mesh): {
  readonly normals: Float64Array;
  readonly areas: Float64Array;
} {
  const count = triangles.length / 3;
  const normals = new Float64Array(triangles.length);
  const areas = new Float64Array(count);
  for (let t = 0; t < count; t++) {
    const a = 3 * triangles[3 * t]!;
    const b = 3 * triangles[3 * t + 1]!;
    const c = 3 * triangles[3 * t + 2]!;
    const ux = p[b]! - p[a]!;
    const uy = p[b + 1]! - p[a + 1]!;
    const uz = p[b + 2]! - p[a + 2]!;
    const vx = p[c]! - p[a]!;
    const vy = p[c + 1]! - p[a + 1]!;
    const vz = p[c + 2]! - p[a + 2]!;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const twice = Math.sqrt(nx * nx + ny * ny + nz * nz);
    const k = twice > 0 ? 1 / twice : 0;
    normals[3 * t] = nx * k;
    normals[3 * t + 1] = ny * k;
    normals[3 * t + 2] = nz * k;
    areas[t] = twice / 2;
  }
  return { normals, areas };
}
