import { describe, expect, test } from 'vitest';
import { type place, unplace } from '../../src/geometry/placement.ts';
import { dot, sub, type Vec3 } from '../../src/geometry/vector.ts';
import { intersectionVolume } from '../../src/solid/evaluate.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { prove, toolsOf } from '../proof/support.ts';
import { inJob, kernel, made, meshOf, tried } from '../support/tools.ts';

const guide = (section: string, trim: string, saw: string): string => `
job: t
sections: { tube: ${section} }
members:
  tube: { section: tube, points: [[0, 0, 0], [500, 0, 0]], up: [0, 0, 1] }
joints: [{ trim: { end: tube.end, at: 400, ${trim} } }]
tools: [{ saw-guide: { end: tube.end, saw: ${saw} } }]
`;

const SECTIONS = {
  round: '{ kind: round, od: 50, wall: 2 }',
  'flat-oval': '{ kind: flat-oval, width: 80, height: 40, wall: 2 }',
  ellipse: '{ kind: ellipse, width: 60, height: 36, wall: 2 }',
  square: '{ kind: square, side: 40, wall: 2, corner-radius: 4 }',
};

const TRIMS = {
  square: 'miter: 0',
  '45 sideways': 'miter: 45, long-point: right',
  '30 up': 'miter: 30, long-point: up',
  compound: 'miter: 22.5, long-point: 30',
};

describe('a saw guide', () => {
  const rows = Object.entries(SECTIONS).flatMap(([kind, section]) =>
    Object.entries(TRIMS).flatMap(([angle, trim]) =>
      ['bandsaw', 'chop-saw'].map((saw) => [kind, angle, saw, section, trim] as const),
    ),
  );

  test.each(rows)(
    '%s, %s, %s: slot square to the table, kerf on the waste, one body, flat on the bed',
    (_, __, saw, section, trim) => {
      const tool = made(guide(section, trim, saw)).tools[0]!;
      const part = tool.parts[0]!;
      const mesh = meshOf(part);
      const facts = checkMesh(mesh);
      expect({ closed: facts.closed, shells: facts.shells, zeroArea: facts.zeroArea }).toEqual({
        closed: true,
        shells: 1,
        zeroArea: 0,
      });
      expect(Math.abs(facts.bounds.min[2]!)).toBeLessThan(1e-3);
      const { plane } = tool.end!.flat!;
      expect(Math.abs(dot(plane.normal, part.pose.z))).toBeLessThan(1e-9);
      const kerf = tool.saw!.kerf;
      const width = Math.max(kerf, tool.saw!.blade + tool.saw!.clearance);
      const offsets = inJob(part, mesh).map((p) => dot(sub(p, plane.point), plane.normal));
      for (const face of [(kerf - width) / 2, (kerf + width) / 2]) {
        expect(offsets.filter((x) => Math.abs(x - face) < 2e-4).length).toBeGreaterThan(3);
      }
      // Nothing printed stands inside the slot over the tube.
      expect(intersectionVolume(kernel, mesh, slabOverTube(tool, part.pose))).toBe(0);
    },
  );

  test('a band saw comes in from the front and leaves a bridge; a chop saw leaves the base', () => {
    for (const [saw, whole] of [
      ['bandsaw', 'behind'],
      ['chop-saw', 'below'],
    ] as const) {
      const tool = made(guide(SECTIONS.round, 'miter: 0', saw)).tools[0]!;
      const part = tool.parts[0]!;
      const mesh = meshOf(part);
      const middle = unplace(part.pose, [400.6, 0, 0]);
      const bounds = checkMesh(mesh).bounds;
      const post = (y: number, z: readonly [number, number]) =>
        boxAt([middle[0] - 0.2, y - 0.5, z[0]], [middle[0] + 0.2, y + 0.5, z[1]]);
      const front = intersectionVolume(kernel, mesh, post(bounds.min[1]! + 2.5, [0.5, 30]));
      const back = intersectionVolume(kernel, mesh, post(bounds.max[1]! - 2.5, [0.5, 30]));
      const below = intersectionVolume(kernel, mesh, post(0, [0.5, 3]));
      if (whole === 'behind') expect([front, back > 11, below]).toEqual([0, true, 0]);
      else expect([front > 0.5, back > 0.5, below > 0.9]).toEqual([true, true, true]);
    }
  });

  test('in a bend the base is the plane of the bend and the slot stands where the trim says', () => {
    const text = `
job: t
sections: { tube: { kind: round, od: 50, wall: 2 } }
members:
  tube: { section: tube, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 40 }, { bend: { clr: 80, angle: 90, toward: left } }, { straight: 40 }] }
joints: [{ trim: { end: tube.end, into-bend: 37 } }]
tools: [{ saw-guide: tube.end }]
`;
    const tool = made(text).tools[0]!;
    const part = tool.parts[0]!;
    expect(Math.abs(dot(part.pose.z, [0, 0, 1]))).toBeCloseTo(1, 12);
    // The cut's plane holds the bend's axis and stands 37 deg round from the tangent point (40, 0, 0); center (40, 80, 0).
    const angle = (37 * Math.PI) / 180;
    const { plane } = tool.end!.flat!;
    expect(plane.normal[0]).toBeCloseTo(Math.cos(angle), 12);
    expect(plane.normal[1]).toBeCloseTo(Math.sin(angle), 12);
    expect(dot(sub(plane.point, [40, 80, 0]), plane.normal)).toBeCloseTo(0, 9);
    const offsets = inJob(part, meshOf(part)).map((p) => dot(sub(p, plane.point), plane.normal));
    for (const face of [0, 1.2]) expect(offsets.filter((x) => Math.abs(x - face) < 2e-4).length).toBeGreaterThan(3);
  });

  test.each([
    [
      'round',
      '{ kind: round, od: 61, wall: 2 }',
      29,
      111.9,
      70,
      'into-bend: 17, miter: 11, long-point: 144',
      'chop-saw',
    ],
    [
      'flat-oval',
      '{ kind: flat-oval, width: 43.1, height: 21.7, wall: 2 }',
      69,
      160.8,
      109,
      'into-bend: 28, miter: 3, long-point: 156',
      'bandsaw',
    ],
  ])(
    'askew in a bend of %s tube is not refused for a step of 0.005 mm in its channel',
    (_, section, before, clr, angle, trim, saw) => {
      const { solution } = made(`
job: t
shop: { printer: { bed: [250, 250, 250] }, chord-tolerance: 0.02 }
sections: { tube: ${section} }
members:
  tube: { section: tube, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: ${before} }, { bend: { clr: ${clr}, angle: ${angle}, toward: left } }, { straight: 99 }] }
joints: [{ trim: { end: tube.end, ${trim} } }]
tools: [{ saw-guide: { end: tube.end, saw: ${saw} } }]
`);
      const [proved] = toolsOf(kernel, solution.job).values();
      const proof = prove(kernel, proved!);
      expect(proof.problems).toEqual([]);
      expect(proof.parts[0]!.slotDeviation).toBeLessThan(1e-4);
    },
  );

  test('a curved cut is refused by name', () => {
    const text = `
job: t
sections: { run: { kind: round, od: 90, wall: 3 }, branch: { kind: round, od: 40, wall: 2 } }
members: { run: { section: run, points: [[-300, 0, 0], [300, 0, 0]] }, branch: { section: branch, points: [[0, 0, 300], [0, 0, 0]] } }
joints: [{ cope: { branch: branch.end, run: run } }]
tools: [saw-guide: branch.end]
`;
    expect(tried(text).problems.map((problem) => problem.code)).toContain('tool/not-flat');
  });
});

/** The kerf's slab over the tube's own cross-section, in print pose: a prism through the cut's outline, moved into the kerf. */
function slabOverTube(tool: ReturnType<typeof made>['tools'][number], pose: Parameters<typeof place>[0]) {
  const { normal } = tool.end!.flat!.plane;
  const [from, to] = [0.05, tool.saw!.kerf - 0.05];
  const points = tool.end!.curves.outer.samples.flatMap((sample) =>
    [from, to].map(
      (k): Vec3 =>
        unplace(pose, [
          sample.point[0] + normal[0] * k,
          sample.point[1] + normal[1] * k,
          sample.point[2] + normal[2] * k,
        ]),
    ),
  );
  return { kind: 'hull', name: 'kerf over the tube', points } as const;
}

function boxAt(low: Vec3, high: Vec3) {
  const points = [low[0], high[0]].flatMap((x) =>
    [low[1], high[1]].flatMap((y) => [low[2], high[2]].map((z): Vec3 => [x, y, z])),
  );
  return { kind: 'hull', name: 'probe', points } as const;
}
