import { describe, expect, test } from 'vitest';
import { pieceMesh } from '../../src/export/piece-mesh.ts';
import { cross, dot, lerp, sub, type Vec3 } from '../../src/geometry/vector.ts';
import { intersectionVolume } from '../../src/solid/evaluate.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { meshBounds } from '../../src/solid/mesh-check.ts';
import type { CutEnd, Solution } from '../../src/solve/solution.ts';
import { example, kernel, made } from '../support/tools.ts';

/**
 * Every example put together from its pieces as they are cut: hollow bodies of plane triangles, which the solid kernel
 * intersects and whose distances are taken triangle by triangle. Nothing of the signed distances that solved the cuts.
 */
const EXAMPLES = ['bench-frame', 'boat-rail', 'cargo-rack', 'drying-rack', 'dust-wye', 'flue-elbow'];

/** Facets of the bodies lie inside the tubes by this at most, mm. */
const BOW = 0.05;
const PLACES = 24;

const distanceTo = ({ positions, triangles }: Mesh, p: Vec3): number => {
  const at = (i: number): Vec3 => {
    const v = 3 * triangles[i]!;
    return [positions[v]!, positions[v + 1]!, positions[v + 2]!];
  };
  let least = Number.POSITIVE_INFINITY;
  for (let t = 0; t < triangles.length; t += 3) {
    const a = at(t);
    // Nearer than the first corner less the triangle's own size nothing can be.
    const [b, c] = [at(t + 1), at(t + 2)];
    const size = Math.sqrt(Math.max(square(sub(b, a)), square(sub(c, a))));
    if (Math.sqrt(square(sub(p, a))) - size < least) least = Math.min(least, toTriangle(p, [a, b, c]));
  }
  return least;
};

const square = (v: Vec3): number => dot(v, v);

/** Over the triangle the distance from its plane, else from the nearest edge. */
function toTriangle(p: Vec3, corners: readonly [Vec3, Vec3, Vec3]): number {
  const [a, b, c] = corners;
  const n = cross(sub(b, a), sub(c, a));
  const over = corners.every((q, k) => dot(cross(sub(corners[(k + 1) % 3]!, q), sub(p, q)), n) >= 0);
  if (over && square(n) > 0) return Math.abs(dot(sub(p, a), n)) / Math.sqrt(square(n));
  return Math.min(...corners.map((q, k) => toEdge(p, q, corners[(k + 1) % 3]!)));
}

function toEdge(p: Vec3, a: Vec3, b: Vec3): number {
  const way = sub(b, a);
  const share = square(way) > 0 ? dot(sub(p, a), way) / square(way) : 0;
  return Math.sqrt(square(sub(p, lerp(a, b, Math.max(0, Math.min(1, share))))));
}

interface Body {
  readonly name: string;
  readonly mesh: Mesh;
}

const bodiesOf = ({ pieces }: Solution): readonly Body[] =>
  pieces.map((piece) => ({ name: piece.member.name, mesh: pieceMesh(piece) }));

/** Volumes that pieces share. */
function overlaps(bodies: readonly Body[]): readonly number[] {
  const near = (p: Mesh, q: Mesh): boolean => {
    const [a, b] = [meshBounds(p), meshBounds(q)];
    return ([0, 1, 2] as const).every((k) => a.min[k] <= b.max[k] && b.min[k] <= a.max[k]);
  };
  return bodies.flatMap(({ mesh }, i) =>
    bodies
      .slice(i + 1)
      .filter((other) => near(mesh, other.mesh))
      .map((other) => intersectionVolume(kernel, mesh, other.mesh)),
  );
}

/** Distances of a cut's edge from the pieces it is welded to. */
function seam({ ends }: Solution, end: CutEnd, bodies: readonly Body[]): readonly number[] {
  const others = bodies.filter(
    ({ name }) =>
      name !== end.member.name &&
      (ends.some((other) => other.joint === end.joint && other.member.name === name) ||
        end.stops.some(({ id }) => id === name)),
  );
  const { samples } = end.curves.outer;
  return Array.from({ length: PLACES }, (_, i) => samples[Math.floor((i * samples.length) / PLACES)]!.point).map((p) =>
    Math.min(...others.map(({ mesh }) => distanceTo(mesh, p))),
  );
}

describe.each(EXAMPLES)('%s put together', (name) => {
  const { solution } = made(example(name));
  const bodies = bodiesOf(solution);
  const welded = solution.ends.filter(({ jointKind }) => jointKind !== 'trim' && jointKind !== 'plain');

  test('no two pieces share more than the chord of a wall takes', () => {
    // Between outside and bore a drawn edge is straight, and the run it meets is round: under a hundredth over the wall.
    expect(Math.max(0, ...overlaps(bodies))).toBeLessThan(1);
  });

  test('every seam of a cope, miter or butt is open by its gap and no more', () => {
    for (const end of welded.filter(({ jointKind }) => jointKind !== 'merge')) {
      const distances = seam(solution, end, bodies);
      expect(Math.min(...distances), end.id).toBeGreaterThan(end.gap - 0.01);
      expect(Math.max(...distances), end.id).toBeLessThan(end.gap + BOW);
    }
  });
});

test('a merge closes on itself without a gap, and with one nowhere opens by more than tangent sides make of it', () => {
  const text = example('dust-wye');
  const merged = (gap: number): readonly number[] => {
    const { solution } = made(text.replace(/gap: 0\.4/, `gap: ${gap}`).replace(/^tools:[\s\S]*/m, 'tools: []'));
    const bodies = bodiesOf(solution);
    return solution.ends.filter(({ jointKind }) => jointKind === 'merge').flatMap((end) => seam(solution, end, bodies));
  };
  expect(Math.max(...merged(0))).toBeLessThan(0.1);
  const open = merged(0.4);
  expect(Math.min(...open)).toBeGreaterThan(0.39);
  // The top of each leg runs in the flat of the duct, and the legs cross there: the gap widens, but by millimeters no more.
  expect(Math.max(...open)).toBeLessThan(2);
});
