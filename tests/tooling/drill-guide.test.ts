import { describe, expect, test } from 'vitest';
import type { Vec3 } from '../../src/geometry/vector.ts';
import { codesOf, movedInJob, type Proved, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, tried } from '../support/tools.ts';

const job = (tool: string): string => `
job: t
sections:
  s: { kind: round, od: 30, wall: 2 }
  box: { kind: rectangle, width: 60, height: 30, wall: 2 }
members:
  m: { section: s, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] }
  b: { section: box, points: [[0, 200, 0], [400, 200, 0]], up: [0, 0, 1] }
  bent: { section: s, points: [[0, 400, 0], [100, 400, 0], [100, 600, 0]], clr: 60 }
joints: [{ trim: { end: b.end, at: 300, miter: 20 } }]
tools: [{ drill-guide: { ${tool} } }]
`;

const provedOf = (tool: string): Proved => {
  const [proved] = toolsOf(kernel, made(job(tool)).solution.job).values();
  return proved!;
};

/** Corners of the hole of a guide on m, by their distance from an upright line at x. */
const holeMoved = (proved: Proved, x0: number, to: (p: Vec3) => Vec3): Proved =>
  movedInJob(proved, (p) => (Math.hypot(p[0] - x0, p[1]) < 5.4 && p[2] > 15.5 ? to(p) : undefined));

describe('a drill guide', () => {
  test('set by a stop has its hole at the distance asked for, square to the tube', () => {
    const proved = provedOf('on: m, at: 70, bush: 10');
    expect(proved.tool.datum).toEqual({ kind: 'end', s: 0, distance: 70 });
    const proof = prove(kernel, proved);
    expect(proof.problems).toEqual([]);
    expect(proof.parts[0]!.boreDeviation).toBeLessThan(1e-3);
    const feature = proved.tool.parts[0]!.features.find((x) => x.kind === 'bore');
    expect(feature).toMatchObject({ point: [70, 0, 15], axis: [0, 0, 1] });
    const aside = holeMoved(proved, 70, ([x, y, z]) => [x + 0.05, y, z]);
    expect(codesOf(prove(kernel, aside))).toContain('proof/bore');
    const leaning = holeMoved(proved, 70, ([x, y, z]) => [x, y + 0.005 * (z - 15), z]);
    expect(codesOf(prove(kernel, leaning))).toContain('proof/bore');
  });

  test('on a rectangle leans where it is asked to and is set to a scribed line', () => {
    const proved = provedOf('on: b, at: 150, toward: right, drill: 6, angle: 25');
    expect(proved.tool.datum!.kind).toBe('mark');
    expect(prove(kernel, proved).problems).toEqual([]);
    const feature = proved.tool.parts[0]!.features.find((x) => x.kind === 'bore');
    const [c, s] = [Math.cos((25 * Math.PI) / 180), Math.sin((25 * Math.PI) / 180)];
    // Right of a heading along x with z up is -y; the flat side lies 30 mm from the axis.
    expect(feature?.kind === 'bore' && feature.point[1]).toBeCloseTo(170, 9);
    expect(feature?.kind === 'bore' && feature.axis[0]).toBeCloseTo(s, 12);
    expect(feature?.kind === 'bore' && feature.axis[1]).toBeCloseTo(-c, 12);
  });

  test.each([
    ['on: bent, at: 60, drill: 5', 'tool/crosses-bend'],
    ['on: m, at: 200, drill: 5, datum: end', 'tool/cannot-build'],
    ['on: b, at: 270, drill: 5, datum: end', 'tool/cannot-build'],
    ['on: m, at: 200, drill: 29', 'tool/cannot-build'],
    ['on: m, at: 500, drill: 5', 'tool/crosses-bend'],
    ['on: m, at: 200, drill: 5, bush: 8', 'field/conflict'],
    ['on: m, at: 200, drill: 5, angle: 50', 'field/out-of-range'],
    ['on: nobody, at: 200, drill: 5', 'reference/unknown'],
  ])('%s is refused by name', (tool, code) => {
    expect(tried(job(tool)).problems.map((problem) => problem.code)).toEqual([code]);
  });
});
