import { type Placement, placeDirection } from '../geometry/placement.ts';
import type { Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import { facetNormals } from '../solid/facet-normals.ts';
import type { Mesh } from '../solid/mesh.ts';
import { NO_OPPOSITE, oppositeEdges } from '../solid/opposite-edges.ts';

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
  /** Length of each facet's longest edge, mm. */
  readonly longest: Float64Array;
  /** The facet across each of a facet's edges (corner k to the next); -1 where there is none or more than one. */
  readonly neighbors: Int32Array;
}

/** Carry a print into the job by its pose, and find each facet's normal, area and neighbors. */
export function facetsOf(mesh: Mesh, pose: Placement): Facets {
  const positions = placedPositions(mesh.positions, pose);
  const { normals, areas } = facetNormals({ positions, triangles: mesh.triangles });
  return { mesh, pose, positions, normals, areas, longest: longestEdges(mesh), neighbors: neighborsOf(mesh) };
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

/** Cosine between a facet's normal and a direction. */
export const normalAlong = ({ normals }: Facets, facet: number, way: Vec3): number =>
  normals[3 * facet]! * way[0] + normals[3 * facet + 1]! * way[1] + normals[3 * facet + 2]! * way[2];

/** How far every vertex lies from a plane, mm, positive where its normal leads. */
export function offsetsFrom({ positions: p }: Facets, { point, normal }: Plane): Float64Array {
  const [nx, ny, nz] = normal;
  const [x, y, z] = point;
  const offsets = new Float64Array(p.length / 3);
  for (let v = 0; v < offsets.length; v++)
    offsets[v] = (p[3 * v]! - x) * nx + (p[3 * v + 1]! - y) * ny + (p[3 * v + 2]! - z) * nz;
  return offsets;
}

function longestEdges({ positions: p, triangles }: Mesh): Float64Array {
  const longest = new Float64Array(triangles.length / 3);
  for (let t = 0; t < longest.length; t++) {
    let most = 0;
    let a = 3 * triangles[3 * t + 2]!;
    for (let k = 0; k < 3; k++) {
      const b = 3 * triangles[3 * t + k]!;
      const x = p[b]! - p[a]!;
      const y = p[b + 1]! - p[a + 1]!;
      const z = p[b + 2]! - p[a + 2]!;
      const square = x * x + y * y + z * z;
      if (square > most) most = square;
      a = b;
    }
    longest[t] = Math.sqrt(most);
  }
  return longest;
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

function neighborsOf(mesh: Mesh): Int32Array {
  const neighbors = oppositeEdges(mesh);
  for (let side = 0; side < neighbors.length; side++)
    neighbors[side] = neighbors[side]! < 0 ? NO_OPPOSITE : (neighbors[side]! / 3) | 0;
  return neighbors;
}

/** The way up from the bed, in the job. */
export const upOf = (facets: Facets): Vec3 => placeDirection(facets.pose, [0, 0, 1]);
