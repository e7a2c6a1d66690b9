import { describe, expect, test } from 'vitest';
import { tried } from '../support/tools.ts';

/** A branch that comes down on a box of 40 x 40 along x, from (x, y, 300) to (x, y, to). */
const problems = (x: number, y: number, to = 0) =>
  tried(`
job: t
sections: { box: { kind: square, side: 40, wall: 3, corner-radius: 0 }, tube: { kind: round, od: 40, wall: 2 } }
members:
  box: { section: box, points: [[0, 0, 0], [1000, 0, 0]] }
  b: { section: tube, points: [[${x}, ${y}, 300], [${x}, ${y}, ${to}]] }
joints: [{ cope: { branch: b.end, run: box } }]
`).problems;

describe('a branch that its run does not cut all round', () => {
  test('is told on which side it goes by, how far, and which way to move it', () => {
    const [problem] = problems(500, 10);
    expect(problem).toMatchObject({ code: 'joint/misses', severity: 'error' });
    // Of a tube of radius 20 set 10 aside, what lies beyond 20 is a third: 60 degrees either way of that side. Its up is x.
    expect(problem?.message).toContain('on 33 % of its outside, from 212 to 328 deg');
    expect(problem?.message).toContain('up to 10 mm away');
    expect(problem?.hint).toContain('move "b" 10 mm to its side at 90 deg');
    expect(problem?.measured).toBeCloseTo(10, 6);
  });

  test('over the end of the run it is told round from the witness line', () => {
    const [problem] = problems(10, 0);
    expect(problem?.message).toContain('up to 10 mm away');
    expect(problem?.hint).toContain('at 0 deg');
  });

  test('that lies wholly beside it never meets it', () => {
    const told = problems(500, 100).filter(({ code }) => code === 'joint/misses');
    expect(told.map(({ message }) => message)).toEqual([
      '"b" never meets "box": past its end it goes by, 60 mm away at the nearest',
    ]);
  });

  test('that is drawn on past it is cut where it first comes to it, with a warning that says how far', () => {
    const told = problems(500, 0, -300);
    expect(told.map(({ code, severity }) => [code, severity])).toEqual([['joint/short-of-run', 'warning']]);
    expect(told[0]?.message).toContain('is drawn 280 mm beyond');
    expect(told[0]?.measured).toBeCloseTo(280, 6);
  });

  test('that ends too soon is told by how much', () => {
    const told = problems(500, 0, 120);
    expect(told[0]).toMatchObject({ code: 'joint/short-of-run', severity: 'error' });
    expect(told[0]?.message).toContain('ends 100 mm before');
  });
});
