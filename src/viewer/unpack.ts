import { unzlibSync } from 'fflate';
import type { PackedItem } from '../export/view-data.ts';
import type { Mesh } from '../solid/mesh.ts';

/** The mesh of an item as `viewText` packed it, its coordinates to the step. */
export function unpackMesh({ data, vertices, triangles, low, step }: PackedItem): Mesh {
  const next = numbersOf(unzlibSync(Uint8Array.from(atob(data), (sign) => sign.charCodeAt(0))));
  const indices = new Uint32Array(3 * triangles);
  let known = 0;
  for (let i = 0; i < indices.length; i++) {
    const back = next();
    indices[i] = known - back;
    if (back === 0) known++;
  }
  const positions = new Float64Array(3 * vertices);
  for (const axis of [0, 1, 2] as const) {
    let steps = 0;
    for (let i = 0; i < vertices; i++) {
      const packed = next();
      steps += packed % 2 === 1 ? -(packed + 1) / 2 : packed / 2;
      positions[3 * i + axis] = low[axis] + steps * step;
    }
  }
  return { positions, triangles: indices };
}

function numbersOf(bytes: Uint8Array): () => number {
  let at = 0;
  return () => {
    let number = 0;
    for (let shift = 0; ; shift += 7) {
      const byte = bytes[at++]!;
      number |= (byte & 127) << shift;
      if (byte < 128) return number;
    }
  };
}
