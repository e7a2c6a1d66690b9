import { expect, test } from 'vitest';
import { outcomeOf } from '../support/outcome.ts';
import { made, tried } from '../support/tools.ts';

const job = (sections: string, run: string, trim: string, tools: string): string => `job: t
sections: { ${sections} }
members: { m: { section: a, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [${run}] } }
joints: [{ trim: { end: m.end, ${trim} } }]
tools: [${tools}]`;

const ALL = '{ saw-guide: m.end }, { marking-gauge: m.end }, { notch-collar: m.end }';

test.each([
  [
    'round to oval',
    'a: { kind: round, od: 80, wall: 1.5 }, b: { kind: flat-oval, width: 120, height: 50, wall: 1.5 }',
    '{ straight: 40 }, { taper: { to: b, length: 90 } }',
    'width: 110',
  ],
  [
    'ellipse to rectangle, mitered',
    'a: { kind: ellipse, width: 50, height: 36, wall: 1.5 }, b: { kind: rectangle, width: 62, height: 40, wall: 1.5, corner-radius: 4 }',
    '{ taper: { to: b, length: 70 } }',
    'at: 45, miter: 15, long-point: right',
  ],
  // A rim that crosses where the taper begins, and rulings that run together on the round part.
  [
    'over the start of a taper',
    'a: { kind: round, od: 39, wall: 2 }, b: { kind: square, side: 52, wall: 1.5, corner-radius: 0 }',
    '{ straight: 28 }, { taper: { to: b, length: 46 } }',
    'at: 37.56, miter: 27, long-point: right',
  ],
])('tools of a taper, %s, are proved on their bytes', (_, sections, run, trim) => {
  expect(outcomeOf(job(sections, run, trim, ALL))).toEqual([]);
});

test('an eccentric taper gets a saw guide, and a boxed sleeve that stands straight about it', () => {
  const eccentric = (offset: string, tools: string): string =>
    job(
      'a: { kind: round, od: 60, wall: 2 }, b: { kind: flat-oval, width: 70, height: 40, wall: 2 }',
      `{ straight: 20 }, { taper: { to: b, length: 70, offset: ${offset} } }`,
      'at: 60',
      tools,
    );
  const yaml = eccentric('[7, 0]', '{ saw-guide: m.end }, { marking-gauge: { end: m.end, datum: end } }');
  expect(made(yaml).tools[1]!.parts).toHaveLength(2);
  expect(outcomeOf(yaml)).toEqual([]);
  // Its axis leaves any plane that two parts could come apart on.
  const aside = tried(eccentric('[7, 5]', '{ marking-gauge: { end: m.end, datum: end } }')).problems;
  expect(aside.map(({ code, measured }) => [code, measured])).toEqual([
    ['tool/cannot-build', expect.closeTo(2.857, 3)],
  ]);
});

test('a sleeve between a taper and a bend comes off over the end away from the bend', () => {
  const yaml = job(
    'a: { kind: round, od: 50, wall: 2 }, b: { kind: square, side: 52, wall: 2, corner-radius: 4 }',
    '{ straight: 60 }, { taper: { to: b, length: 50 } }, { straight: 20 }, { bend: { clr: 150, angle: 30, toward: down } }, { straight: 40 }',
    'at: 75',
    '{ notch-collar: m.end }',
  );
  expect(made(yaml).tools[0]!.parts).toHaveLength(1);
  expect(outcomeOf(yaml)).toEqual([]);
});

test('the witness notches of a box run out through its sides, however the tube slants beneath', () => {
  const yaml = `job: t
shop: { printer: { bed: [300, 300, 300] } }
sections: { a: { kind: round, od: 84, wall: 2.3 }, b: { kind: flat-oval, width: 80, height: 47, wall: 1.2 } }
members: { m: { section: a, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 59 }, { taper: { to: b, length: 75 } }, { straight: 52 }] } }
joints: [{ trim: { end: m.start, at: 127.43, miter: 5, long-point: left } }]
tools: [{ marking-gauge: { end: m.start, datum: auto } }]`;
  expect(outcomeOf(yaml)).toEqual([]);
});

const BENCH = `job: t
shop: { printer: { bed: [300, 300, 300] }, chord-tolerance: 0.03 }
sections:
  a: { kind: round, od: 60, wall: 2 }
  b: { kind: flat-oval, width: 70, height: 40, wall: 2 }
  c: { kind: round, od: 21.3, wall: 2 }
members:
  m:
    section: a
    start: { heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 80 }, { taper: { to: b, length: 70, offset: [3, 5] } }, { straight: 90 }, { bend: { clr: 140, angle: 30, toward: up } }, { straight: 40 }, { bend: { clr: 140, angle: 30, toward: left } }, { straight: 20 }]
  twin: { section: a, points: [[0, 120, 0], [300, 120, 0]] }
  peg: { section: c, points: [[110, 0, 0], [110, -160, 0]] }
joints: [{ cope: { branch: peg.start, run: m, open: true } }]
tools: [`;

test.each([
  ['a drill guide in the wall of a taper', '{ drill-guide: { on: m, at: 110, toward: 90, drill: 6 } }'],
  ['a drill guide over the end of a taper', '{ drill-guide: { on: m, at: 160, toward: 0, bush: 8, angle: 10 } }'],
  ['a spacer on the straight behind a taper', '{ spacer: { of: [m, twin], at: 200 } }'],
  ['a clocking ring on the straight behind a taper', '{ clocking-ring: m }'],
  ['an opening gauge over a branch in a taper', '{ opening-gauge: peg.start }'],
  ['a fit-up cradle with a joint on a taper', '{ fit-up-cradle: { joint: cope-peg-start, heat: 20 } }'],
])('%s is proved on its bytes', (_, tool) => {
  expect(made(`${BENCH}${tool}]`).tools).toHaveLength(1);
  expect(outcomeOf(`${BENCH}${tool}]`)).toEqual([]);
});

test('a spacer on the taper itself, and a ring without a straight before the first bend, are refused by name', () => {
  const codes = (yaml: string): readonly string[] => tried(yaml).problems.map(({ code }) => code);
  expect(codes(`${BENCH}{ spacer: { of: [m, twin], at: 110 } }]`)).toEqual(['tool/crosses-bend']);
  const short = BENCH.replace('{ straight: 80 }, ', '').replace('{ straight: 90 }', '{ straight: 20 }');
  expect(codes(`${short}{ clocking-ring: m }]`)).toEqual(['tool/no-room']);
});

test('a bore begins on the offset of both walls where a taper begins at its very end', () => {
  const yaml = job(
    'a: { kind: round, od: 49.6, wall: 1 }, b: { kind: square, side: 27, wall: 2, corner-radius: 0 }',
    '{ taper: { to: b, length: 13.4 } }',
    'at: 8.4',
    '{ notch-collar: m.end }',
  );
  expect(outcomeOf(yaml)).toEqual([]);
});

test('a sleeve on a cone is one part from the small end, two from the large', () => {
  const cone = (datum: string): string =>
    job(
      'a: { kind: round, od: 80, wall: 1.5 }, b: { kind: round, od: 50, wall: 1.5 }',
      '{ straight: 20 }, { taper: { to: b, length: 70 } }, { straight: 30 }',
      'width: 65',
      `{ notch-collar: { end: m.end, datum: ${datum} } }`,
    );
  expect(made(cone('stock')).tools[0]!.parts).toHaveLength(1);
  expect(made(cone('end')).tools[0]!.parts).toHaveLength(2);
  expect(outcomeOf(cone('stock'))).toEqual([]);
});
