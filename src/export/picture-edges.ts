import { cosd } from '../geometry/angle.ts';
import { cross, type Deg, dot, sub, type Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';

/** Edges turning more than this between their facets are drawn; facets of a curve turn far less. */
const SHARP: Deg = 28;

/**
 * Edges a draftsman would draw, as vertex pairs: sharp ones, and outlines, where one facet faces the eye and its
 * neighbor does not. An edge with one facet only is drawn too, so that a hole shows.
 */
export function drawnEdges(mesh: Mesh, eye: Vec3): readonly (readonly [number, number])[] {
  const normals = facetNormals(mesh);
  const vertices = mesh.positions.length / 3;
  const first = new Map<number, number>();
  const drawn: [number, number][] = [];
  const sharp = cosd(SHARP);
  for (let i = 0; i < mesh.triangles.length; i++) {
    const facet = Math.floor(i / 3);
    const a = mesh.triangles[i]!;
    const b = mesh.triangles[i % 3 === 2 ? i - 2 : i + 1]!;
    const key = Math.min(a, b) * vertices + Math.max(a, b);
    const neighbor = first.get(key);
    if (neighbor === undefined) {
      first.set(key, facet);
      continue;
    }
    first.delete(key);
    const [n, m] = [normals[facet]!, normals[neighbor]!];
    if (dot(n, m) < sharp || dot(n, eye) > 0 !== dot(m, eye) > 0) drawn.push([a, b]);
  }
  for (const key of first.keys()) drawn.push([Math.floor(key / vertices), key % vertices]);
  return drawn;
}

function facetNormals(mesh: Mesh): readonly Vec3[] {
  const at = (i: number): Vec3 => {
    const v = 3 * mesh.triangles[i]!;
    return [mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!];
  };
  return Array.from({ length: mesh.triangles.length / 3 }, (_, facet): Vec3 => {
    const corner = at(3 * facet);
    const n = cross(sub(at(3 * facet + 1), corner), sub(at(3 * facet + 2), corner));
    const size = Math.sqrt(dot(n, n));
    return size > 0 ? [n[0] / size, n[1] / size, n[2] / size] : [0, 0, 0];
  });
}
