import { type Placement, placeDirection } from '../geometry/placement.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import { facetNormals } from '../solid/facet-normals.ts';
import type { Mesh } from '../solid/mesh.ts';

/** A part's mesh as read back, with what every measurement needs of it. Positions and normals stand in the job. */
export interface Facets {
  /** In print pose. */
  readonly mesh: Mesh;
  readonly pose: Placement;
  readonly positions: Float64Array;
  /** Three numbers a facet, unit, outward. */
  readonly normals: Float64Array;
  /** mm^2. */
  readonly areas: Float64Array;
  /** The facet across each of a facet's edges (corner k to the next); -1 where there is none or more than one. */
  readonly neighbors: Int32Array;
}

/** Carry a print into the job by its pose, and find each facet's normal, area and neighbors. */
export function facetsOf(mesh: Mesh, pose: Placement): Facets {
  const positions = placedPositions(mesh.positions, pose);
  const { normals, areas } = facetNormals({ positions, triangles: mesh.triangles });
  return { mesh, pose, positions, normals, areas, neighbors: neighborsOf(mesh) };
}

export const facetCount = (facets: Facets): number => facets.areas.length;

/** Corner k of a facet, in the job. */
export function cornerOf({ positions, mesh }: Facets, facet: number, k: number): Vec3 {
  const v = 3 * mesh.triangles[3 * facet + k]!;
  return [positions[v]!, positions[v + 1]!, positions[v + 2]!];
}

export const normalOf = ({ normals }: Facets, facet: number): Vec3 => [
  normals[3 * facet]!,
  normals[3 * facet + 1]!,
  normals[3 * facet + 2]!,
];

/** Length of a facet's longest edge. */
export function longestEdge(facets: Facets, facet: number): Mm {
  const { mesh, positions } = facets;
  let longest = 0;
  for (let k = 0; k < 3; k++) {
    const p = 3 * mesh.triangles[3 * facet + k]!;
    const q = 3 * mesh.triangles[3 * facet + ((k + 1) % 3)]!;
    const x = positions[q]! - positions[p]!;
    const y = positions[q + 1]! - positions[p + 1]!;
    const z = positions[q + 2]! - positions[p + 2]!;
    longest = Math.max(longest, x * x + y * y + z * z);
  }
  return Math.sqrt(longest);
}

function placedPositions(from: Float64Array, pose: Placement): Float64Array {
  const { origin: o, x, y, z } = pose;
  const to = new Float64Array(from.length);
  for (let i = 0; i < from.length; i += 3) {
    const a = from[i]!;
    const b = from[i + 1]!;
    const c = from[i + 2]!;
    to[i] = o[0] + x[0] * a + y[0] * b + z[0] * c;
    to[i + 1] = o[1] + x[1] * a + y[1] * b + z[1] * c;
    to[i + 2] = o[2] + x[2] * a + y[2] * b + z[2] * c;
  }
  return to;
}

/** Half-edges are sorted into buckets by the lower vertex and matched there: a few to look at for each. */
function neighborsOf({ positions, triangles }: Mesh): Int32Array {
  const starts = new Uint32Array(positions.length / 3 + 1);
  const next = (i: number): number => (i % 3 === 2 ? i - 2 : i + 1);
  for (let i = 0; i < triangles.length; i++) starts[Math.min(triangles[i]!, triangles[next(i)]!) + 1]!++;
  for (let v = 1; v < starts.length; v++) starts[v]! += starts[v - 1]!;
  const fill = starts.slice();
  const bucket = new Uint32Array(triangles.length);
  for (let i = 0; i < triangles.length; i++) bucket[fill[Math.min(triangles[i]!, triangles[next(i)]!)]!++] = i;
  const neighbors = new Int32Array(triangles.length).fill(-1);
  for (let v = 0; v + 1 < starts.length; v++) {
    for (let i = starts[v]!; i < starts[v + 1]!; i++) {
      const edge = bucket[i]!;
      for (let j = i + 1; j < starts[v + 1]!; j++) {
        const other = bucket[j]!;
        if (triangles[edge] !== triangles[next(other)] || triangles[other] !== triangles[next(edge)]) continue;
        neighbors[edge] = Math.floor(other / 3);
        neighbors[other] = Math.floor(edge / 3);
      }
    }
  }
  return neighbors;
}

/** The way up from the bed, in the job. */
export const upOf = (facets: Facets): Vec3 => placeDirection(facets.pose, [0, 0, 1]);
