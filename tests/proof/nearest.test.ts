import { describe, expect, test } from 'vitest';
import { IDENTITY } from '../../src/geometry/placement.ts';
import { generatorOf } from '../../src/geometry/tube-shape.ts';
import { lerp, type Vec3 } from '../../src/geometry/vector.ts';
import { facetsOf } from '../../src/proof/facets.ts';
import { type Body, leastDistance, vertexDistances } from '../../src/proof/nearest.ts';
import { type Tube, tubeBody, tubeOf } from '../../src/proof/tube.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { solved } from '../support/jobs.ts';
import { benchJob } from './support.ts';

/** mm. Nothing farther is looked for. */
const WITHIN = 5;
/** mm. What the search may be off by, beyond what plain sampling is. */
const OFF = 1e-4;

const { ends } = solved(benchJob());

/** Stock of a member of the bench job, from 20 to 180 mm of it. */
function tubeNamed(name: string): Tube {
  const end = ends.find(({ member }) => member.name === name);
  if (!end) throw new Error(`no member ${name}`);
  const clearance = { least: 0.3, most: 0.4 };
  return tubeOf({ member: end.member, from: 20, to: 180, clearance, insertion: { kind: 'slide' } });
}

/** Numbers from 0 to 1, the same every time (Park and Miller, Comm. ACM 31, 1988). */
function numbers(seed: number): () => number {
  let state = seed;
  return () => {
    state = (48271 * state) % 2147483647;
    return state / 2147483647;
  };
}

/** Facets round a tube, each by itself: long and short ones, some that lie along it and some that cut across it. */
function soup(tube: Tube, seed: number): Mesh {
  const next = numbers(seed);
  const positions: number[] = [];
  for (let i = 0; i < 6; i++) {
    const [s, u, off] = [200 * next(), next(), 0.2 + 4 * next()];
    const long = next() < 0.5 ? 60 : 5;
    const wide = [0.02, 0.05, 0.2][Math.floor(3 * next())]!;
    const rise = next() < 0.5 ? 1e-3 : 4;
    for (let k = 0; k < 3; k++) {
      const turn = (u + wide * (next() - 0.5) + 1) % 1;
      positions.push(...generatorOf(tube.member, turn, -(off + rise * next())).pointAt(s + long * (next() - 0.5)));
    }
  }
  // Both ways round: the one of them that looks away from the tube is passed over.
  const triangles = Array.from({ length: positions.length / 9 }, (_, t) => [0, 1, 2, 0, 2, 1].map((k) => 3 * t + k));
  return { positions: Float64Array.from(positions), triangles: Uint32Array.from(triangles.flat()) };
}

const found = (mesh: Mesh, body: Body): number => {
  const facets = facetsOf(mesh, IDENTITY);
  return leastDistance(facets, body, { distances: vertexDistances(facets, body), bow: 1e-4, within: WITHIN });
};

/** Steps along each side of a facet. */
const STEPS = 60;

/** Least distance over many places of the facets, of those that count. */
function sampled({ positions: p, triangles }: Mesh, body: Body): number {
  const corner = (i: number): Vec3 => [0, 1, 2].map((k) => p[3 * triangles[i]! + k]!) as unknown as Vec3;
  let least = WITHIN;
  for (let t = 0; t < triangles.length; t += 3) {
    for (let i = 0; i <= STEPS; i++) {
      const [from, to] = [corner(t + 1), corner(t + 2)].map((c) => lerp(corner(t), c, i / STEPS)) as [Vec3, Vec3];
      for (let j = 0; j <= i; j++) {
        const q = lerp(from, to, i === 0 ? 0 : j / i);
        const d = body.distance(q);
        if (d < least && body.counts(q)) least = d;
      }
    }
  }
  return least;
}

describe.each(['miter', 'square', 'oval', 'ellipse', 'bend'])('the least distance from the tube of %s', (name) => {
  const tube = tubeNamed(name);
  const shaped = tubeBody(tube);

  test('is not missed for what is known of its shape', () => {
    const plain: Body = { distance: shaped.distance, counts: shaped.counts };
    let clear = 0;
    for (let seed = 1; seed <= 200; seed++) {
      const mesh = soup(tube, seed);
      const [fast, slow] = [found(mesh, shaped), found(mesh, plain)];
      // One that runs into the tube is followed no further than to know it.
      if (slow > 0) expect(fast, `soup ${seed}`).toBeLessThan(slow + OFF);
      else expect(fast, `soup ${seed}`).toBeLessThan(OFF);
      if (slow > 0) clear++;
    }
    expect(clear).toBeGreaterThan(30);
  });

  test('is that of the nearest of many places', () => {
    for (let seed = 401; seed <= 412; seed++) {
      const mesh = soup(tube, seed);
      const expected = sampled(mesh, shaped);
      if (expected > 0) expect(found(mesh, shaped), `soup ${seed}`).toBeLessThan(expected + 0.02);
      else expect(found(mesh, shaped), `soup ${seed}`).toBeLessThan(0.01);
    }
  });
});
