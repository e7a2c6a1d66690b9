import { type Placement, place } from '../geometry/placement.ts';
import type { Mesh } from './mesh.ts';

/** The same mesh stood where a placement takes it. */
export function placedMesh({ positions, triangles }: Mesh, at: Placement): Mesh {
  const out = new Float64Array(positions.length);
  for (let i = 0; i < out.length; i += 3) {
    out.set(place(at, [positions[i]!, positions[i + 1]!, positions[i + 2]!]), i);
  }
  return { positions: out, triangles };
}
