import { describe, expect, test } from 'vitest';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { codesOf, movedInJob, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, meshOf, tried, vertices } from '../support/tools.ts';

const job = (angle: number, length = 80): string => `
job: t
sections: { s: { kind: round, od: 40, wall: 2 } }
members: { m: { section: s, points: [[0, 0, 0], [200, 0, 0]] } }
tools: [{ angle-block: { angle: ${angle}, length: ${length} } }]
`;

describe('an angle block', () => {
  test.each([5, 22.5, 45, 90, 120, 170])('of %d deg is a closed wedge whose two faces are measured flat', (angle) => {
    const { solution } = made(job(angle));
    const [proved] = toolsOf(kernel, solution.job).values();
    const proof = prove(kernel, proved!);
    expect(proof.problems).toEqual([]);
    expect(proof.parts[0]!.faceDeviation).toBeLessThan(1e-4);
    const off = movedInJob(proved!, ([x, y, z]) => [x + 0.02 * y, 1.02 * y, z]);
    expect(codesOf(prove(kernel, off))).toContain('proof/datum');
  });

  test('has the volume of a triangle less its corner', () => {
    const { tools } = made(job(30, 100));
    const { volume } = checkMesh(meshOf(tools[0]!.parts[0]!));
    const whole = ((100 * 100 - 4 * 4) / 2) * Math.sin(Math.PI / 6) * 12;
    expect(volume).toBeLessThan(whole);
    expect(volume).toBeGreaterThan(0.98 * whole);
  });

  const framed = (block: string, bed = '[220, 220, 220]'): string => `
job: t
shop: { printer: { bed: ${bed} } }
sections: { s: { kind: round, od: 40, wall: 2 } }
members:
  m: { section: s, points: [[0, 0, 0], [200, 0, 0], [400, 200, 0]], clr: 90 }
  back: { section: s, start: { at: [0, 300, 0], heading: [1, 0, 0] }, run: [{ straight: 50 }, { bend: { clr: 90, angle: 180, toward: up } }, { straight: 50 }] }
joints: [{ trim: { end: m.start, at: 40, miter: 22.5 } }]
tools: [{ angle-block: ${block} }]
`;

  test.each([
    ['{ of: m }', 135, 'm bend 1'],
    ['{ cut: m.start }', 67.5, 'm.start'],
  ])('%s takes its angle from the layout', (block, angle, what) => {
    const { solution, tools } = made(framed(block));
    expect(tools[0]!.facts[0]!.value).toBeCloseTo(angle, 9);
    expect(tools[0]!.for).toBe(what);
    const [proved] = toolsOf(kernel, solution.job).values();
    expect(prove(kernel, proved!).problems).toEqual([]);
  });

  test('for a bend leaves its corner to the inside of the bend', () => {
    const { tools } = made(framed('{ of: m, length: 50 }'));
    const features = tools[0]!.parts[0]!.features.flatMap((x) => (x.kind === 'face' ? [x.plane] : []));
    const [p, q] = features.map(({ point, normal }) => point[0] * normal[0] + point[1] * normal[1]);
    const [m, n] = features.map(({ normal }) => normal);
    // Where the two faces' lines meet; both are so far from it as the bend's inside, radius 70, is tangent: 70 tan 22.5.
    const det = m![0] * n![1] - m![1] * n![0];
    const corner = [(p! * n![1] - q! * m![1]) / det, (m![0] * q! - n![0] * p!) / det];
    // At the height where the foot's chamfer ends, the corners are those of the faces.
    const points = vertices(meshOf(tools[0]!.parts[0]!)).filter(([, , z]) => Math.abs(z - 0.5) < 1e-6);
    const nearest = Math.min(...points.map((x) => Math.hypot(x[0] - corner[0]!, x[1] - corner[1]!)));
    expect(nearest).toBeGreaterThan(70 * Math.tan(Math.PI / 8));
    expect(nearest).toBeLessThan(70 * Math.tan(Math.PI / 8) + 3);
  });

  test.each([
    ['{ of: m, bend: 2 }', 'tool/cannot-build'],
    ['{ of: back }', 'tool/cannot-build'],
    ['{ cut: m.end }', 'tool/not-flat'],
    ['{ of: m, angle: 30 }', 'field/conflict'],
    ['{ of: nobody }', 'reference/unknown'],
  ])('%s is refused by name', (block, code) => {
    expect(tried(framed(block)).problems.map((problem) => problem.code)).toEqual([code]);
  });
});
