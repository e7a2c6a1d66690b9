import { describe, expect, test } from 'vitest';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { codesOf, movedInJob, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, meshOf } from '../support/tools.ts';

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
});
