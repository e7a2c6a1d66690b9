// This file of it alone, as in profile.ts.
import triangulate from '@jscad/modeling/src/operations/extrusions/earcut/index.js';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Mesh } from './mesh.ts';

/**
 * A flat part as a closed mesh: its outline and holes as polygons in x and y (no point twice, holes inside the outline and
 * apart), thickness half below and half above z = 0.
 */
export function flatMesh(
  { outline, holes }: { readonly outline: readonly Vec2[]; readonly holes: readonly (readonly Vec2[])[] },
  thickness: Mm,
): Mesh {
  // Outside counterclockwise, holes clockwise: walls then face away from the sheet.
  const loops = [turning(outline, 1), ...holes.map((hole) => turning(hole, -1))];
  const points = loops.flat();
  const firsts = loops.map((_, i) => sum(loops.slice(0, i).map((loop) => loop.length)));
  const faces = triangulate(points.flatMap(askew), firsts.slice(1), 2);
  const n = points.length;
  const triangles: number[] = [];
  // All faces turn one way, which the sum of them tells: one alone may be too narrow to.
  const turn = sum(faces.flatMap((_, i) => (i % 3 === 0 ? twiceArea(cornersAt(points, faces, i)) : [])));
  for (let i = 0; i < faces.length; i += 3) {
    const [a, b, c] = [faces[i]!, faces[i + 1]!, faces[i + 2]!];
    const [p, q] = turn > 0 ? [b, c] : [c, b];
    triangles.push(n + a, n + p, n + q, a, q, p);
  }
  loops.forEach((loop, k) => {
    loop.forEach((_, i) => {
      const [from, to] = [firsts[k]! + i, firsts[k]! + ((i + 1) % loop.length)];
      triangles.push(from, to, n + to, from, n + to, n + from);
    });
  });
  const level = (z: Mm): readonly number[] => points.flatMap(([x, y]) => [x, y, z]);
  return {
    positions: Float64Array.from([...level(-thickness / 2), ...level(thickness / 2)]),
    triangles: Uint32Array.from(triangles),
  };
}

/**
 * Turned by an angle that no outline has: the library leaves out corners that lie exactly in a line with others, as those of
 * holes in a row do, and the face would not meet the walls there.
 */
const askew = ([x, y]: Vec2): Vec2 => [x * COS - y * SIN, x * SIN + y * COS];
const [COS, SIN] = [Math.cos(0.7265), Math.sin(0.7265)];

const cornersAt = (points: readonly Vec2[], faces: readonly number[], i: number): readonly Vec2[] =>
  [i, i + 1, i + 2].map((k) => points[faces[k]!]!);

const sum = (numbers: readonly number[]): number => numbers.reduce((total, x) => total + x, 0);

const turning = (loop: readonly Vec2[], way: 1 | -1): readonly Vec2[] =>
  twiceArea(loop) * way > 0 ? loop : [...loop].reverse();

function twiceArea(loop: readonly Vec2[]): number {
  return loop.reduce((total, [x, y], i) => {
    const [nx, ny] = loop[(i + 1) % loop.length]!;
    return total + x * ny - nx * y;
  }, 0);
}
