import { describe, expect, test } from 'vitest';
import { type Solved, solveText } from '../../src/cli/pipeline.ts';
import type { Problem } from '../../src/job/problem.ts';
import type { Member } from '../../src/solve/solution.ts';

interface Rail {
  readonly run: string;
  readonly goal: string;
  readonly units?: 'mm' | 'in';
  readonly shop?: string;
}

/** A rail from the origin along x with up z, beside a post at x 500; run on line 7, goal on line 8. */
const job = ({ run, goal, units = 'mm', shop = '{}' }: Rail): string => `job: t
units: ${units}
shop: ${shop}
sections: { t: { kind: round, od: 30mm, wall: 2mm } }
members:
  rail: { section: t, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [
    ${run}
    ], goal: ${goal} }
  post: { section: t, points: [[500mm, 0, 0], [500mm, 0, 600mm]] }
`;

const solve = (rail: Rail): Solved => solveText({ text: job(rail), sets: [] });

function only(rail: Rail): Problem {
  const { problems } = solve(rail);
  expect(problems.map(({ code }) => code)).toHaveLength(1);
  expect(`${problems[0]!.message} ${problems[0]!.hint}`).not.toMatch(/undefined|NaN|\[object|Infinity/);
  return problems[0]!;
}

const railOf = ({ solution, problems }: Solved): Member => {
  if (!solution) expect.fail(problems.map(({ message }) => message).join('\n'));
  return solution.members[0]!;
};

const UP = '{ straight: 100 }, { bend: { clr: 76, angle: solve, toward: up } }, { straight: 200 }';
const JOG = (angle: string): string =>
  `{ straight: 100 }, { bend: { clr: 76, angle: ${angle}, toward: right } }, { straight: solve }, { bend: { clr: 76, angle: solve a, toward: left } }, { straight: 50 }`;
const height = (z: number | string): string => `{ on-plane: { at: [0, 0, ${z}], normal: [0, 0, 1] } }`;
const aside = (y: number): string => `{ on-line: { at: [0, ${-y}, 0], direction: [1, 0, 0] } }`;

describe('too few goals', () => {
  test('say which numbers stay free, and how many more are needed', () => {
    const problem = only({
      run: '{ straight: solve }, { bend: { clr: 76, angle: solve, toward: up } }, { straight: solve }',
      goal: height(160),
    });
    expect(problem).toMatchObject({ code: 'unknown/too-many', severity: 'error', measured: 3, limit: 1 });
    expect(problem.message).toContain('fix 1 of its 3 values to solve');
    expect(problem.message).toContain('bend angle in run item 2');
    expect(problem.hint).toContain('add goals that fix 2 more');
  });

  test('name only what is free: straights along each other, with the bend between fixed', () => {
    const problem = only({
      run: '{ straight: solve }, { straight: solve }, { bend: { clr: 76, angle: solve, toward: up } }, { straight: 50 }',
      goal: `[{ heading: [0, 0, 1] }, { on-plane: { at: [300, 0, 0], normal: [1, 0, 0] } }]`,
    });
    expect(problem.code).toBe('unknown/too-many');
    expect(problem.message).toContain('straight in run item 1 and straight in run item 2 stay free');
    expect(problem.hint).toContain('add goals that fix 1 more');
  });

  test('are seen where only this goal leaves a number free: a rotation about the line on which the end shall lie', () => {
    const problem = only({
      run: '{ straight: 100 }, { bend: { clr: 50, angle: 90, toward: solve } }, { straight: 50 }, { bend: { clr: 50, angle: 90, plane-of-bend: 180 } }, { straight: solve }',
      goal: '{ on-plane: { at: [400, 0, 0], normal: [1, 0, 0] } }',
    });
    expect(problem.code).toBe('unknown/too-many');
    expect(problem.message).toContain('toward in run item 2 stays free');
  });

  test('more values than are solved together are refused', () => {
    const item = '{ straight: solve }, { bend: { clr: 50, angle: solve, toward: solve } }';
    const problem = only({ run: Array.from({ length: 5 }, () => item).join(', '), goal: '{ up: [0, 0, 1] }' });
    expect(problem).toMatchObject({ code: 'field/out-of-range', measured: 15, limit: 12 });
  });

  test('none at all is told by itself', () => {
    const text = job({ run: UP, goal: '{ after: 1 }' }).replace(/, goal: .*/, ' }');
    const { problems } = solveText({ text, sets: [] });
    expect(problems.map(({ code, at }) => [code, at?.line])).toEqual([['unknown/no-goal', 7]]);
  });
});

describe('goals that clash', () => {
  test('are told with what the best compromise misses of each', () => {
    const problem = only({
      run: '{ straight: solve }, { bend: { clr: 76, angle: 90, toward: up } }, { straight: 100 }',
      goal: '[{ on-plane: { at: [300, 0, 0], normal: [1, 0, 0] } }, { spacing: { from: post, is: 300 } }]',
    });
    // At 300 the post is 200 away, at 200 it is 300: half way, both are 50 off.
    expect(problem).toMatchObject({ code: 'unknown/goals-clash', severity: 'error' });
    expect(problem.message).toContain('misses on-plane by 50 mm and spacing by 50 mm');
    expect(problem.measured).toBeCloseTo(50, 6);
    expect(problem.hint).toContain('without on-plane or spacing the others can be met');
  });

  test('are told in inches in a job of inches, and degrees as degrees', () => {
    const problem = only({
      units: 'in',
      run: '{ straight: 4 }, { bend: { clr: 3, angle: solve, toward: up } }, { straight: solve }',
      goal: '[{ heading: [0, 0, 1] }, { on-point: [8, 0, 12] }]',
    });
    expect(problem.message).toMatch(/heading by [\d.]+ deg and on-point by [\d.]+ in/);
  });

  test('that agree but for the figures they are written to are met as nearly as can be, with a warning', () => {
    const solved = solve({
      run: '{ straight: 100 }, { bend: { clr: 50, angle: 45, toward: up } }, { straight: solve }',
      goal: '{ on-point: [206.066, 0, 85.356] }',
    });
    expect(solved.problems).toMatchObject([{ code: 'unknown/goals-clash', severity: 'warning' }]);
    expect(solved.problems[0]!.message).toMatch(/met but for on-point by 0\.000\d+ mm/);
    expect(railOf(solved).solved[0]!.value).toBeCloseTo(100, 2);
  });

  test('in a run of numbers only are told as checks that fail', () => {
    const problem = only({
      run: '{ straight: 100 }, { bend: { clr: 50, angle: 45, toward: up } }, { straight: 10 }',
      goal: height(85.356),
    });
    expect(problem.code).toBe('unknown/none');
    expect(problem.message).toContain('misses on-plane by 63.6');
  });
});

describe('goals out of reach', () => {
  test('tell the nearest it comes, and the clr that would do: a half turn of clr 40 rises 80, 112 takes 56', () => {
    const problem = only({
      run: '{ straight: 100 }, { bend: { clr: 40, angle: solve, toward: up } }',
      goal: height(112),
    });
    expect(problem).toMatchObject({ code: 'unknown/no-solution', at: { line: 7 } });
    expect(problem.message).toContain(
      'the nearest it comes misses on-plane by 32 mm, with bend angle in run item 2 180 deg',
    );
    expect(problem.hint).toContain('a clr of 56 mm would do');
    expect(problem.measured).toBeCloseTo(32, 6);
  });

  test('tell what would do in the unit of the job', () => {
    const problem = only({
      units: 'in',
      run: '{ straight: 4 }, { bend: { clr: 2, angle: solve, toward: up } }',
      goal: height(5),
    });
    expect(problem.message).toContain('misses on-plane by 1 in');
    expect(problem.hint).toMatch(/a clr of 2\.5\d* in would do/);
  });

  test('never give a negative straight: what it would have to be is told', () => {
    const problem = only({
      run: '{ straight: 100 }, { bend: { clr: 76, angle: 90, toward: up } }, { straight: solve }',
      goal: height(60),
    });
    expect(problem.code).toBe('unknown/no-solution');
    expect(problem.message).toContain('straight in run item 3 would have to be -16 mm');
    expect(problem.hint).toMatch(/a clr of (60|59\.9) mm would do/);
  });

  test('never give a bend of nothing or of more than half a turn', () => {
    const problem = only({ run: UP.replace('200', '100'), goal: height(0) });
    expect(problem.message).toContain('would have to be 0, no bend at all');
    expect(problem.message).toMatch(/would have to be \d+(\.\d+)? deg, or \d+(\.\d+)? deg the other way/);
  });

  test('of a straight that another member does not have are told at the field', () => {
    const problem = only({
      run: '{ straight: solve }, { bend: { clr: 50, angle: 90, toward: up } }',
      goal: '{ spacing: { from: post, straight: 3, is: 80 } }',
    });
    expect(problem).toMatchObject({ code: 'field/out-of-range', at: { line: 8 }, measured: 3, limit: 1 });
  });
});

/** Of 76 (1 - cosA) + 200 sinA = 280 the lesser and the greater angle: 200 sinA - 76 cosA = 204. */
const [LEAST, MOST] = [1, -1].map((sign) => {
  const lag = Math.atan2(76, 200);
  const rise = Math.asin(204 / Math.hypot(76, 200));
  return ((sign > 0 ? rise + lag : Math.PI - rise + lag) * 180) / Math.PI;
}) as [number, number];

describe('several answers', () => {
  test('are all listed, and the one with the least bend is taken, which the warning says', () => {
    const solved = solve({ run: UP, goal: height(280) });
    expect(solved.problems).toMatchObject([{ code: 'unknown/two-solutions', severity: 'warning', measured: 2 }]);
    const { message, hint } = solved.problems[0]!;
    expect(message).toMatch(/bend angle in run item 2 93\.26\d* deg .*; bend angle in run item 2 128\.3\d* deg/);
    expect(message).toContain('the first is taken, it has the least bend in all');
    expect(hint).toMatch(/near: 128/);
    const rail = railOf(solved);
    expect(rail.solved[0]!.value).toBeCloseTo(LEAST, 9);
    expect(rail.solving).toMatchObject({ by: 'least bend', others: [{ solved: [{ unit: 'deg' }] }] });
  });

  test.each([
    ['near: 130', MOST],
    ['near: 100', LEAST],
    ['between: [100, 180]', MOST],
    ['between: [10, 100]', LEAST],
  ])('one is chosen by { %s }', (wish, deg) => {
    const solved = solve({ run: UP.replace('solve', `{ ${wish} }`), goal: height(280) });
    expect(solved.problems).toEqual([]);
    expect(railOf(solved).solved[0]!.value).toBeCloseTo(deg, 9);
  });

  test('outside what is wanted are told as answers that are not wanted', () => {
    const problem = only({ run: UP.replace('solve', '{ between: [10, 50] }'), goal: height(280) });
    expect(problem.code).toBe('unknown/no-solution');
    expect(problem.message).toContain(`${LEAST.toFixed(3)} deg, not between 10 deg and 50 deg`);
  });

  test('a side of the tube is wanted clockwise from the first to the second, over up too', () => {
    const run = (wish: string): string =>
      `{ straight: 100 }, { bend: { clr: 50, angle: 90, toward: ${wish} } }, { straight: 60 }`;
    // Up and a little to the left or right: both are 90 above at a side of acos(90/110) either way.
    const goal = height(90);
    const side = (Math.acos(90 / 110) * 180) / Math.PI;
    expect(railOf(solve({ run: run('{ between: [300, 0] }'), goal })).solved[0]!.value).toBeCloseTo(360 - side, 8);
    expect(railOf(solve({ run: run('{ between: [350, 60] }'), goal })).solved[0]!.value).toBeCloseTo(side, 8);
    expect(railOf(solve({ run: run('{ near: left }'), goal })).solved[0]!.value).toBeCloseTo(360 - side, 8);
  });
});

describe('a bend chosen from stock', () => {
  test('is the one with which the goals are met, and the report says why the others are not', () => {
    // 2 clr (1 - cosA) + s sinA = 112: at 90 deg the two bends alone carry 152.
    const solved = solve({ run: JOG('{ solve: a, one-of: [45, 90] }'), goal: aside(112) });
    expect(solved.problems).toEqual([]);
    const rail = railOf(solved);
    expect(rail.solved.map(({ value }) => value)).toEqual([
      45,
      expect.closeTo((112 - 152 * (1 - Math.SQRT1_2)) / Math.SQRT1_2, 9),
    ]);
    expect(rail.solving!.tried).toEqual([{ choice: '90 deg', why: 'straight in run item 3 would have to be -40 mm' }]);
    expect(rail.solving!.wanted).toEqual(['bend angle a in run items 2, 4 one of 45 deg, 90 deg']);
  });

  test('tells of each choice the answer that came nearest to what is wanted', () => {
    const solved = solve({
      run: JOG('{ solve: a, one-of: [30, 45, 60] }').replace('straight: solve', 'straight: { between: [80, 100] }'),
      goal: aside(112),
    });
    const tried = railOf(solved).solving!.tried.map(({ choice, why }) => `${choice}: ${why}`);
    expect(tried).toEqual([
      expect.stringMatching(
        /^30 deg: straight in run item 3 would have to be 183\.\d+ mm, not between 80 mm and 100 mm$/,
      ),
      expect.stringMatching(
        /^60 deg: straight in run item 3 would have to be 41\.\d+ mm, not between 80 mm and 100 mm$/,
      ),
    ]);
  });

  test('that leaves several is listed, and near picks', () => {
    const list = 'one-of: [30, 45, 60, 90]';
    const some = solve({ run: JOG(`{ solve: a, ${list} }`), goal: aside(112) });
    expect(some.problems).toMatchObject([{ code: 'unknown/two-solutions', measured: 3 }]);
    expect(some.problems[0]!.hint).toContain('add for instance near: 45');
    const one = solve({ run: JOG(`{ solve: a, near: 60, ${list} }`), goal: aside(112) });
    expect(one.problems).toEqual([]);
    expect(railOf(one).solved[0]!.value).toBe(60);
  });

  test('that never does is told choice by choice, with what would do if it were in stock', () => {
    const run = '{ straight: 100 }, { bend: { clr: 76, angle: { one-of: [30, 60] }, toward: up } }, { straight: 100 }';
    const problem = only({ run, goal: height(80) });
    expect(problem.code).toBe('unknown/no-solution');
    const at = (deg: number): number =>
      76 * (1 - Math.cos((deg * Math.PI) / 180)) + 100 * Math.sin((deg * Math.PI) / 180);
    expect(problem.message).toContain(`30 deg: misses on-plane by ${(80 - at(30)).toFixed(3)} mm`);
    expect(problem.message).toContain(`60 deg: misses on-plane by ${(at(60) - 80).toFixed(3)} mm`);
    expect(at(39.06)).toBeCloseTo(80, 2);
    expect(problem.hint).toMatch(/bend angle in run item 2 39\.06\d* deg would do/);
  });

  test('two lists are tried together', () => {
    const run =
      '{ straight: 100 }, { bend: { clr: 76, angle: { one-of: [30, 45] }, toward: up } }, { straight: solve }, { bend: { clr: 76, angle: { one-of: [15, 45] }, toward: down } }, { straight: 50 }';
    const solved = solve({ run, goal: '{ on-plane: { at: [0, 0, 90], normal: [0, 0, 1] }, heading: [1, 0, 0] }' });
    expect(solved.problems).toEqual([]);
    expect(railOf(solved).solved.map(({ value }) => value)).toEqual([45, expect.any(Number), 45]);
    expect(railOf(solved).solving!.tried.map(({ choice }) => choice)).toEqual([
      '30 deg and 15 deg',
      '30 deg and 45 deg',
      '45 deg and 15 deg',
    ]);
  });

  test('from lists too long together is refused', () => {
    const item = '{ straight: 30 }, { bend: { clr: 50, angle: { one-of: [30, 45, 60] }, toward: up } }';
    const problem = only({ run: Array.from({ length: 7 }, () => item).join(', '), goal: '{ up: [0, 0, 1] }' });
    expect(problem).toMatchObject({ code: 'field/out-of-range', measured: 3 ** 7, limit: 900 });
  });
});

describe('a measured bend', () => {
  const run = (measured: string, next = 'solve'): string =>
    `{ straight: 100 }, { bend: { clr: 76, angle: 60, toward: up${measured} } }, { straight: ${next} }, { bend: { clr: 76, angle: 60, toward: down } }, { straight: 80 }`;

  test('is followed by the layout, and what is still to solve is solved around it', () => {
    const nominal = railOf(solve({ run: run(''), goal: height(200) }));
    const measured = railOf(solve({ run: run(', measured: { angle: 58.5, clr: 75.4 }'), goal: height(200) }));
    const [first] = measured.centerline.segments.filter((segment) => segment.kind === 'bend');
    expect(first).toMatchObject({ clr: 75.4, bendAngleDeg: 58.5, nominal: { clr: 76, bendAngleDeg: 60 } });
    expect(measured.centerline.end.origin[2]).toBeCloseTo(200, 9);
    expect(nominal.centerline.end.origin[2]).toBeCloseTo(200, 9);
    expect(Math.abs(measured.solved[0]!.value - nominal.solved[0]!.value)).toBeGreaterThan(1);
  });

  test('far from what was asked is warned of', () => {
    const { problems } = solve({ run: run(', measured: { angle: 48, clr: 60 }'), goal: height(200) });
    expect(problems.map(({ code, severity, measured, limit }) => [code, severity, measured, limit])).toEqual([
      ['bend/measured', 'warning', 48, 60],
      ['bend/measured', 'warning', 60, 76],
    ]);
  });

  test('is carried into a mirror image', () => {
    const text = `${job({ run: run(', measured: { angle: 58.5 }'), goal: height(200) })}  twin: { mirror: rail, across: { normal: [0, 1, 0] } }\n`;
    const { solution } = solveText({ text, sets: [] });
    const [first] = solution!.members
      .find(({ name }) => name === 'twin')!
      .centerline.segments.filter((s) => s.kind === 'bend');
    expect(first).toMatchObject({ bendAngleDeg: 58.5, nominal: { bendAngleDeg: 60 } });
  });
});

describe('a segmented elbow', () => {
  test('has its angle solved like a bend, and counts its straight pieces in the developed length', () => {
    const run = '{ straight: 100 }, { elbow: { clr: 76, angle: solve, welds: 3, toward: up } }, { straight: 120 }';
    const { solution, problems } = solve({ run, goal: height(150) });
    expect(problems).toEqual([]);
    const [elbow] = solution!.elbows;
    const turn = (elbow!.bendAngleDeg * Math.PI) / 180;
    expect(76 * (1 - Math.cos(turn)) + 120 * Math.sin(turn)).toBeCloseTo(150, 9);
    const long = 100 + 6 * 76 * Math.tan(turn / 6) + 120;
    const again = solve({ run: run.replace('120', 'solve'), goal: `[${height(150)}, { developed-length: ${long} }]` });
    const pieces = again.solution!.members.filter(({ name }) => name.startsWith('rail'));
    expect(pieces.reduce((sum, { centerline }) => sum + centerline.length, 0)).toBeCloseTo(long, 6);
  });
});
