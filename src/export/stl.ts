import { serializeBinary } from '@jscad/stl-serializer/CSGToStlb.js';
import type { Mesh } from '../solid/mesh.ts';
import { facetSolid } from '../solid/profile.ts';

const HEADER = 80;
const FACET = 50;

/** Binary STL in mm, one facet a triangle, coordinates rounded to float32 and nothing else; the header never changes. */
export function stlBytes(mesh: Mesh): Uint8Array {
  const pieces = serializeBinary([facetSolid(mesh)], {});
  const bytes = new Uint8Array(pieces.reduce((sum, piece) => sum + piece.byteLength, 0));
  let at = 0;
  for (const piece of pieces) {
    bytes.set(new Uint8Array(piece), at);
    at += piece.byteLength;
  }
  return bytes;
}

/**
 * Mesh of a binary STL; corners with the very same coordinates become one vertex, numbered in order of appearance.
 * Errors: bytes that are cut short, text STL or a coordinate that is no number throw, naming what is wrong.
 */
export function readStl(bytes: Uint8Array): Mesh {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const facets = bytes.length >= HEADER + 4 ? view.getUint32(HEADER, true) : -1;
  if (bytes.length !== HEADER + 4 + FACET * facets) {
    throw new Error(`internal: STL of ${bytes.length} bytes says it has ${facets} facets`);
  }
  const corners = new Map<string, number>();
  const positions: number[] = [];
  const triangles = new Uint32Array(3 * facets);
  for (let i = 0; i < triangles.length; i++) {
    const at = HEADER + 4 + FACET * Math.floor(i / 3) + 12 * (1 + (i % 3));
    const x = view.getFloat32(at, true) + 0;
    const y = view.getFloat32(at + 4, true) + 0;
    const z = view.getFloat32(at + 8, true) + 0;
    if (!Number.isFinite(x + y + z)) throw new Error(`internal: STL corner ${i} is not a number`);
    const key = `${x},${y},${z}`;
    let index = corners.get(key);
    if (index === undefined) {
      index = positions.length / 3;
      corners.set(key, index);
      positions.push(x, y, z);
    }
    triangles[i] = index;
  }
  return { positions: Float64Array.from(positions), triangles };
}
