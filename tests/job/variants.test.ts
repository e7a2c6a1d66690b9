import { describe, expect, it } from 'vitest';
import { loadJob } from '../../src/job/load.ts';
import { variantsOf } from '../../src/job/variants.ts';

const JOB = `job: rail
sections:
  tube: { kind: round, od: 30, wall: 2 }
members:
  rail: { section: tube, points: [[0, 0, 0], [300, 0, 0]] }
joints:
  - trim: { end: rail.end, at: 280 }
`;
const withVariants = (...lines: readonly string[]): string =>
  `${JOB}variants:\n${lines.map((line) => `  ${line}\n`).join('')}`;

describe('the variants of a job', () => {
  it('are named in the order of the file', () => {
    expect(variantsOf(withVariants('wide: {}', 'narrow: { sections.tube.od: 25 }', '10a: {}'))).toEqual([
      'wide',
      'narrow',
      '10a',
    ]);
    expect(variantsOf(JOB)).toEqual([]);
    expect(variantsOf(`${JOB}variants: 3`)).toEqual([]);
    expect(variantsOf(`${JOB}variants: [`)).toEqual([]);
  });

  it('put their values over the file, and sets go over both', () => {
    const text = withVariants('narrow: { sections.tube.od: 25, joints.0.trim.at: 250, shop.fit.slide: 0.2 }');
    const { value, problems } = loadJob(text, { variant: 'narrow', sets: ['joints.0.trim.at=240'] });
    expect(problems).toEqual([]);
    expect(value).toMatchObject({
      name: 'rail-narrow',
      sections: [{ actual: { od: 25 } }],
      joints: [{ where: { distance: 240 } }],
      shop: { fit: { slide: 0.2 } },
    });
    expect(loadJob(text).value).toMatchObject({ name: 'rail', sections: [{ actual: { od: 30 } }] });
  });

  it.each([
    ['bad: { sections.tube.od: -25 }', 'field/out-of-range', '-25'],
    ['bad: { sections.pipe.od: 25 }', 'set/path', '25'],
    ['bad: { members.rail.points.7.0: 25 }', 'set/path', '25'],
    ['bad: { job: other }', 'set/path', 'other'],
    ['bad: { units: in }', 'set/path', 'in }'],
    ['bad: { members.rail.points: [[0, 0, 0], [0, 0, x]] }', 'unit/unreadable', 'x'],
  ])('in %s have a problem where the variant writes it', (line, code, where) => {
    const { value, problems } = loadJob(withVariants(line), { variant: 'bad' });
    expect(value).toBeUndefined();
    const [problem] = problems;
    expect(problems).toHaveLength(1);
    expect(problem).toMatchObject({ code, at: { line: 9, col: 3 + line.indexOf(where) } });
    expect(problem?.path.slice(0, 2)).toEqual(['variants', 'bad']);
  });

  it('are no place for a name that is none, or a value that is no table', () => {
    for (const line of ['a b: {}', 'wide: 3', 'wide: [1]']) expect(loadJob(withVariants(line)).value).toBeUndefined();
  });

  it('blame a set that went over them, not the variant', () => {
    const { problems } = loadJob(withVariants('a: { sections.tube.od: 25 }'), {
      variant: 'a',
      sets: ['sections.tube.od=-1'],
    });
    expect(problems[0]).toMatchObject({ path: ['sections', 'tube', 'od'], message: expect.stringContaining('--set') });
  });
});
