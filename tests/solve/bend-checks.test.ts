import { describe, expect, test } from 'vitest';
import { solveText } from '../../src/cli/pipeline.ts';
import type { Problem } from '../../src/job/problem.ts';

const job = (bender: string, member: string, units = 'mm'): string => `job: t
units: ${units}
shop: { bender: ${bender} }
sections: { t: { kind: round, od: 30mm, wall: 2mm }, oval: { kind: flat-oval, width: 80mm, height: 40mm, wall: 2mm } }
members:
  rail: ${member}
`;

const problemsOf = (text: string): readonly Problem[] => solveText({ text, sets: [] }).problems;

const START = 'section: t, start: { heading: [1, 0, 0], up: [0, 0, 1] }';
const RUN = `{ ${START}, run: [{ straight: 50 }, { bend: { clr: 60, angle: 45, toward: up } }, { straight: 25 }, { bend: { clr: 60, angle: 45, toward: down } }, { straight: 35 }] }`;

describe('the bender', () => {
  test('needs straights to hold: short ends are warned of, a short one between bends cannot be made', () => {
    const told = problemsOf(job('{ grip: 60 }', RUN));
    expect(told.map(({ code, severity, measured, limit }) => [code, severity, measured, limit])).toEqual([
      ['bend/grip', 'warning', 50, 60],
      ['bend/grip', 'error', expect.closeTo(25, 9), 60],
      ['bend/grip', 'warning', expect.closeTo(35, 9), 60],
    ]);
    expect(told.map(({ message }) => message)).toEqual([
      expect.stringContaining('the straight before bend 1 of "rail" is 50 mm; the bender needs 60 mm'),
      expect.stringContaining('the straight between bends 1 and 2 of "rail" is 25 mm'),
      expect.stringContaining('the straight behind bend 2 of "rail" is 35 mm'),
    ]);
    expect(told[0]!.hint).toContain('leave 10 mm more on the raw tube');
    expect(told[1]!.hint).toContain('lengthen it by 35 mm');
  });

  test('may need another straight at each place, and one that is just long enough is enough', () => {
    expect(problemsOf(job('{ first: 50, between: 25, last: 35 }', RUN))).toEqual([]);
    expect(problemsOf(job('{ grip: 60, first: 0, between: 0 }', RUN)).map(({ measured }) => measured)).toEqual([
      expect.closeTo(35, 9),
    ]);
  });

  test('makes no bend tighter than its die, whatever the bend came out as', () => {
    const told = problemsOf(job('{ clr: 76 }', RUN));
    expect(told.map(({ code, measured, limit }) => [code, measured, limit])).toEqual([
      ['bend/tighter-than-bender', 60, 76],
      ['bend/tighter-than-bender', 60, 76],
    ]);
    const sprung = `{ ${START}, run: [{ straight: 50 }, { bend: { clr: 76, angle: 45, toward: up, measured: { clr: 75.2 } } }] }`;
    expect(problemsOf(job('{ clr: 76 }', sprung))).toEqual([]);
  });

  test('is asked about corners of points too, told at the corner, in inches', () => {
    const points = '{ section: t, points: [[0, 0, 0], [4, 0, 0], [4, 4, 0]], clr: 3 }';
    const told = problemsOf(job('{ grip: 2 }', points, 'in'));
    expect(told.map(({ path }) => path.slice(0, 4))).toEqual([
      ['members', 'rail', 'points', 1],
      ['members', 'rail', 'points', 1],
    ]);
    expect(told[0]!.message).toContain('is 1 in; the bender needs 2 in');
    expect(told[0]!.measured).toBeCloseTo(25.4, 9);
  });

  test('does not hold the welded pieces of an elbow', () => {
    const elbow = `{ ${START}, run: [{ straight: 70 }, { elbow: { clr: 60, angle: 90, welds: 2, toward: up } }, { straight: 10 }, { bend: { clr: 60, angle: 45, toward: up } }, { straight: 70 }] }`;
    expect(problemsOf(job('{ grip: 60 }', elbow)).map(({ message }) => message)).toEqual([
      expect.stringContaining('the straight before bend 2'),
    ]);
  });
});

describe('a tube that is not round', () => {
  test('is not bent tighter than half its size on the side that points or goals turn it to', () => {
    const points = (up: string): string =>
      `{ section: oval, points: [[0, 0, 0], [300, 0, 0], [300, 300, 0]], clr: 30, up: ${up} }`;
    expect(problemsOf(job('{}', points('[0, 1, 0]')))).toEqual([]);
    // Lying flat it bends the hard way: half of 80 is more than 30.
    expect(problemsOf(job('{}', points('[0, 0, 1]')))).toMatchObject([
      { code: 'bend/tighter-than-tube', measured: 30, limit: expect.closeTo(40, 9) },
    ]);
    const turned = (goal: string): string =>
      `{ section: oval, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 100 }, { bend: { clr: 30, angle: 90, toward: solve } }, { straight: 100 }], goal: { heading: ${goal} } }`;
    expect(problemsOf(job('{}', turned('[0, 0, 1]')))).toEqual([]);
    expect(problemsOf(job('{}', turned('[0, 1, 0]')))).toMatchObject([{ code: 'bend/tighter-than-tube' }]);
  });
});
