import { beforeAll, describe, expect, test } from 'vitest';
import { outlineAt, sectionDistance } from '../../src/geometry/section.ts';
import { along, dot, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { awayFromCurve, curveTable, footOnTube, onCurve, retrace } from '../../src/proof/curve-table.ts';
import { cornersApart } from '../../src/proof/gates.ts';
import { firstHit, rayTree } from '../../src/proof/rays.ts';
import { shadowOf } from '../../src/proof/shadow.ts';
import { tubeOf } from '../../src/proof/tube.ts';
import { type Kernel, openKernel } from '../../src/solid/kernel.ts';
import { traceCurve } from '../../src/solve/cut-curve.ts';
import { cutAt } from '../../src/solve/generator.ts';
import { buildBvh, castRay } from '../support/bvh.ts';
import { benchJob, type Proved, toolsOf } from './support.ts';

let kernel: Kernel;
let tools: ReadonlyMap<string, Proved>;

beforeAll(async () => {
  kernel = await openKernel();
  const job = benchJob();
  const bendGuide = job.tools === 'auto' ? [] : job.tools.slice(4, 5);
  tools = toolsOf(kernel, { ...job, tools: bendGuide });
});

/** Places spread over a range, the same every time (steps of the golden ratio and of the square root of two). */
const spread = (i: number, [low, high]: readonly [number, number], step = Math.SQRT2): number =>
  low + (high - low) * ((i * step) % 1);

describe('rays', () => {
  test('find what the slower tree finds', () => {
    const { mesh } = tools.get('bend-end-saw-guide')!.files[0]!.meshes[0]!;
    const [fast, slow] = [rayTree(mesh), buildBvh(mesh)];
    let hits = 0;
    for (let i = 1; i <= 400; i++) {
      const from: Vec3 = [spread(i, [-60, 60]), spread(i, [-60, 60], Math.sqrt(3)), spread(i, [-10, 60], Math.sqrt(5))];
      const toward = unit([
        spread(i, [-1, 1], Math.sqrt(7)),
        spread(i, [-1, 1], Math.sqrt(11)),
        spread(i, [-1, 1], Math.sqrt(13)),
      ]);
      const expected = castRay(slow, from, toward, 1e-4);
      const found = firstHit(fast, { from, toward, beyond: 1e-4 });
      expect(found === undefined).toBe(expected === undefined);
      if (!found || !expected) continue;
      expect(found.distance).toBeCloseTo(expected.distance, 9);
      expect(firstHit(fast, { from, toward, beyond: 1e-4, within: found.distance * 1.001 })).toEqual(found);
      expect(firstHit(fast, { from, toward, beyond: 1e-4, within: found.distance * 0.999 })).toBeUndefined();
      hits++;
    }
    expect(hits).toBeGreaterThan(100);
  });
});

describe('the cut, traced anew near where it passes', () => {
  const branch = (): Proved['solution']['ends'][number] => {
    const end = tools
      .values()
      .next()
      .value!.solution.ends.find(({ id }) => id === 'branch.end');
    if (!end) expect.fail('no branch.end');
    return end;
  };

  test.each(['outer', 'inner', 'square'] as const)('%s agrees with a trace along the whole tube', (surface) => {
    const end = branch();
    const { section } = end.member;
    const traced = traceCurve(end, surface, 0.01);
    if ('faults' in traced) expect.fail('the curve is not traced');
    const table = curveTable(end, traced.curve);
    for (let i = 0; i < 40; i++) {
      const u = (i + 0.37) / 40;
      // From the bore of a tool, a quarter of a millimeter off the tube.
      const [a, b] = outlineAt(section, u, -0.25).point;
      const foot = footOnTube(section, a, b);
      const solved = onCurve(table, a, b);
      expect(solved.u).toBeCloseTo(u, 6);
      const cut = cutAt(end, u, surface);
      const found = retrace(end, table.curve, { ...foot, u, near: solved });
      if (cut.kind !== 'cut' || found === undefined) expect.fail(`no cut at ${u}`);
      expect(Math.abs(found - cut.s)).toBeLessThan(1e-5);
      expect(Math.abs(solved.s - cut.s)).toBeLessThan(0.003);
    }
  });

  test('a place beside the curve is as far from it as it was moved', () => {
    const table = curveTable(branch(), branch().curves.outer);
    const { samples } = table.curve;
    const sample = samples[Math.floor(samples.length / 3)]!;
    expect(awayFromCurve(table, { u: sample.u, s: sample.s, speed: 1 })).toBeLessThan(1e-9);
    const far = awayFromCurve(table, { u: sample.u, s: sample.s + 0.1, speed: 1 });
    expect(far).toBeGreaterThan(0.05);
    expect(far).toBeLessThanOrEqual(0.1);
  });
});

describe('the way out', () => {
  test.each(['bend-end-saw-guide'])('of %s is as near as the nearest of many places of the tube on it', (name) => {
    const { tool } = tools.get(name)!;
    const [held] = tool.parts[0]!.tubes;
    if (held?.insertion.kind !== 'lift') expect.fail('a guide is lifted into');
    const { out } = held.insertion;
    const tube = tubeOf(held);
    const shadow = shadowOf(tube, out);
    if (!shadow) expect.fail('the tube lies level');
    const { origin, right, up } = tube.line.segments[0]!.start;
    const way = [dot(out, right), dot(out, up)] as const;
    for (let i = 1; i <= 200; i++) {
      const [a, b] = [spread(i, [-40, 40]), spread(i, [-40, 40], Math.sqrt(3))];
      const p = along(along(origin, right, a), up, b);
      const expected = Math.min(
        ...Array.from({ length: 4001 }, (_, k) =>
          sectionDistance(tube.section, a - 0.02 * k * way[0], b - 0.02 * k * way[1]),
        ),
      );
      expect(shadow.distance(p)).toBeCloseTo(expected, 2);
    }
  });
});

test('meshes numbered differently are the same mesh, and one with a corner moved is told by how far', () => {
  const a = {
    positions: Float64Array.from([0, 0, 0, 1, 0, 0, 0, 1, 0, 0, 0, 1]),
    triangles: Uint32Array.from([0, 2, 1, 0, 1, 3, 1, 2, 3, 0, 3, 2]),
  };
  const b = {
    positions: Float64Array.from([0, 0, 1, 0, 1, 0, 1, 0, 0, 0, 0, 0]),
    triangles: Uint32Array.from([3, 1, 2, 3, 2, 0, 2, 1, 0, 3, 0, 1]),
  };
  expect(cornersApart(a, b)).toBe(0);
  const shifted = { ...b, positions: b.positions.slice() };
  shifted.positions[2]! += 0.25;
  expect(cornersApart(a, shifted)).toBeCloseTo(0.25, 12);
  const swapped = { ...b, triangles: Uint32Array.from([3, 2, 1, 3, 2, 0, 2, 1, 0, 3, 0, 1]) };
  expect(cornersApart(a, swapped)).toBeUndefined();
});
