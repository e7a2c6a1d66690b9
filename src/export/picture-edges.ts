import { cosd } from '../geometry/angle.ts';
import type { Deg, Vec3 } from '../geometry/vector.ts';
import { facetNormals } from '../solid/facet-normals.ts';
import type { Mesh } from '../solid/mesh.ts';
import { oppositeEdges } from '../solid/opposite-edges.ts';

/** Edges turning more than this between their facets are drawn; facets of a curve turn far less. */
export const SHARP: Deg = 28;

/** What is known of a mesh's facets. */
export interface SeenFacets {
  /** Three numbers a facet. */
  readonly normals: Float64Array;
  /** 1 for each facet that faces the eye, 0 for the others. */
  readonly faces: Uint8Array;
}

/** From this direction. */
export function seenFacets(mesh: Mesh, eye: Vec3): SeenFacets {
  const { normals } = facetNormals(mesh);
  const faces = new Uint8Array(normals.length / 3);
  for (let facet = 0; facet < faces.length; facet++) {
    const toward = normals[3 * facet]! * eye[0] + normals[3 * facet + 1]! * eye[1] + normals[3 * facet + 2]! * eye[2];
    if (toward > 0) faces[facet] = 1;
  }
  return { normals, faces };
}

/** Sharp edges alone, which are drawn from wherever the part is seen. */
export function sharpEdges(mesh: Mesh): Uint32Array {
  const { normals } = facetNormals(mesh);
  return drawnEdges(mesh, { normals, faces: new Uint8Array(normals.length / 3).fill(1) });
}

/**
 * Edges a draftsman would draw, two vertices each: sharp ones with a facet that faces the eye, and outlines, where one facet
 * faces it and its neighbor does not; between two that face away, the part itself is before the edge. An edge with one facet only is drawn too, so that a hole shows.
 */
export function drawnEdges(mesh: Mesh, { normals, faces }: SeenFacets): Uint32Array {
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
    if (other >= 0 && faces[here] === faces[there]) {
      if (faces[here] === 0) continue;
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
