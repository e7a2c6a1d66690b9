import { describe, expect, test } from 'vitest';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { inJob, made, meshOf, tried } from '../support/tools.ts';

const SECTIONS = {
  round: '{ kind: round, od: 40, wall: 2 }',
  'flat-oval': '{ kind: flat-oval, width: 60, height: 36, wall: 2 }',
  ellipse: '{ kind: ellipse, width: 50, height: 36, wall: 2 }',
  rectangle: '{ kind: rectangle, width: 50, height: 30, wall: 2, corner-radius: 4 }',
  upright: '{ kind: rectangle, width: 30, height: 50, wall: 2, corner-radius: 0 }',
};

const coped = (section: string, tool: string, angle = 60): string => `
job: t
sections: { run: { kind: round, od: 90, wall: 3 }, branch: ${section} }
members:
  run: { section: run, points: [[-300, 0, 0], [300, 0, 0]] }
  branch: { section: branch, points: [[${(-400 * Math.cos((angle * Math.PI) / 180)).toFixed(6)}, 0, ${(400 * Math.sin((angle * Math.PI) / 180)).toFixed(6)}], [0, 0, 0]], up: [0, 1, 0] }
joints: [{ cope: { branch: branch.end, run: run } }]
tools: [{ notch-collar: { end: branch.end, ${tool} } }]
`;

describe('a collar carries its cut', () => {
  test('on the rim of a round collar every bore vertex has the height of the closed form', () => {
    // w(p) = [sqrt(R^2 - (r sin p)^2) + r cos p cos b] / sin b, J. Stockie, MapleTech 5(2/3) 1998.
    const [R, r, b] = [45, 20, Math.PI / 3];
    const { tools } = made(coped(SECTIONS.round, 'datum: stock'));
    const part = tools[0]!.parts[0]!;
    const out = [-Math.cos(b), 0, Math.sin(b)] as const;
    let seen = 0;
    let worst = 0;
    for (const p of inJob(part, meshOf(part))) {
      const w = p[0] * out[0] + p[2] * out[2];
      // Toward the acute side, square to the branch: the run's -x side, where the branch leans.
      const acute = p[0] * -Math.sin(b) + p[2] * -Math.cos(b);
      const radius = Math.hypot(acute, p[1]);
      if (Math.abs(radius - (r + 0.32)) > 0.005) continue;
      const [cos, sin] = [acute / radius, p[1] / radius];
      const expected = (Math.sqrt(R * R - (r * sin) ** 2) + r * cos * Math.cos(b)) / Math.sin(b);
      if (Math.abs(w - expected) > 3) continue;
      seen++;
      worst = Math.max(worst, Math.abs(w - expected));
    }
    expect(seen).toBeGreaterThan(90);
    expect(worst).toBeLessThan(1e-4);
  });

  test.each(Object.entries(SECTIONS))(
    '%s: one part, two parts, and on a mark come out closed, whole and flat on the bed',
    (_, section) => {
      for (const [how, parts] of [
        ['datum: stock', 1],
        ['datum: mark', 1],
        ['parts: 2', 2],
      ] as const) {
        const tool = made(coped(section, how)).tools[0]!;
        expect(tool.parts).toHaveLength(parts);
        for (const part of tool.parts) {
          const facts = checkMesh(meshOf(part));
          expect({ closed: facts.closed, shells: facts.shells, zeroArea: facts.zeroArea }).toEqual({
            closed: true,
            shells: 1,
            zeroArea: 0,
          });
          expect(Math.abs(facts.bounds.min[2]!)).toBeLessThan(1e-3);
        }
      }
    },
  );

  test('the surface chosen is the surface cut: inner and outer rims differ as their closed forms do', () => {
    const height = (surface: string): number => {
      const { solution } = made(coped(SECTIONS.round, `surface: ${surface}`));
      const end = solution.ends[0]!;
      return end.curves[surface as 'outer' | 'inner'].samples.find((sample) => sample.u === 0)!.s;
    };
    // u = 0 lies across the run (p = 90): w = sqrt(R^2 - r^2) / sin b for the radius of that surface.
    const w = (r: number): number => 400 - Math.sqrt(45 * 45 - r * r) / Math.sin(Math.PI / 3);
    expect(height('outer')).toBeCloseTo(w(20), 6);
    expect(height('inner')).toBeCloseTo(w(18), 6);
  });
});

const gauge = (more: string, trim: string): string => `
job: t
sections: { tube: { kind: round, od: 50, wall: 2 } }
members:
  tube: { section: tube, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [${more}] }
joints: [{ trim: { end: tube.end, ${trim} } }]
tools: [marking-gauge: tube.end]
`;

describe('a marking gauge is as long as the mark is far', () => {
  test('face to ledge is the trimmed length', () => {
    const tool = made(gauge('straight: 100', 'at: 72.5')).tools[0]!;
    const facts = checkMesh(meshOf(tool.parts[0]!));
    expect(tool.datum?.kind).toBe('end');
    expect(tool.datum?.distance).toBeCloseTo(72.5, 9);
    // The ledge under the tube's end is 3 mm thick and stands on the bed.
    expect(facts.bounds.max[2]! - 3).toBeCloseTo(72.5, 4);
  });

  test('round a bend it comes in two parts, each flat on the bed, parted on the plane of the bend', () => {
    const tool = made(
      gauge('{ straight: 30 }, { bend: { clr: 80, angle: 90, toward: up } }, { straight: 100 }', 'into-bend: 60'),
    ).tools[0]!;
    expect(tool.parts.map((part) => part.name)).toEqual(['tube-end-marking-gauge-a', 'tube-end-marking-gauge-b']);
    for (const part of tool.parts) expect(checkMesh(meshOf(part)).shells).toBe(1);
  });

  test('a curved cut has no flat face to mark along', () => {
    const text = coped(SECTIONS.round, 'datum: stock').replace(
      'notch-collar: { end: branch.end, datum: stock }',
      'marking-gauge: branch.end',
    );
    expect(tried(text).problems.map((problem) => problem.code)).toContain('tool/not-flat');
  });
});

describe('a revision mark', () => {
  const mark = (text: string): string => made(text).tools[0]!.revision;
  const base = coped(SECTIONS.round, 'datum: stock');

  test('stays when nothing that shapes the tool changes, in other units too', () => {
    expect(mark(base.replace('job: t', 'job: other'))).toBe(mark(base));
    expect(mark(base.replace('od: 40,', 'od: 40mm,'))).toBe(mark(base));
  });

  test.each([
    ['the branch', 'od: 40,', 'od: 40.1,'],
    ['the run', 'od: 90,', 'od: 90.2,'],
    ['the fit', 'sections:', 'shop: { fit: { slide: 0.35 } }\nsections:'],
  ])('changes with %s', (_, from, to) => {
    expect(mark(base.replace(from, to))).not.toBe(mark(base));
  });
});

test('of two parts one says which end it is for, the other how far its datum is', () => {
  const { tools } = made(`job: t
sections: { s: { kind: round, od: 30, wall: 2 }, r: { kind: round, od: 40, wall: 2 } }
members:
  run: { section: r, points: [[200, -100, 0], [200, 100, 0]] }
  m: { section: s, points: [[0, 0, 0], [200, 0, 0]] }
joints: [{ cope: { branch: m.end, run: run } }]
tools: [{ notch-collar: { end: m.end, parts: 2 } }]
`);
  const [first, second] = tools[0]!.parts.map(({ solid }) => JSON.stringify(solid));
  expect(first).toContain('"m.end"');
  expect(second).toContain('"stock 20 mm"');
});
