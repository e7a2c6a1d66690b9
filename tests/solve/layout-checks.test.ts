import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { cosd, sind } from '../../src/geometry/angle.ts';
import type { Vec3 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Problem } from '../../src/job/problem.ts';
import { type Chunk, keptPoint, keptTube, leastBetween, nearness } from '../../src/solve/kept-tube.ts';
import { nearestPlace } from '../../src/solve/nearest-place.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';

interface Solved {
  readonly solution?: Solution;
  readonly problems: readonly Problem[];
}

function solved(text: string): Solved {
  const loaded = loadJob(text);
  if (!loaded.value) throw new Error(loaded.problems.map(({ message }) => message).join('; '));
  const { value, problems } = solveJob(loaded.value);
  return { ...(value ? { solution: value } : {}), problems: [...loaded.problems, ...problems] };
}

const SECTIONS = `
  tube: { kind: round, od: 40, wall: 2 }
  thin: { kind: round, od: 20, wall: 1.5 }
  box: { kind: square, side: 40, wall: 2, corner-radius: 4 }`;
const job = (members: string, more = ''): string => `job: t\nsections:${SECTIONS}\nmembers:\n${members}\n${more}`;
const tube = (name: string, points: string, section = 'tube'): string =>
  `  ${name}: { section: ${section}, points: ${points} }`;

const codes = ({ problems }: Solved): readonly string[] => problems.map(({ code }) => code);
const only = ({ problems }: Solved): Problem => {
  expect(problems.map(({ message }) => message)).toHaveLength(1);
  return problems[0]!;
};

describe('members that touch where no joint is', () => {
  test('two crossing tubes 32 mm apart between their axes: the nearer sides lie 8 mm inside (od 40)', () => {
    const problem = only(
      solved(job(`${tube('a', '[[-200, 0, 0], [200, 0, 0]]')}\n${tube('b', '[[0, -200, 32], [0, 200, 32]]')}`)),
    );
    expect(problem).toMatchObject({ code: 'layout/members-touch', severity: 'warning', limit: 0 });
    expect(problem.measured).toBeCloseTo(8, 1);
    expect(problem.message).toMatch(/a and b run into each other|b and a run into each other/);
    expect(problem.hint).toMatch(/move them apart/);
  });

  test('the depth told is that of the deepest place, also where the tubes are cut and the way down ends in a lesser dip', () => {
    const text = `job: t
sections:
  p: { kind: flat-oval, width: 48, height: 34, wall: 1.5 }
  s: { kind: square, side: 45, wall: 2, corner-radius: 0 }
  r: { kind: round, od: 50, wall: 2 }
members:
  r: { section: r, points: [[0, -400, 8], [0, 400, 0]] }
  a: { section: p, points: [[0, 0, 0], [119, 14, 0]], up: [0, 0, 1] }
  b: { section: s, points: [[115, -135, 41], [121, 65, -22]] }
joints: [{ cope: { branch: a.start, run: r } }]
`;
    const { problems } = solved(text);
    const [touch] = problems.filter(({ message }) => message.includes('a and b run into'));
    // The oval goes through the axis of the square: nothing lies deeper in it than half its side. One walk alone said 19.7.
    expect(touch!.measured).toBeGreaterThan(22.45);
    expect(touch!.measured).toBeLessThanOrEqual(22.5 + 1e-9);
  });

  test('side by side, one on the other, end to face, or end in a bore without touching is no problem', () => {
    const pairs = [
      ['[[0, 0, 0], [300, 0, 0]]', '[[0, 40, 0], [300, 40, 0]]', 'tube'],
      ['[[0, 0, 0], [300, 0, 0]]', '[[150, 0, 20], [150, 0, 300]]', 'tube'],
      ['[[0, 0, 0], [300, 0, 0]]', '[[150, -100, 40], [150, 300, 40]]', 'tube'],
      ['[[0, 0, 0], [300, 0, 0]]', '[[100, 3, 0], [500, 3, 0]]', 'thin'],
    ] as const;
    for (const [a, b, section] of pairs)
      expect(codes(solved(job(`${tube('a', a)}\n${tube('b', b, section)}`))), b).toEqual([]);
  });

  test('a smaller tube in the bore that comes out through the wall is told', () => {
    const inside = (z: number) =>
      solved(
        job(
          `${tube('a', '[[0, 0, 0], [300, 0, 0]]')}\n${tube('b', `[[100, 0, 0], [200, 0, ${z}], [500, 0, ${z}]]`, 'thin')}`.replace(
            'points: [[100',
            'clr: 40, points: [[100',
          ),
        ),
      );
    expect(codes(inside(6))).toEqual([]);
    expect(codes(inside(14))).toEqual(['layout/members-touch']);
  });

  test('a cope takes the overlap away; two branches that meet on one run still overlap, and the cure names both', () => {
    const rail = tube('rail', '[[-300, 0, 0], [300, 0, 0]]');
    const stays = `${tube('left', '[[-200, 0, 200], [0, 0, 0]]')}\n${tube('right', '[[200, 0, 200], [0, 0, 0]]')}`;
    const joints = 'joints:\n  - cope: { branch: left.end, run: rail }\n  - cope: { branch: right.end, run: rail }';
    const bare = solved(job(`${rail}\n${stays}`));
    expect(codes(bare)).toEqual(['layout/members-touch', 'layout/members-touch', 'layout/members-touch']);
    expect(bare.problems.map(({ hint }) => hint).join()).toMatch(/cope: \{ branch: left\.end, run: rail \}/);
    expect(bare.problems.map(({ hint }) => hint).join()).toMatch(
      /miter: \{ ends: \[(?:left|right)\.end, (?:left|right)\.end\] \}/,
    );
    const problem = only(solved(job(`${rail}\n${stays}`, joints)));
    expect(problem.hint).toMatch(/run: \[rail, (?:left|right)\] in joint cope-(?:left|right)-end/);
    const both = joints.replace('branch: right.end, run: rail', 'branch: right.end, run: [rail, left]');
    expect(codes(solved(job(`${rail}\n${stays}`, both)))).toEqual([]);
  });

  test('mitered corners meet face to face; drawn past each other they overlap', () => {
    const corner = (z: number) =>
      solved(
        job(
          `${tube('a', '[[0, 0, 0], [300, 0, 0]]', 'box')}\n${tube('b', `[[300, 0, 0], [300, 200, ${z}]]`, 'box')}`,
          'joints:\n  - miter: { ends: [a.end, b.start] }',
        ),
      );
    expect(codes(corner(0))).toEqual([]);
    const butt = solved(
      job(
        `${tube('a', '[[0, 0, 0], [300, 0, 0]]')}\n${tube('b', '[[270, 0, 0], [600, 0, 0]]')}`,
        'joints:\n  - butt: { ends: [a.end, b.start] }',
      ),
    );
    expect(codes(butt)).toEqual(['layout/members-touch']);
  });

  test('a tube that is cut short of another no longer touches it', () => {
    const cross = `${tube('a', '[[0, 0, 0], [300, 0, 0]]')}\n${tube('b', '[[150, 0, -200], [150, 0, 200]]')}`;
    expect(codes(solved(job(cross)))).toEqual(['layout/members-touch']);
    expect(codes(solved(job(cross, 'joints:\n  - trim: { end: a.end, at: 129 }')))).toEqual([]);
    expect(codes(solved(job(cross, 'joints:\n  - trim: { end: a.end, at: 131 }')))).toEqual(['layout/members-touch']);
  });

  test('a bend that brings a tube back into itself is told, a close return bend is not', () => {
    const loop = (clr: number, last: number) =>
      solved(
        job(`  a:
    section: thin
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 200 }, { bend: { clr: ${clr}, angle: 180, toward: up } }, { straight: 100 }, { bend: { clr: 30, angle: 90, toward: up } }, { straight: ${last} }]`),
      );
    const back = 'run: [{ straight: 200 }, { bend: { clr: 10.5, angle: 180, toward: up } }, { straight: 200 }]';
    const close = `  a: { section: thin, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, ${back} }`;
    expect(codes(solved(job(close)))).toEqual([]);
    expect(codes(loop(60, 60))).toEqual([]);
    // Up is toward the center of the first bend after it turned: the second one heads back down on the first straight.
    expect(codes(loop(60, 85))).toEqual(['layout/members-touch']);
  });

  test('any two straight round tubes: the measured distance is that of the axes less both radii', () => {
    const coordinate = fc.double({ min: -60, max: 60, noNaN: true });
    fc.assert(
      fc.property(
        fc.tuple(coordinate, coordinate, coordinate),
        fc.double({ min: 20, max: 160, noNaN: true }),
        ([x, y, z], turn) => {
          const way: Vec3 = [cosd(turn), sind(turn), 0];
          const ends = [-400, 400].map((k) => `[${x + k * way[0]}, ${y + k * way[1]}, ${z}]`);
          const { solution } = solved(
            job(`${tube('a', '[[-500, 0, 0], [500, 0, 0]]')}\n${tube('b', `[${ends}]`, 'thin')}`),
          );
          const [a, b] = solution!.pieces.map((piece) => keptTube(piece));
          const target = {
            atLeast: (chunk: Chunk) => leastBetween(chunk, a!.chunks),
            distanceAt: (p: Vec3) => nearness(a!, a!.chunks, p).bar,
          };
          const found = nearestPlace(b!, { target, below: Number.POSITIVE_INFINITY });
          // The axes cross at a right angle to z, |z| apart; the outside of b reaches 10 mm nearer, but not past the axis of a.
          expect(found!.distance).toBeCloseTo(Math.max(Math.abs(z) - 10, 0) - 20, 1);
        },
      ),
      { numRuns: 25 },
    );
  });
});

describe('clearance between members', () => {
  const pair = (z: number, section = 'tube') =>
    solved(
      job(
        `${tube('a', '[[0, 0, 0], [300, 0, 0]]')}\n${tube('b', `[[150, -200, ${z}], [150, 200, ${z}]]`, section)}`,
        'clearance: 5',
      ),
    );
  test('is measured, and only what is nearer than wanted is told', () => {
    expect(codes(pair(45.1))).toEqual([]);
    const problem = only(pair(43.5));
    expect(problem).toMatchObject({ code: 'layout/clearance', severity: 'error', limit: 5 });
    expect(problem.measured).toBeCloseTo(3.5, 2);
    expect(pair(43.5).solution).toBeUndefined();
  });

  test('to a slanted cut is that of the cut, by brute force', () => {
    const { solution } = solved(
      job(
        `${tube('a', '[[0, 0, 0], [300, 0, 0]]')}\n${tube('b', '[[330, -200, 10], [330, 200, 10]]', 'thin')}`,
        'joints:\n  - trim: { end: a.end, at: 280, miter: 40, long-point: 120 }',
      ),
    );
    const [a, b] = solution!.pieces.map((piece) => keptTube(piece));
    const target = { atLeast: () => -1e3, distanceAt: (p: Vec3) => nearness(b!, b!.chunks, p).bar };
    const found = nearestPlace(a!, { target, below: 100 });
    let least = Number.POSITIVE_INFINITY;
    for (let i = 0; i < 2000; i++) {
      const u = i / 2000;
      least = Math.min(least, nearness(b!, b!.chunks, keptPoint(a!, a!.finish.at(u, 0), { u, depth: 0 })).bar);
    }
    expect(found!.distance).toBeCloseTo(least, 2);
    expect(least).toBeGreaterThan(1);
  });
});

describe('keep-outs', () => {
  const around = (keepOut: string, points = '[[0, 0, 0], [300, 0, 0]]') =>
    solved(job(tube('a', points), `keep-out:\n  tank: ${keepOut}`));

  test('a box, a cylinder and a plane are measured to the outside of the tube', () => {
    const cases = [
      ['{ box: { from: [100, -50, 25], to: [200, 50, 60] } }', 5],
      ['{ box: { at: [150, 0, 60], size: [40, 40, 40], heading: [1, 1, 0], up: [0, 0, 1] } }', 20],
      // Standing on its edge: the edge lies 20 sqrt 2 below the middle.
      ['{ box: { at: [150, 0, 60], size: [100, 40, 40], heading: [1, 0, 0], up: [0, 1, 1] } }', 40 - 20 * Math.SQRT2],
      ['{ cylinder: { from: [150, -100, 50], to: [150, 100, 50], od: 40 } }', 10],
      // Head on, 20 mm past the end at x = 300: the rim of the bore is 18 - 5 beside it.
      ['{ cylinder: { from: [320, 0, 0], to: [400, 0, 0], od: 10 } }', Math.hypot(20, 13)],
      ['{ plane: { at: [0, 0, -30], normal: [0, 0, 1] } }', 10],
      // In the bore (od 40, wall 2): 18 - 5 to the inside.
      ['{ cylinder: { from: [-50, 0, 0], to: [400, 0, 0], od: 10 } }', 13],
    ] as const;
    for (const [shape, distance] of cases) {
      const { solution, problems } = around(shape);
      expect(problems).toEqual([]);
      expect(solution!.keepOut[0]!.nearest.distance, shape).toBeCloseTo(distance, 1);
    }
  });

  test('nearer than the clearance is an error at the keep-out, with how far to move', () => {
    const text = '{ cylinder: { from: [150, -100, 50], to: [150, 100, 50], od: 40 }, clearance: 12.5 }';
    const { solution, problems } = around(text);
    expect(solution).toBeUndefined();
    expect(problems[0]).toMatchObject({
      code: 'layout/keep-out',
      severity: 'error',
      limit: 12.5,
      path: ['keep-out', 'tank'],
    });
    expect(problems[0]!.measured).toBeCloseTo(10, 1);
    expect(problems[0]!.hint).toMatch(/move a 2\.5\d* mm/);
    expect(codes(around(text.replace('12.5', '9.9')))).toEqual([]);
  });

  test('a thin pin through one wall between two samples is found', () => {
    for (let i = 0; i < 12; i++) {
      const [x, turn] = [37.3 + 19.7 * i, 31 * i];
      const to = [x, 60 * cosd(turn), 60 * sind(turn)];
      const { problems } = around(`{ cylinder: { from: [${x}, 0, 0], to: [${to}], od: 1 } }`);
      expect(codes({ problems }), `${x}`).toEqual(['layout/keep-out']);
    }
  });

  test('a bend is measured along its arc', () => {
    // clr 100 about (100, 0, 100): the inside of the bend lies 80 from that axis, the outside 120.
    const bent = (keepOut: string) => {
      const text = job(
        '  a: { section: tube, clr: 100, points: [[0, 0, 300], [0, 0, 0], [300, 0, 0]] }',
        `keep-out:\n  pin: ${keepOut}`,
      );
      return solved(text).solution!.keepOut[0]!.nearest.distance;
    };
    expect(bent('{ cylinder: { from: [100, -50, 100], to: [100, 50, 100], od: 20 } }')).toBeCloseTo(70, 1);
    expect(bent('{ cylinder: { from: [5, -50, 5], to: [5, 50, 5], od: 2 } }')).toBeCloseTo(
      95 * Math.SQRT2 - 120 - 1,
      1,
    );
  });
});

describe('mirror images', () => {
  const pair = (joints: string) =>
    solved(
      job(
        `${tube('rail', '[[-400, 0, 0], [400, 0, 0]]')}\n${tube('left', '[[-150, 0, 0], [-100, 30, 200]]', 'thin')}\n  right: { mirror: left, across: { normal: [1, 0, 0] } }`,
        `joints:\n${joints}`,
      ),
    );
  const cope = (name: string, more = '') => `  - cope: { branch: ${name}.start, run: rail${more} }\n`;

  test('with the same joints are the same piece', () => {
    expect(codes(pair(cope('left') + cope('right')))).toEqual([]);
    const trims = ['left', 'right'].map(
      (n, i) => `  - trim: { end: ${n}.end, at: 180, miter: 20, long-point: ${[70, -70][i]} }\n`,
    );
    expect(codes(pair(cope('left') + cope('right') + trims.join('')))).toEqual([]);
  });

  test('with another trim, gap or leaning side are told, with the largest difference', () => {
    const trims = (a: string, b: string) =>
      pair(`${cope('left')}${cope('right')}  - trim: { end: left.end, ${a} }\n  - trim: { end: right.end, ${b} }\n`);
    const short = only(trims('at: 180', 'at: 172.5'));
    expect(short).toMatchObject({ code: 'layout/mirror-differs', severity: 'warning' });
    expect(short.measured).toBeCloseTo(7.5, 6);
    expect(short.message).toMatch(/right\.end is 7\.5 mm shorter/);
    // 20 deg to the same hand on both: od tan 20 apart on the sides.
    const hand = only(trims('at: 180, miter: 20, long-point: 90', 'at: 180, miter: 20, long-point: 90'));
    expect(hand.measured).toBeCloseTo(20 * Math.tan((20 * Math.PI) / 180), 3);
    expect(only(pair(cope('left') + cope('right', ', gap: 0.5'))).code).toBe('layout/mirror-differs');
  });

  test('with a joint on one of them only are told', () => {
    const { problems } = pair(cope('left'));
    expect(problems.map(({ code }) => code).sort()).toEqual(['layout/members-touch', 'layout/mirror-differs']);
    expect(problems.find(({ code }) => code === 'layout/mirror-differs')!.message).toMatch(
      /cut, by cope-left-start, and the other is not/,
    );
  });
});

test('thirty members of a bent cage are looked through', () => {
  const members = Array.from({ length: 30 }, (_, i) => {
    const [x, z] = [(i % 6) * 60, Math.floor(i / 6) * 60];
    return `  m${i}: { section: tube, clr: 80, points: [[${x}, 0, ${z}], [${x}, 600, ${z}], [${x}, 900, ${z + 300}], [${x}, 1500, ${z + 300}]] }`;
  });
  expect(codes(solved(job(members.join('\n'))))).toEqual([]);
});
