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
  const places = new Float32Array(9 * facets);
  const found = { slots: slotsFor(3 * facets), bits: new Uint32Array(places.buffer) };
  const triangles = new Uint32Array(3 * facets);
  let count = 0;
  let corner = 0;
  for (let facet = HEADER + 4; facet < bytes.length; facet += FACET) {
    for (let at = facet + 12; at < facet + 48; at += 12) {
      // `+ 0` turns -0, which has bits of its own, into 0.
      const x = view.getFloat32(at, true) + 0;
      const y = view.getFloat32(at + 4, true) + 0;
      const z = view.getFloat32(at + 8, true) + 0;
      if (!Number.isFinite(x + y + z)) throw new Error(`internal: STL corner ${corner} is not a number`);
      places[3 * count] = x;
      places[3 * count + 1] = y;
      places[3 * count + 2] = z;
      const index = placeOf(found, count);
      if (index === count) count++;
      triangles[corner++] = index;
    }
  }
  return { positions: new Float64Array(places.subarray(0, 3 * count)), triangles };
}

/** Open hash table of vertex numbers, each one more than the number, 0 for an empty slot; at most half full. */
const slotsFor = (most: number): Uint32Array => new Uint32Array(2 ** Math.ceil(Math.log2(2 * most + 2)));

/** Number of the first vertex at the place of vertex `last`; its own where it is the first, which is then remembered. */
function placeOf({ slots, bits }: { readonly slots: Uint32Array; readonly bits: Uint32Array }, last: number): number {
  const mask = slots.length - 1;
  const x = bits[3 * last]!;
  const y = bits[3 * last + 1]!;
  const z = bits[3 * last + 2]!;
  let hash = Math.imul(x, 0x9e3779b1) ^ Math.imul(y, 0x85ebca6b) ^ Math.imul(z, 0xc2b2ae35);
  hash ^= hash >>> 15;
  for (let slot = hash & mask; ; slot = (slot + 1) & mask) {
    const held = slots[slot]!;
    if (held === 0) {
      slots[slot] = last + 1;
      return last;
    }
    const at = 3 * (held - 1);
    if (bits[at] === x && bits[at + 1] === y && bits[at + 2] === z) return held - 1;
  }
}
