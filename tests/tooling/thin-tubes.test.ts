import { describe, expect, test } from 'vitest';
import { outcomeOf } from '../support/outcome.ts';
import { made } from '../support/tools.ts';

const thin = (section: string, tool: string, trim = 'at: 140'): string => `
job: t
sections: { tube: ${section} }
members:
  tube: { section: tube, points: [[0, 0, 0], [150, 0, 0]] }
joints: [{ trim: { end: tube.end, ${trim} } }]
tools: [${tool}]
`;
const round = (od: number): string => `{ kind: round, od: ${od}, wall: 0.5 }`;

describe('thin tubes get tools', () => {
  // A half inch picket left a strip of upright wall just over its widest place, which was taken for bore.
  test.each([12.6, 12.7, '1/2in'])('a saw guide for a tube of %s is proved', (od) => {
    expect(outcomeOf(thin(`{ kind: round, od: ${od}, wall: 1.6 }`, 'saw-guide: tube.end'))).toEqual([]);
  });

  test.each([4, 6, 6.6, '{ kind: square, side: 6, wall: 0.8 }'])(
    'a saw guide for a tube of %s has room for its letters',
    (size) => {
      const section = typeof size === 'number' ? round(size) : size;
      expect(outcomeOf(thin(section, 'saw-guide: tube.end', 'at: 140, miter: 30'))).toEqual([]);
    },
  );

  test('a marking gauge for a tube of 8 mm is lettered along it, the arrow to the kept side', () => {
    expect(outcomeOf(thin(round(8), 'marking-gauge: tube.end'))).toEqual([]);
    expect(outcomeOf(thin(round(8), 'marking-gauge: { end: tube.end, datum: mark }'))).toEqual([]);
  });
});

describe('the grip of a collar set by the raw end', () => {
  const collar = (grip: string): number => {
    const { value } = made(
      thin('{ kind: round, od: 30, wall: 2 }', `notch-collar: { end: tube.end, datum: stock${grip} }`, 'at: 100'),
    ).tools[0]!.facts.find(({ label }) => label === 'stock to long point')!;
    return Number(value);
  };

  test('is the raw tube it holds beyond the long point', () => {
    expect([collar(''), collar(', grip: 35'), collar(', grip: 12')]).toEqual([20, 35, 12]);
  });
});

// Where a block reaches past the end of the tube, how far its far corners lie from the tube says nothing of its bore.
test('guides for short pieces of a slow elbow are proved though they reach past the end of the tube', () => {
  expect(
    outcomeOf(`
job: t
shop: { labels: false, fit: { slide: 0.4 }, saw: bandsaw }
sections: { s: { kind: flat-oval, width: 55, height: 50, wall: 3 } }
members:
  m:
    section: s
    start: { heading: [1, 0, 0] }
    run: [{ straight: 7 }, { elbow: { clr: 52, angle: 18, welds: 5, toward: right } }, { straight: 72 }]
tools: [saw-guide: m-gore-1.end]
`),
  ).toEqual([]);
});
