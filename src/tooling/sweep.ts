import { type Placement, unplace } from '../geometry/placement.ts';
import { COORDINATE_GRID } from '../geometry/tolerance.ts';
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

/** Closed mesh through loops of equally many points; the first and the last loop lie in the placement's z = 0 and are closed there. */
export function cappedLoopsMesh(loops: readonly (readonly Vec3[])[], into: Placement): Mesh {
  const along = loops[0]?.length ?? 0;
  const positions = flatten(loops.flat(), into);
  const triangles: number[] = [];
  for (let r = 0; r + 1 < loops.length; r++) {
    for (let i = 0; i < along; i++) {
      const next = (i + 1) % along;
      quad(triangles, [r * along + i, r * along + next, (r + 1) * along + next, (r + 1) * along + i]);
    }
  }
  const last = (loops.length - 1) * along;
  for (const base of [0, last]) {
    const flat = Array.from(
      { length: along },
      (_, i): Vec2 => [positions[3 * (base + i)]!, positions[3 * (base + i) + 1]!],
    );
    // Corners that fall together are one: an ear between them would have no way round.
    const corners = flat.map((_, i) => i).filter((i) => apart(flat[i]!, flat[(i + along - 1) % along]!));
    for (const ear of earsOf(corners.map((i) => flat[i]!))) {
      const [a, b, c] = ear.map((k) => base + corners[k]!) as [number, number, number];
      triangles.push(...(base === 0 ? [c, b, a] : [a, b, c]));
    }
  }
  return outward({ positions, triangles: Uint32Array.from(triangles) });
}

const apart = (p: Vec2, q: Vec2): boolean => Math.hypot(p[0] - q[0], p[1] - q[1]) > COORDINATE_GRID;

/** Triangles of a plain polygon, in the order of its corners (G. H. Meisters, Amer. Math. Monthly 82, 1975): the fattest ear first. */
export function earsOf(polygon: readonly Vec2[]): readonly (readonly [number, number, number])[] {
  const area = polygon.reduce((sum, p, i) => sum + cross2(p, polygon[(i + 1) % polygon.length]!), 0);
  const sign = Math.sign(area);
  const left = polygon.map((_, i) => i);
  const ears: (readonly [number, number, number])[] = [];
  while (left.length > 3) {
    const around = (k: number): readonly [number, number, number] => [
      left[(k + left.length - 1) % left.length]!,
      left[k]!,
      left[(k + 1) % left.length]!,
    ];
    const fatness = left.map((_, k) => {
      const ear = around(k).map((i) => polygon[i]!) as [Vec2, Vec2, Vec2];
      return sign * turn(...ear) <= 0 || left.some((i) => !around(k).includes(i) && holds(ear, polygon[i]!, sign))
        ? -1
        : fat(ear, sign);
    });
    const best = fatness.indexOf(Math.max(...fatness));
    ears.push(around(best));
    left.splice(best, 1);
  }
  return [...ears, [left[0]!, left[1]!, left[2]!]];
}

const cross2 = (p: Vec2, q: Vec2): number => p[0] * q[1] - p[1] * q[0];

/** Twice the area over the square of the longest side. */
function fat([a, b, c]: readonly [Vec2, Vec2, Vec2], sign: number): number {
  const square = (p: Vec2, q: Vec2): number => (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2;
  return (sign * turn(a, b, c)) / Math.max(square(a, b), square(b, c), square(c, a));
}

/** Whether a point lies in a triangle or on its edge. */
const holds = ([a, b, c]: readonly [Vec2, Vec2, Vec2], p: Vec2, sign: number): boolean =>
  sign * turn(a, b, p) >= 0 && sign * turn(b, c, p) >= 0 && sign * turn(c, a, p) >= 0;

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

/**
 * The same mesh with corners that fall together made one, and what has no area between them left out: generators of a
 * taper meet where a flat shrinks to nothing.
 */
export function welded({ positions, triangles }: Mesh): Mesh {
  const ids = new Map<string, number>();
  const kept: number[] = [];
  const to = Uint32Array.from({ length: positions.length / 3 }, (_, i) => {
    const at = [0, 1, 2].map((k) => positions[3 * i + k]!);
    const key = at.map((x) => Math.round(x / COORDINATE_GRID)).join(' ');
    const known = ids.get(key);
    if (known !== undefined) return known;
    ids.set(key, kept.length / 3);
    kept.push(...at);
    return kept.length / 3 - 1;
  });
  const left: number[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [to[triangles[t]!]!, to[triangles[t + 1]!]!, to[triangles[t + 2]!]!];
    if (a !== b && b !== c && c !== a) left.push(a, b, c);
  }
  return { positions: Float64Array.from(kept), triangles: Uint32Array.from(left) };
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
