import { describe, expect, test } from 'vitest';
import { codesOf, movedInJob, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, tried } from '../support/tools.ts';

const job = (of: string, more = ''): string => `
job: t
${more}
sections:
  s: { kind: round, od: 30, wall: 2 }
  box: { kind: square, side: 40, wall: 2 }
members:
  a: { section: s, points: [[0, 0, 0], [400, 0, 0]] }
  b: { section: box, points: [[400, 80, 0], [0, 80, 0]], up: [0, 0, 1] }
  c: { section: s, points: [[0, 160, 15], [400, 160, 15]] }
  skew: { section: s, points: [[0, 80, 60], [400, 90, 60]] }
  bent: { section: s, points: [[0, -80, 0], [200, -80, 0], [400, -300, 0]], clr: 80 }
  beside: { section: s, points: [[0, 34, 0], [400, 34, 0]] }
  over: { section: s, points: [[0, 17, 30], [400, 17, 30]] }
joints: []
tools: [{ spacer: ${of} }]
`;

describe('a spacer', () => {
  test('holds tubes of several sections at their solved centers, dropped on from above', () => {
    const [proved] = toolsOf(kernel, made(job('{ of: [a, b, c], at: 150 }')).solution.job).values();
    const proof = prove(kernel, proved!);
    expect(proof.problems).toEqual([]);
    const [part] = proved!.tool.parts;
    expect(part!.tubes).toHaveLength(3);
    expect(part!.tubes.every(({ insertion }) => insertion.kind === 'lift' && insertion.out[2] < -0.9)).toBe(true);
    expect(proved!.tool.facts.slice(0, 2).map(({ value }) => value)).toEqual([80, Math.hypot(80, 15)]);
    // One notch half a millimeter off: its tube no longer goes in.
    const off = movedInJob(proved!, ([x, y, z]) => (y > 120 ? [x, y + 0.5, z] : undefined));
    expect(codesOf(prove(kernel, off))).toEqual(expect.arrayContaining(['proof/clearance']));
    // The back bowed: it sets no line.
    const bowed = movedInJob(proved!, ([x, y, z]) => [x, y, z + 1e-5 * (y - 80) ** 2]);
    expect(codesOf(prove(kernel, bowed))).toContain('proof/datum');
  });

  test.each([
    ['[a, skew]', 'tool/cannot-build'],
    ['[a, bent], at: 195', 'tool/crosses-bend'],
    ['[a, b], at: 500', 'tool/crosses-bend'],
    ['[a, a]', 'tool/cannot-build'],
    ['[a, beside, over]', 'tool/cannot-insert'],
    ['[a, nobody]', 'reference/unknown'],
  ])('of %s is refused by name', (of, code) => {
    expect(tried(job(`{ of: ${of} }`)).problems.map((problem) => problem.code)).toEqual([code]);
  });
});
