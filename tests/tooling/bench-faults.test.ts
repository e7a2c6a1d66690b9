import { describe, expect, test } from 'vitest';
import { readStl, stlBytes } from '../../src/export/stl.ts';
import { dot } from '../../src/geometry/vector.ts';
import { proveTool } from '../../src/proof/prove.ts';
import { kernel, made, meshOf } from '../support/tools.ts';

describe('faults found at the bench', () => {
  test('a guide never leans a mitered end on its stop: the long point would pass over the wall', () => {
    const { tools } = made(`
job: t
sections: { s: { kind: square, side: 40, wall: 3 } }
members: { a: { section: s, points: [[0, 0, 0], [160, 0, 0]], up: [0, 0, 1] } }
joints:
  - trim: { end: a.start, at: 10, miter: 30, long-point: up }
  - trim: { end: a.end, at: 100, miter: 30, long-point: left }
tools: [saw-guide: a.end]
`);
    expect(tools[0]!.datum?.kind).toBe('mark');
  });

  test.each(['up', 'down'])('a guide stands so that a tube that bends %s keeps off the table', (toward) => {
    const { tools } = made(`
job: t
sections: { s: { kind: round, od: 38.1, wall: 2 } }
members: { a: { section: s, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 200 }, { bend: { clr: 100, angle: 90, toward: ${toward} } }, { straight: 300 }] } }
joints: [{ trim: { end: a.start, at: 20, miter: 30, long-point: left } }]
tools: [saw-guide: a.start]
`);
    expect(dot(tools[0]!.parts[0]!.pose.z, [0, 0, 1])).toBeCloseTo(toward === 'up' ? 1 : -1, 9);
  });

  test('a spacing from an axis that is passed to the side is solved exactly: sqrt(350^2 - 100^2) - 76', () => {
    const { solution } = made(`
job: t
sections: { t: { kind: round, od: 30, wall: 2 } }
members:
  base: { section: t, points: [[0, 0, 0], [800, 0, 0]] }
  leg: { section: t, start: { at: [100, 100, 0], heading: [0, 0, 1], up: [1, 0, 0] }, run: [{ straight: solve }, { bend: { clr: 76, angle: 90, toward: up } }, { straight: 300 }], goal: { spacing: { from: base, is: 350 } } }
joints: [{ trim: { end: leg.end, at: 400 } }]
`);
    expect(solution.members.find((member) => member.name === 'leg')!.solved[0]!.value).toBeCloseTo(
      Math.sqrt(350 ** 2 - 100 ** 2) - 76,
      9,
    );
  });

  test('a brace in the plane of a mitered corner is coped to both tubes', () => {
    const { solution } = made(`
job: t
sections: { p: { kind: round, od: 42.4, wall: 2 }, d: { kind: round, od: 26.9, wall: 2 } }
members:
  post: { section: p, points: [[0, 0, 0], [0, 0, 500]] }
  top: { section: p, points: [[0, 0, 500], [500, 0, 500]] }
  brace: { section: d, points: [[180, 0, 320], [0, 0, 500]] }
joints: [{ miter: { ends: [post.end, top.start] } }, { cope: { branch: brace.end, run: [post, top] } }]
tools: [notch-collar: brace.end]
`);
    const end = solution.ends.find((candidate) => candidate.id === 'brace.end')!;
    expect(new Set(end.curves.outer.samples.map((sample) => sample.stop)).size).toBe(2);
  });

  test('square tubes of one size make a T: flush sides end on the side they meet', () => {
    const { solution } = made(`
job: t
sections: { p: { kind: square, side: 40, wall: 2 } }
members:
  p: { section: p, points: [[0, 0, 0], [0, 0, 500]] }
  r: { section: p, points: [[0, 0, 250], [300, 0, 250]] }
joints: [{ cope: { branch: r.start, run: p } }]
`);
    const s = solution.ends[0]!.curves.outer.samples.map((sample) => sample.s);
    // The flat is met 20 mm from the axis; flush sides run on to where the corner (radius 4) begins.
    expect(Math.max(...s)).toBeCloseTo(20, 6);
    expect(Math.min(...s)).toBeGreaterThan(15.9);
  });

  test('a sliver along a wall is no bore', () => {
    const { solution, tools } = made(`
job: t
sections: { tube: { kind: round, od: 41.275, wall: 1.65 } }
members: { arm: { section: tube, start: { at: [0, 0, 450], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 180 }, { bend: { clr: 76.2, angle: 60, toward: down } }, { straight: 150 }] } }
joints: [{ trim: { end: arm.end, into-bend: 45 } }]
tools: [saw-guide: arm.end]
`);
    const built = meshOf(tools[0]!.parts[0]!);
    const files = [
      { part: tools[0]!.parts[0]!.name, built, meshes: [{ format: 'stl', mesh: readStl(stlBytes(built)) } as const] },
    ];
    expect(proveTool(kernel, tools[0]!, solution, files).problems).toEqual([]);
  });
});
