import { dot, type Mm, sub } from '../geometry/vector.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';

/** Facets that hang together, by a number for each; -1 for those left out. */
export interface Patches {
  readonly of: Int32Array;
  readonly count: number;
}

/** Flood over shared edges, from every facet that `takes`, across edges that `joins`. */
export function patchesOf(
  facets: Facets,
  { takes, joins }: { readonly takes: (t: number) => boolean; readonly joins: (t: number, other: number) => boolean },
): Patches {
  const of = new Int32Array(facetCount(facets)).fill(-1);
  const stack: number[] = [];
  let count = 0;
  for (let seed = 0; seed < of.length; seed++) {
    if (of[seed] !== -1 || !takes(seed)) continue;
    of[seed] = count;
    stack.push(seed);
    for (let t = stack.pop(); t !== undefined; t = stack.pop()) {
      for (let k = 0; k < 3; k++) {
        const other = facets.neighbors[3 * t + k]!;
        if (other < 0 || of[other] !== -1 || !takes(other) || !joins(t, other)) continue;
        of[other] = count;
        stack.push(other);
      }
    }
    count++;
  }
  return { of, count };
}

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
  const patches = patchesOf(facets, {
    takes: () => true,
    joins: (t, other) => dot(normalOf(facets, t), normalOf(facets, other)) > SMOOTH,
  });
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
function risesOver(facets: Facets, t: number, other: number): boolean {
  const n = normalOf(facets, t);
  const at = cornerOf(facets, t, 0);
  const heights = [0, 1, 2].map((k) => dot(sub(cornerOf(facets, other, k), at), n));
  return Math.max(...heights) > -Math.min(...heights);
}

/** Length of edge k. */
export function edgeLength({ mesh, positions }: Facets, t: number, k: number): Mm {
  const p = 3 * mesh.triangles[3 * t + k]!;
  const q = 3 * mesh.triangles[3 * t + ((k + 1) % 3)]!;
  return Math.hypot(
    positions[q]! - positions[p]!,
    positions[q + 1]! - positions[p + 1]!,
    positions[q + 2]! - positions[p + 2]!,
  );
}
