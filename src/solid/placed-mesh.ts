import type { Placement } from '../geometry/placement.ts';
import type { Mesh } from './mesh.ts';

/** The same mesh stood where a placement takes it. */
export function placedMesh({ positions: p, triangles }: Mesh, { origin: o, x, y, z }: Placement): Mesh {
  const out = new Float64Array(p.length);
  for (let i = 0; i < out.length; i += 3) {
    const a = p[i]!;
    const b = p[i + 1]!;
    const c = p[i + 2]!;
    out[i] = o[0] + (x[0] * a + y[0] * b + z[0] * c);
    out[i + 1] = o[1] + (x[1] * a + y[1] * b + z[1] * c);
    out[i + 2] = o[2] + (x[2] * a + y[2] * b + z[2] * c);
  }
  return { positions: out, triangles };
}
