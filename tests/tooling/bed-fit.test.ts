import { describe, expect, test } from 'vitest';
import { place, unplace } from '../../src/geometry/placement.ts';
import type { Vec3 } from '../../src/geometry/vector.ts';
import { meshBounds, signedVolume } from '../../src/solid/mesh-check.ts';
import { boxOf, columnsOf } from '../../src/tooling/columns.ts';
import { type Proved, prove, toolsOf } from '../proof/support.ts';
import { type Bvh, buildBvh, castRay } from '../support/bvh.ts';
import { kernel, made, meshOf, tried } from '../support/tools.ts';

const shop = (bed: string, more = ''): string => `job: t
units: mm
shop:
  printer: { bed: [${bed}], material: petg }
  ${more}
  saws: { band: { kind: vertical-band, kerf: 1.2, blade: 0.9 }, chop: { kind: top-down, kerf: 2.4, blade: 2 } }
  saw: chop
`;

const straight = (bed: string, section: string, { tools, at = 300, miter = 0, more = '' }: Straight): string =>
  `${shop(bed, more)}
sections: { t: ${section} }
members: { m: { section: t, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] } }
joints: [{ trim: { end: m.end, at: ${at}, miter: ${miter}, long-point: up } }]
tools: [${tools}]
`;

interface Straight {
  readonly tools: string;
  readonly at?: number;
  readonly miter?: number;
  readonly more?: string;
}

const bent = (bed: string, tools: string): string => `${shop(bed)}
sections: { t: { kind: round, od: 100, wall: 2 } }
members:
  m:
    section: t
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 300 }, { bend: { clr: 162, angle: 82, toward: up } }, { straight: 200 }]
joints: [{ trim: { end: m.end, into-bend: 21 } }]
tools: [${tools}]
`;

const ROUND = '{ kind: round, od: 110, wall: 2 }';
const COLLAR = straight('100, 100, 120', ROUND, { tools: '{ notch-collar: m.end }', more: 'wall: 10' });

const provedOf = (yaml: string): Proved => {
  const { solution } = made(yaml);
  return [...toolsOf(kernel, solution.job).values()][0]!;
};

/** Told by the triangles alone: how often a ray meets them. */
function isInside(tree: Bvh, p: Vec3): boolean {
  const way: Vec3 = [0.267261, 0.534522, 0.801784];
  let count = 0;
  for (let at = 0; ; count++) {
    const hit = castRay(tree, p, way, at);
    if (!hit) return count % 2 === 1;
    at = hit.distance + 1e-6;
  }
}

describe('a tool larger than the bed', () => {
  test.each([
    ['a collar round a tube wider than the bed', COLLAR],
    [
      'a saw guide along a tube',
      straight('120, 120, 120', '{ kind: square, side: 40, wall: 2, corner-radius: 3 }', {
        tools: '{ saw-guide: { end: m.end, datum: end } }',
        at: 200,
        miter: 20,
      }),
    ],
    [
      'a marking gauge too tall',
      straight('120, 120, 90', '{ kind: flat-oval, width: 60, height: 40, wall: 2 }', {
        tools: '{ marking-gauge: { end: m.end, datum: end } }',
        at: 150,
      }),
    ],
    ['a gauge in a bend', bent('100, 100, 100', '{ marking-gauge: m.end }')],
    [
      'an angle block',
      `${shop('120, 120, 120')}\nsections: { t: { kind: round, od: 30, wall: 2 } }\nmembers: { a: { section: t, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] } }\ntools: [{ angle-block: { angle: 60, length: 150 } }]\n`,
    ],
    [
      'a spacer',
      `${shop('120, 120, 120')}\nsections: { t: { kind: round, od: 40, wall: 2 } }\nmembers:\n  a: { section: t, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] }\n  b: { section: t, points: [[0, 150, 0], [400, 150, 0]], up: [0, 0, 1] }\ntools: [{ spacer: { of: [a, b], at: 200 } }]\n`,
    ],
  ])('%s comes in keyed pieces that are proved one by one and put together', (_, yaml) => {
    const proved = provedOf(yaml);
    const { tool, solution } = proved;
    const { bed } = solution.job.shop.printer;
    expect(tool.parts.length).toBeGreaterThan(1);
    expect(tool.parts.map(({ name }) => name)).toEqual(
      tool.parts.map((_part, i) => `${tool.name}-${String.fromCharCode(97 + i)}`),
    );
    const proof = prove(kernel, proved);
    expect(proof.problems).toEqual([]);
    expect(proof.joined?.keyPlay).toBeLessThanOrEqual(0.6);
    expect(proof.joined?.edgeDeviation ?? proof.joined?.slotDeviation ?? 0).toBeLessThanOrEqual(0.02);
    const flat = [bed[0], bed[1]].sort((p, q) => p - q);
    for (const { size } of proof.parts) {
      const [short, long] = [size[0], size[1]].sort((p, q) => p - q);
      expect(short).toBeLessThanOrEqual(flat[0]!);
      expect(long).toBeLessThanOrEqual(flat[1]!);
      expect(size[2]).toBeLessThanOrEqual(bed[2]);
    }
    // Every piece is told from the others and from those of another revision; the sheet says how they are joined.
    const marks = tool.parts.flatMap(({ solid }) => JSON.stringify(solid).match(/"\d+ of \d+( [A-Z0-9]{5})?"/g) ?? []);
    expect(new Set(marks).size).toBe(tool.parts.length);
    expect(tool.use.join(' ')).toMatch(/Join the pieces/);
    expect(tool.facts.find(({ label }) => label === 'printed in pieces')?.value).toBe(tool.parts.length);
  });

  test('put together is the tool in one piece, but for gaps and keys at its joints', () => {
    const { tool } = provedOf(COLLAR);
    const [whole] = provedOf(COLLAR.replace('100, 100, 120', '300, 300, 120')).tool.parts;
    const trees = tool.parts.map((part) => ({ part, tree: buildBvh(meshOf(part)) }));
    const one = buildBvh(meshOf(whole!));
    const { min, max } = meshBounds(one.mesh);
    const joints = tool.wholes![0]!.keys.map(({ across, dowels }) => ({ across, at: dowels!.at[0]! }));
    const offJoint = (p: Vec3): number =>
      Math.min(
        ...joints.map(({ across, at }) => Math.abs(across.reduce((sum, k, i) => sum + k * (p[i]! - at[i]!), 0))),
      );
    let [inside, apart, near] = [0, 0, 0];
    for (let i = 1; i <= 6000; i++) {
      const share = [0.754877666, 0.569840291, 0.362437104].map((k) => (i * k) % 1);
      const p = min.map((low, k) => low + share[k]! * (max[k]! - low)) as unknown as Vec3;
      const inJob = place(whole!.pose, p);
      const expected = isInside(one, p);
      const found = trees.filter(({ part, tree }) => isInside(tree, unplace(part.pose, inJob))).length;
      expect(found).toBeLessThanOrEqual(1);
      inside += expected ? 1 : 0;
      if (found === (expected ? 1 : 0)) continue;
      // Gaps and dowel holes reach 7 mm to either side; letters, of another mark and underneath, are 0.6 deep.
      if (offJoint(inJob) <= 7.1) near++;
      else if (p[2] > 0.65 && p[1] > min[1] + 1) apart++;
    }
    expect(inside).toBeGreaterThan(600);
    expect(apart).toBe(0);
    expect(near / inside).toBeLessThan(0.02);
    const pieces = trees.reduce((sum, { tree }) => sum + signedVolume(tree.mesh), 0);
    expect(pieces / signedVolume(one.mesh)).toBeGreaterThan(0.985);
    expect(pieces).toBeLessThan(signedVolume(one.mesh));
  });

  test('with a piece that stands off its place is refused', () => {
    const proved = provedOf(COLLAR);
    const shift = (by: Vec3): Proved => ({
      ...proved,
      tool: {
        ...proved.tool,
        parts: proved.tool.parts.map((part, i) =>
          i === 1
            ? { ...part, pose: { ...part.pose, origin: part.pose.origin.map((k, j) => k + by[j]!) as unknown as Vec3 } }
            : part,
        ),
      },
    });
    const codes = (by: Vec3): readonly string[] => prove(kernel, shift(by)).problems.map(({ code }) => code);
    expect(codes([0.1, 0, 0])).toContain('proof/edge');
    expect(codes([0, 0.3, 0.3])).toContain('proof/joined');
  });

  test('is turned on the bed where that is enough', () => {
    const block = `${shop('120, 120, 120')}\nsections: { t: { kind: round, od: 30, wall: 2 } }\nmembers: { a: { section: t, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] } }\ntools: [{ angle-block: { angle: 20, length: 150 } }]\n`;
    const proved = provedOf(block);
    expect(proved.tool.parts).toHaveLength(1);
    expect(proved.tool.wholes).toBeUndefined();
    expect(prove(kernel, proved).problems).toEqual([]);
  });

  test('with a slot longer than the bed is refused with its length, and left out by auto', () => {
    const wide = '{ kind: round, od: 150, wall: 2 }';
    const guide = straight('100, 100, 120', wide, { tools: '{ saw-guide: { end: m.end, saw: band } }', miter: 30 });
    const [problem] = tried(guide).problems;
    expect(problem).toMatchObject({ code: 'tool/larger-than-bed', limit: 100, path: ['tools', 0, 'saw-guide'] });
    expect(problem!.message).toMatch(/its blade slot alone is \d/);
    expect(problem!.measured).toBeGreaterThan(100);
    const auto = tried(guide.replace(/tools: .*/, 'tools: auto'));
    expect(auto.problems.every(({ severity }) => severity === 'warning')).toBe(true);
    expect(auto.tools.every(({ kind }) => kind !== 'saw-guide')).toBe(true);
  });
});

describe('lines through a part', () => {
  test('tell its volume and its box as the kernel does', () => {
    const yaml = straight('220, 220, 250', '{ kind: ellipse, width: 60, height: 40, wall: 2 }', {
      tools: '{ saw-guide: m.end }, { notch-collar: m.end }, { marking-gauge: { end: m.end, name: gauge } }',
      miter: 25,
      more: 'labels: false',
    });
    for (const { parts } of made(yaml).tools) {
      for (const part of parts) {
        const mesh = meshOf(part);
        const { lines, pitch } = columnsOf(part.solid, 0.5);
        const volume = lines.reduce(
          (sum, line) => sum + line.reduce((long, z, i) => long + (i % 2 === 0 ? -z : z), 0),
          0,
        );
        // A line stands for a square of half a millimeter, on walls of four.
        expect(Math.abs((volume * pitch * pitch) / signedVolume(mesh) - 1)).toBeLessThan(0.02);
        const [box, { min, max }] = [boxOf(part.solid), meshBounds(mesh)];
        for (const k of [0, 1, 2] as const) {
          expect(box.min[k]).toBeLessThanOrEqual(min[k] + 1e-5);
          expect(box.max[k]).toBeGreaterThanOrEqual(max[k] - 1e-5);
        }
      }
    }
  });
});
