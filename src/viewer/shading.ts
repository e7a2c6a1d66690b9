import { SHARP } from '../export/picture-edges.ts';
import { cosd } from '../geometry/angle.ts';
import { facetNormals } from '../solid/facet-normals.ts';
import type { Mesh } from '../solid/mesh.ts';

/** Corners of triangles one after the other, three to a triangle, each with the normal it is lit by. */
export interface Shaded {
  readonly positions: Float32Array;
  readonly normals: Float32Array;
  /** Away from the body, the mean of all facets that meet at the corner: a body grown along these has no gaps. */
  readonly away: Float32Array;
}

/**
 * Smooth where facets turn less than a sharp edge, flat across it: each corner is lit by the mean of the facets that meet
 * there and turn less than that from its own, weighed by area.
 */
export function shaded(mesh: Mesh): Shaded {
  const { normals, areas } = facetNormals(mesh);
  const { positions, triangles } = mesh;
  const { first, next } = cornersByVertex(mesh);
  const least = cosd(SHARP);
  const room = (): Float32Array => new Float32Array(3 * triangles.length);
  const out = { positions: room(), normals: room(), away: room() };
  for (let corner = 0; corner < triangles.length; corner++) {
    const vertex = triangles[corner]!;
    const own = 3 * Math.floor(corner / 3);
    const smooth: Sum = [0, 0, 0];
    const away: Sum = [0, 0, 0];
    for (let other = first[vertex]!; other >= 0; other = next[other]!) {
      const facet = Math.floor(other / 3);
      const normal = [normals[3 * facet]!, normals[3 * facet + 1]!, normals[3 * facet + 2]!] as const;
      addTo(away, normal, 1);
      const turn = normal[0] * normals[own]! + normal[1] * normals[own + 1]! + normal[2] * normals[own + 2]!;
      if (turn >= least) addTo(smooth, normal, areas[facet]!);
    }
    out.normals.set(unitOf(smooth), 3 * corner);
    out.away.set(unitOf(away), 3 * corner);
    out.positions.set(positions.subarray(3 * vertex, 3 * vertex + 3), 3 * corner);
  }
  return out;
}

type Sum = [number, number, number];

function addTo(sum: Sum, [x, y, z]: readonly [number, number, number], weight: number): void {
  sum[0] += weight * x;
  sum[1] += weight * y;
  sum[2] += weight * z;
}

function unitOf([x, y, z]: Sum): Sum {
  const length = Math.sqrt(x * x + y * y + z * z) || 1;
  return [x / length, y / length, z / length];
}

/** Corners that lie on each vertex, as linked lists: the first of each, and behind each corner the next; -1 ends one. */
function cornersByVertex({ positions, triangles }: Mesh): { readonly first: Int32Array; readonly next: Int32Array } {
  const first = new Int32Array(positions.length / 3).fill(-1);
  const next = new Int32Array(triangles.length).fill(-1);
  for (let corner = 0; corner < triangles.length; corner++) {
    const vertex = triangles[corner]!;
    next[corner] = first[vertex]!;
    first[vertex] = corner;
  }
  return { first, next };
}
