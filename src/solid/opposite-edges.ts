import type { Mesh } from './mesh.ts';

/** In place of a number: no other triangle has this side, or more than one do. */
export const NO_OPPOSITE = -1;
const CROWDED = -2;

/**
 * For each side of each triangle, numbered as the corners they start from stand in `triangles`, the one side of another
 * triangle that runs back along it; NO_OPPOSITE or less where there is none, or where more than two run along an edge.
 */
export function oppositeEdges({ positions, triangles }: Mesh): Int32Array {
  const opposite = new Int32Array(triangles.length).fill(NO_OPPOSITE);
  // Of the sides that start from a vertex, the last one found, and of each the one found before it: one more than their numbers, 0 for none.
  const last = new Uint32Array(positions.length / 3);
  const before = new Uint32Array(triangles.length);
  for (let side = 0; side < triangles.length; side++) {
    const from = triangles[side]!;
    const to = triangles[side % 3 === 2 ? side - 2 : side + 1]!;
    // No side at all.
    if (from === to) continue;
    let found = last[to]!;
    while (found > 0 && triangles[(found - 1) % 3 === 2 ? found - 3 : found] !== from) found = before[found - 1]!;
    if (found > 0) {
      const other = found - 1;
      const taken = opposite[other]!;
      if (taken >= 0) opposite[taken] = CROWDED;
      opposite[other] = taken === NO_OPPOSITE ? side : CROWDED;
      opposite[side] = taken === NO_OPPOSITE ? other : CROWDED;
    }
    before[side] = last[from]!;
    last[from] = side + 1;
  }
  return opposite;
}
