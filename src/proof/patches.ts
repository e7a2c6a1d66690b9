import type { Mm } from '../geometry/vector.ts';
import type { Facets } from './facets.ts';

/** Facets that hang together, by a number for each; -1 for those left out. */
export interface Patches {
  readonly of: Int32Array;
  readonly count: number;
}

/** Flood over shared edges, among all facets or those that are 1, across edges that turn by no more than has this cosine. */
export function patchesOf(
  { neighbors, normals }: Facets,
  { among, cosine = -2 }: { readonly among?: Uint8Array; readonly cosine?: number },
): Patches {
  const of = new Int32Array(neighbors.length / 3).fill(-1);
  const stack = new Int32Array(of.length);
  let count = 0;
  for (let seed = 0; seed < of.length; seed++) {
    if (of[seed] !== -1 || (among && among[seed] === 0)) continue;
    of[seed] = count;
    stack[0] = seed;
    for (let waiting = 1; waiting > 0; ) {
      const t = stack[--waiting]!;
      for (let k = 0; k < 3; k++) {
        const other = neighbors[3 * t + k]!;
        if (other < 0 || of[other] !== -1 || (among && among[other] === 0)) continue;
        if (!(cosineBetween(normals, t, other) > cosine)) continue;
        of[other] = count;
        stack[waiting++] = other;
      }
    }
    count++;
  }
  return { of, count };
}

const cosineBetween = (normals: Float64Array, t: number, other: number): number =>
  normals[3 * t]! * normals[3 * other]! +
  normals[3 * t + 1]! * normals[3 * other + 1]! +
  normals[3 * t + 2]! * normals[3 * other + 2]!;

/** Cosine of the turn over an edge that still counts as one smooth face: 12 deg, twice what a bore's facets make. */
const SMOOTH = 0.978;

/** Smooth faces of a part. */
export interface SmoothFaces extends Patches {
  /** mm: twice a face's area over the length of its border, so that a strip has its width. */
  readonly widths: Float64Array;
  /** 1 where a face lies lower than all that borders it, like the floor of a letter. */
  readonly sunk: Uint8Array;
}

/** Share of a sunk face's border that may rise over its neighbors all the same, where strokes cross. */
const RISING = 0.05;

export function smoothFaces(facets: Facets): SmoothFaces {
  const patches = patchesOf(facets, { cosine: SMOOTH });
  const areas = new Float64Array(patches.count);
  const borders = new Float64Array(patches.count);
  const rising = new Float64Array(patches.count);
  for (let t = 0; t < patches.of.length; t++) {
    const patch = patches.of[t]!;
    areas[patch]! += facets.areas[t]!;
    for (let k = 0; k < 3; k++) {
      const other = facets.neighbors[3 * t + k]!;
      if (other >= 0 && patches.of[other] === patch) continue;
      const length = edgeLength(facets, t, k);
      borders[patch]! += length;
      if (other < 0 || !risesOver(facets, t, other)) rising[patch]! += length;
    }
  }
  return {
    ...patches,
    widths: areas.map((area, i) => (borders[i]! > 0 ? (2 * area) / borders[i]! : Number.POSITIVE_INFINITY)),
    sunk: Uint8Array.from(rising, (length, i) => (length <= RISING * borders[i]! ? 1 : 0)),
  };
}

/** Whether the facet across an edge stands up over this one's plane: an inside corner. */
function risesOver({ mesh, positions: p, normals }: Facets, t: number, other: number): boolean {
  const x = normals[3 * t]!;
  const y = normals[3 * t + 1]!;
  const z = normals[3 * t + 2]!;
  const at = 3 * mesh.triangles[3 * t]!;
  let low = Number.POSITIVE_INFINITY;
  let high = Number.NEGATIVE_INFINITY;
  for (let k = 0; k < 3; k++) {
    const v = 3 * mesh.triangles[3 * other + k]!;
    const height = (p[v]! - p[at]!) * x + (p[v + 1]! - p[at + 1]!) * y + (p[v + 2]! - p[at + 2]!) * z;
    if (height < low) low = height;
    if (height > high) high = height;
  }
  return high > -low;
}

/** Length of edge k. */
function edgeLength({ mesh, positions: p }: Facets, t: number, k: number): Mm {
  const a = 3 * mesh.triangles[3 * t + k]!;
  const b = 3 * mesh.triangles[3 * t + ((k + 1) % 3)]!;
  const x = p[b]! - p[a]!;
  const y = p[b + 1]! - p[a + 1]!;
  const z = p[b + 2]! - p[a + 2]!;
  return Math.sqrt(x * x + y * y + z * z);
}
