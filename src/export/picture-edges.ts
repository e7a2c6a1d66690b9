import { cosd } from '../geometry/angle.ts';
import type { Deg, Vec3 } from '../geometry/vector.ts';
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
    const turned = across(facet, [normals[neighbor]!, normals[neighbor + 1]!, normals[neighbor + 2]!]) < sharp;
    if (turned || across(facet, eye) > 0 !== across(neighbor, eye) > 0) drawn.push([a, b]);
  }
  for (const key of first.keys()) drawn.push([Math.floor(key / vertices), key % vertices]);
  return drawn;
}

/** Three numbers a facet; zeros for one without area. */
function facetNormals({ positions: p, triangles }: Mesh): Float64Array {
  const normals = new Float64Array(triangles.length);
  for (let i = 0; i < triangles.length; i += 3) {
    const a = 3 * triangles[i]!;
    const b = 3 * triangles[i + 1]!;
    const c = 3 * triangles[i + 2]!;
    const ux = p[b]! - p[a]!;
    const uy = p[b + 1]! - p[a + 1]!;
    const uz = p[b + 2]! - p[a + 2]!;
    const vx = p[c]! - p[a]!;
    const vy = p[c + 1]! - p[a + 1]!;
    const vz = p[c + 2]! - p[a + 2]!;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const size = Math.sqrt(nx * nx + ny * ny + nz * nz);
    if (size === 0) continue;
    normals[i] = nx / size;
    normals[i + 1] = ny / size;
    normals[i + 2] = nz / size;
  }
  return normals;
}
