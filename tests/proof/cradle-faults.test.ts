import { describe, expect, test } from 'vitest';
import { compose, IDENTITY } from '../../src/geometry/placement.ts';
import { add, along, distance, dot, scale, sub, type Vec3 } from '../../src/geometry/vector.ts';
import type { ToolPart } from '../../src/tooling/tool.ts';
import { kernel, made } from '../support/tools.ts';
import { broken, claimed, codesOf, moved, movedInJob, type Proved, prove, toolsOf } from './support.ts';

const job = (bed: number): string => `
job: t
shop: { printer: { bed: [${bed}, ${bed}, 120] }, labels: false }
sections: { s: { kind: round, od: 33.7, wall: 2 } }
members:
  run: { section: s, points: [[-60, 0, 0], [200, 0, 0]] }
  branch: { section: s, points: [[40, 0, 0], [40, 150, 0]] }
joints: [{ cope: { name: tee, branch: branch.start, run: run, gap: 0.5 } }]
tools: [{ fit-up-cradle: { joint: tee, heat: 15 } }]
`;
const cradle = (bed: number): Proved => [...toolsOf(kernel, made(job(bed)).solution.job).values()][0]!;
const whole = cradle(220);
const parted = cradle(110);
const codes = (proved: Proved): readonly string[] => codesOf(prove(kernel, proved));

/** One part's claims changed. */
const partClaimed = ({ tool, ...rest }: Proved, at: number, change: (part: ToolPart) => ToolPart): Proved => ({
  ...rest,
  tool: { ...tool, parts: tool.parts.map((part, i) => (i === at ? change(part) : part)) },
});
const shifted = (proved: Proved, at: number, step: Vec3): Proved =>
  partClaimed(proved, at, (part) => ({ ...part, pose: compose({ ...IDENTITY, origin: step }, part.pose) }));

test('cradles in one piece and in several pass as they are', () => {
  expect(codes(whole)).toEqual([]);
  expect(codes(parted)).toEqual([]);
  expect(parted.tool.parts.length).toBeGreaterThan(1);
});

describe('the heat distance', () => {
  const seams = whole.tool.parts[0]!.features.flatMap((feature) => (feature.kind === 'heat' ? feature.seams : []));

  test('is measured to the place that is nearest to any seam', () => {
    const { seamDistance } = prove(kernel, whole).parts[0]!;
    const mesh = whole.files[0]!.meshes[0]!.mesh;
    const { pose } = whole.tool.parts[0]!;
    let least = Number.POSITIVE_INFINITY;
    for (let v = 0; v < mesh.positions.length; v += 3) {
      const [x, y, z] = [mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!];
      const p = add(add(pose.origin, scale(pose.x, x)), add(scale(pose.y, y), scale(pose.z, z)));
      for (const seam of seams) for (const q of seam) least = Math.min(least, distance(p, q));
    }
    // Corners and sample points alone: never nearer than what is measured, and near it.
    expect(least).toBeGreaterThanOrEqual(seamDistance! - 1e-9);
    expect(least).toBeLessThan(seamDistance! + 3);
  });

  test('a spike that comes half a millimeter too near fails, and nothing else', () => {
    const { seamDistance } = prove(kernel, whole).parts[0]!;
    const middle = scale(seams[0]!.reduce(add, [0, 0, 0]), 1 / seams[0]!.length);
    const nearest = (p: Vec3): number => Math.min(...seams.flatMap((seam) => seam.map((q) => distance(p, q))));
    const spike = movedInJob(whole, (p) => {
      if (nearest(p) > seamDistance! + 2.5 || p[2] < -10) return undefined;
      const way = sub(middle, p);
      return along(p, [way[0], way[1], 0], 1.5 / Math.hypot(way[0], way[1]));
    });
    expect(codes(spike)).toContain('proof/heat');
  });

  test('a longer distance than was kept is not there', () => {
    const longer = claimed(whole, (part) => ({
      ...part,
      features: part.features.map((feature) => (feature.kind === 'heat' ? { ...feature, least: 18 } : feature)),
    }));
    expect(codes(longer)).toEqual(['proof/heat']);
  });
});

describe('what a cradle is laid and set by', () => {
  test('an edge that runs out of square by a twentieth of a millimeter fails', () => {
    expect(codes(movedInJob(whole, ([x, y, z]) => [x + 0.0005 * y, y, z]))).toContain('proof/datum');
  });

  test('a stop that stands a twentieth off fails', () => {
    const stop = whole.tool.parts[0]!.features.find((feature) => feature.kind === 'datum' && feature.by === 'stop');
    if (stop?.kind !== 'datum') expect.fail('the run is stopped');
    const { point, normal } = stop.plane;
    const off = movedInJob(whole, (p) =>
      Math.abs(dot(sub(p, point), normal)) < 1e-3 ? along(p, normal, -0.05) : undefined,
    );
    expect(codes(off)).toEqual(['proof/datum']);
  });

  test('a saddle that stands askew grips its tube', () => {
    const askew = movedInJob(whole, (p) =>
      p[1] > 30 && p[2] > -18 ? [p[0] + 0.02 * (p[1] - 90), p[1], p[2]] : undefined,
    );
    expect(codes(askew)).toContain('proof/clearance');
  });
});

describe('parts that stand together', () => {
  const across = parted.tool.joined!.keys[0]!;
  const second = parted.tool.parts.findIndex(({ name }) => name === across.parts[1]);

  test('pieces that overlap by half a millimeter are told', () => {
    expect(codes(shifted(parted, second, scale(across.across, -0.5)))).toContain('proof/joined');
  });

  test('pieces that lie a millimeter apart are not held by their keys', () => {
    expect(codes(shifted(parted, second, scale(across.up, 12)))).toContain('proof/joined');
  });

  test('keys that widen upward cannot come down', () => {
    // The tails of the first piece, upside down: wider above than below.
    const first = parted.tool.parts.findIndex(({ name }) => name === across.parts[0]);
    const bulge = broken(
      { ...parted, files: [parted.files[first]!, ...parted.files.filter((_, i) => i !== first)] },
      (mesh) => moved(mesh, ([x, y, z]) => (z > 6.9 && z < 7.1 ? [1.02 * x, 1.02 * y, z] : undefined)),
    );
    expect(codes(bulge)).toContain('proof/joined');
  });

  test('a piece set on the bench askew by a tenth does not line up with the others', () => {
    const found = codes(shifted(parted, second, scale(across.up, 0.1)));
    expect(found).toContain('proof/datum');
  });
});
