import type { Vec3 } from '../geometry/vector.ts';
import type { Solution } from '../solve/solution.ts';
import { pieceMesh } from './piece-mesh.ts';

/** Size of the box round all pieces as cut, along the job's x, y and z. */
export function overallSize(solution: Solution): Vec3 {
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = low.map((x) => -x);
  for (const piece of solution.pieces) {
    const { positions } = pieceMesh(piece);
    positions.forEach((x, i) => {
      low[i % 3] = Math.min(low[i % 3]!, x);
      high[i % 3] = Math.max(high[i % 3]!, x);
    });
  }
  return [high[0]! - low[0]!, high[1]! - low[1]!, high[2]! - low[2]!];
}
