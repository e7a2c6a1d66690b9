import { cosd } from '../geometry/angle.ts';
import { type Deg, dot, type Vec3 } from '../geometry/vector.ts';
import { facetNormals } from '../solid/facet-normals.ts';
import type { Mesh } from '../solid/mesh.ts';
import { oppositeEdges } from '../solid/opposite-edges.ts';

/** Edges turning more than this between their facets are drawn; facets of a curve turn far less. */
export const SHARP: Deg = 28;

/**
 * Edges a draftsman would draw, two vertices each: sharp ones with a facet that faces the eye, and outlines, where one facet
 * faces it and its neighbor does not; between two that face away, the part itself is before the edge. An edge with one facet only is drawn too, so that a hole shows.
 */
export function drawnEdges(mesh: Mesh, eye: Vec3, normals: Float64Array = facetNormals(mesh).normals): Uint32Array {
  const faces = new Uint8Array(normals.length / 3);
  for (let facet = 0; facet < faces.length; facet++) if (dot(normalOf(normals, facet), eye) > 0) faces[facet] = 1;
  return edgesOf(mesh, normals, faces);
}

/** Sharp edges alone, which are drawn from wherever the part is seen. */
export function sharpEdges(mesh: Mesh): Uint32Array {
  const { normals } = facetNormals(mesh);
  return edgesOf(mesh, normals, new Uint8Array(normals.length / 3).fill(1));
}

const normalOf = (normals: Float64Array, facet: number): Vec3 => [
  normals[3 * facet]!,
  normals[3 * facet + 1]!,
  normals[3 * facet + 2]!,
];

/** Of facets marked 1 and not 0 the sharp edges, and the edges where they end. */
function edgesOf(mesh: Mesh, normals: Float64Array, marked: Uint8Array): Uint32Array {
  const { triangles } = mesh;
  const opposite = oppositeEdges(mesh);
  const drawn = new Uint32Array(2 * triangles.length);
  const sharp = cosd(SHARP);
  let count = 0;
  for (let side = 0; side < triangles.length; side++) {
    const other = opposite[side]!;
    // One of the two tells for both.
    if (other >= 0 && other < side) continue;
    const here = (side / 3) | 0;
    const there = (other / 3) | 0;
    if (other >= 0 && marked[here] === marked[there]) {
      if (marked[here] === 0) continue;
      const turn =
        normals[3 * here]! * normals[3 * there]! +
        normals[3 * here + 1]! * normals[3 * there + 1]! +
        normals[3 * here + 2]! * normals[3 * there + 2]!;
      if (turn >= sharp) continue;
    }
    drawn[count++] = triangles[side]!;
    drawn[count++] = triangles[side % 3 === 2 ? side - 2 : side + 1]!;
  }
  return drawn.slice(0, count);
}
