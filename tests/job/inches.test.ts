import { describe, expect, test } from 'vitest';
import { solveText } from '../../src/cli/pipeline.ts';
import { inJobUnits } from '../../src/job/wording.ts';

const problem = (message: string, code: 'joint/misses' | 'proof/slot' = 'joint/misses') =>
  ({ code, severity: 'error', path: [], message, hint: message, measured: 25.4, limit: 0 }) as const;
const told = (message: string): string => inJobUnits(problem(message), 'in').message;

describe('problems of a job in inches', () => {
  test('are told in inches: lengths, sizes, ranges and areas', () => {
    expect(told('ends 566.33 mm before "run"')).toBe('ends 22.296 in before "run"');
    expect(told('it is 50.8 x 25.4 x 254 mm')).toBe('it is 2 x 1 x 10 in');
    expect(told('0 to 12.7 mm, -2.54 mm')).toBe('0 to 0.5 in, -0.1 in');
    expect(told('leave 645.16 mm^2 in 2 places (322.58, 322.58 mm^2)')).toBe(
      'leave 1 in^2 in 2 places (0.5, 0.5 in^2)',
    );
    expect(told('bend 2, 25.4 mm on; 45 deg')).toBe('bend 2, 1 in on; 45 deg');
  });

  test('keep their measured numbers for machines, and prints stay in mm', () => {
    const { hint, measured } = inJobUnits(problem('1 mm'), 'in');
    expect({ hint, measured }).toEqual({ hint: '0.039 in', measured: 25.4 });
    expect(inJobUnits(problem('off by 0.03 mm', 'proof/slot'), 'in').message).toBe('off by 0.03 mm');
    expect(inJobUnits(problem('ends 5 mm short'), 'mm').message).toBe('ends 5 mm short');
  });

  test('are told so from the job file on', () => {
    const job = (units: string) => `
job: t
units: ${units}
sections: { t: { kind: round, od: 2in, wall: 16bwg } }
members:
  run: { section: t, points: [[0in, 0, 0], [20in, 0, 0]] }
  low: { section: t, points: [[10in, 0, 20in], [10in, 0, 6in]] }
joints: [{ cope: { branch: low.end, run: run } }]
`;
    expect(solveText({ text: job('in'), sets: [] }).problems[0]?.message).toContain('ends 5 in before');
    expect(solveText({ text: job('mm'), sets: [] }).problems[0]?.message).toContain('ends 127 mm before');
  });
});
