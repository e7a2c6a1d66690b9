import { cosd } from '../geometry/angle.ts';
import type { Deg, Vec3 } from '../geometry/vector.ts';
import { facetNormals } from '../solid/facet-normals.ts';
import type { Mesh } from '../solid/mesh.ts';

/** Edges turning more than this between their facets are drawn; facets of a curve turn far less. */
export const SHARP: Deg = 28;

/**
 * Edges a draftsman would draw, as vertex pairs: sharp ones with a facet that faces the eye, and outlines, where one facet
 * faces it and its neighbor does not; between two that face away, the part itself is before the edge. An edge with one facet only is drawn too, so that a hole shows.
 */
export const drawnEdges = (mesh: Mesh, eye: Vec3): readonly Edge[] => edgesOf(mesh, eye);

/** Sharp edges alone, which are drawn from wherever the part is seen. */
export const sharpEdges = (mesh: Mesh): readonly Edge[] => edgesOf(mesh, undefined);

export type Edge = readonly [number, number];

function edgesOf(mesh: Mesh, eye: Vec3 | undefined): readonly Edge[] {
  const { normals } = facetNormals(mesh);
  const vertices = mesh.positions.length / 3;
  const first = new Map<number, number>();
  const drawn: [number, number][] = [];
  const sharp = cosd(SHARP);
  const across = (f: number, n: Vec3): number => normals[f]! * n[0] + normals[f + 1]! * n[1] + normals[f + 2]! * n[2];
  for (let i = 0; i < mesh.triangles.length; i++) {
    const facet = 3 * Math.floor(i / 3);
    const a = mesh.triangles[i]!;
    const b = mesh.triangles[i % 3 === 2 ? i - 2 : i + 1]!;
    const key = Math.min(a, b) * vertices + Math.max(a, b);
    const neighbor = first.get(key);
    if (neighbor === undefined) {
      first.set(key, facet);
      continue;
    }
    first.delete(key);
    const there: Vec3 = [normals[neighbor]!, normals[neighbor + 1]!, normals[neighbor + 2]!];
    if (eye) {
      const [here, beyond] = [across(facet, eye) > 0, across(neighbor, eye) > 0];
      if (here !== beyond || (here && across(facet, there) < sharp)) drawn.push([a, b]);
    } else if (across(facet, there) < sharp) drawn.push([a, b]);
  }
  for (const key of first.keys()) drawn.push([Math.floor(key / vertices), key % vertices]);
  return drawn;
}
