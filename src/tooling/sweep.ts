import { type Placement, unplace } from '../geometry/placement.ts';
import { cross, dot, sub, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';

/**
 * Closed mesh through rings of equally many points, first and last ring closed by flat convex caps. Points are taken
 * into the placement's own axes. Orientation comes out outward whichever way the rings run.
 */
export function ringsMesh(rings: readonly (readonly Vec3[])[], into: Placement): Mesh {
  const around = rings[0]?.length ?? 0;
  const positions = flatten(rings.flat(), into);
  const triangles: number[] = [];
  for (let r = 0; r + 1 < rings.length; r++) {
    for (let i = 0; i < around; i++) {
      const next = (i + 1) % around;
      quad(triangles, [r * around + i, r * around + next, (r + 1) * around + next, (r + 1) * around + i]);
    }
  }
  const last = (rings.length - 1) * around;
  for (let i = 1; i + 1 < around; i++) {
    triangles.push(0, i + 1, i);
    triangles.push(last, last + i, last + i + 1);
  }
  return outward({ positions, triangles: Uint32Array.from(triangles) });
}

/** Closed mesh through loops of equally many points that themselves close on the first: a ring-shaped body. */
export function loopsMesh(loops: readonly (readonly Vec3[])[], into: Placement): Mesh {
  const along = loops[0]?.length ?? 0;
  const positions = flatten(loops.flat(), into);
  const triangles: number[] = [];
  for (let r = 0; r < loops.length; r++) {
    const nextLoop = (r + 1) % loops.length;
    for (let i = 0; i < along; i++) {
      const next = (i + 1) % along;
      quad(triangles, [r * along + i, r * along + next, nextLoop * along + next, nextLoop * along + i]);
    }
  }
  return outward({ positions, triangles: Uint32Array.from(triangles) });
}

const quad = (triangles: number[], [a, b, c, d]: readonly [number, number, number, number]): void => {
  triangles.push(a, b, c, a, c, d);
};

function flatten(points: readonly Vec3[], into: Placement): Float64Array {
  const positions = new Float64Array(points.length * 3);
  points.forEach((p, i) => {
    positions.set(unplace(into, p), 3 * i);
  });
  return positions;
}

/** The same mesh with outward triangles: turned over when its signed volume is negative. */
export function outward(mesh: Mesh): Mesh {
  const at = (k: number): Vec3 => [mesh.positions[3 * k]!, mesh.positions[3 * k + 1]!, mesh.positions[3 * k + 2]!];
  const about = at(0);
  let volume = 0;
  for (let t = 0; t < mesh.triangles.length; t += 3) {
    const [p, q, r] = [mesh.triangles[t]!, mesh.triangles[t + 1]!, mesh.triangles[t + 2]!].map((k) =>
      sub(at(k), about),
    ) as [Vec3, Vec3, Vec3];
    volume += dot(p, cross(q, r));
  }
  if (volume >= 0) return mesh;
  const triangles = mesh.triangles.slice();
  for (let t = 0; t < triangles.length; t += 3)
    [triangles[t + 1], triangles[t + 2]] = [triangles[t + 2]!, triangles[t + 1]!];
  return { positions: mesh.positions, triangles };
}

/** Convex hull, counterclockwise, without points on its edges (A. M. Andrew, Inf. Proc. Letters 9, 1979). */
export function convexHull(points: readonly Vec2[]): readonly Vec2[] {
  const sorted = [...points].sort((p, q) => p[0] - q[0] || p[1] - q[1]);
  const half = (list: readonly Vec2[]): Vec2[] => {
    const chain: Vec2[] = [];
    for (const p of list) {
      while (chain.length >= 2 && turn(chain.at(-2)!, chain.at(-1)!, p) <= 1e-12) chain.pop();
      chain.push(p);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

const turn = (o: Vec2, p: Vec2, q: Vec2): number => (p[0] - o[0]) * (q[1] - o[1]) - (p[1] - o[1]) * (q[0] - o[0]);
