import { describe, expect, test } from 'vitest';
import { made, tried } from '../support/tools.ts';

const job = (tools: string, straight: number): string => `
job: t
sections: { s: { kind: round, od: 40, wall: 2 } }
members: { m: { section: s, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ bend: { clr: 2D, angle: 60, toward: up } }, { straight: ${straight} }, { bend: { clr: 2D, angle: 60, toward: right } }, { straight: 60 }] } }
joints: [{ trim: { end: m.end, at: ${(80 * Math.PI) / 3 + straight / 2}, miter: 20, long-point: 45 } }]
tools: ${tools}
`;

describe('tools: auto', () => {
  test('gives a flat cut a saw guide where there is room', () => {
    expect(made(job('auto', 200)).tools.map((tool) => tool.kind)).toEqual(['saw-guide']);
  });

  test('goes on without a tool where none fits, and says so; the same tool asked for by name is an error', () => {
    const auto = tried(job('auto', 6));
    expect(auto.tools).toEqual([]);
    expect(auto.problems.map(({ code, severity }) => ({ code, severity }))).toEqual([
      { code: 'tool/crosses-bend', severity: 'warning' },
    ]);
    const asked = tried(job('[{ saw-guide: m.end }]', 6));
    expect(asked.problems.map(({ code, severity }) => ({ code, severity }))).toEqual([
      { code: 'tool/crosses-bend', severity: 'error' },
    ]);
  });

  test('in a list stands for every cut end that the list names no tool for', () => {
    const text = job('[{ angle-block: { angle: 45 } }, auto]', 200);
    expect(made(text).tools.map((tool) => tool.kind)).toEqual(['angle-block', 'saw-guide']);
    expect(made(job('[auto, { marking-gauge: m.end }]', 200)).tools.map((tool) => tool.kind)).toEqual([
      'marking-gauge',
    ]);
    expect(made(job('[]', 200)).tools).toEqual([]);
    expect(tried(job('[autos]', 200)).problems.map(({ code }) => code)).toEqual(['field/wrong-type']);
  });

  test('one name for two tools is refused, in any case of letters', () => {
    const twice = tried(
      job('[{ saw-guide: { end: m.end, name: one } }, { notch-collar: { end: m.end, name: One } }]', 200),
    );
    expect(twice.problems.map((problem) => problem.code)).toContain('tool/duplicate-name');
  });
});
