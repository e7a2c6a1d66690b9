import { expect, test } from 'vitest';
import { outcomeOf } from '../support/outcome.ts';

// The ledge that leans on the raw end is as thick as on a straight only in the middle of a bend's tube: 2.2 mm were left inside.
test.each([254, 264])('a collar whose raw end lies in the next bend is proved, cut at %i', (at) => {
  expect(
    outcomeOf(`
job: t
sections: { t: { kind: round, od: 33.7, wall: 2 } }
members:
  e:
    section: t
    start: { heading: [1, 0, 0] }
    run: [{ straight: 274 }, { bend: { clr: 60, angle: 90, toward: left } }, { straight: 50 }]
joints: [{ trim: { end: e.end, at: ${at} } }]
tools: [{ notch-collar: { end: e.end, datum: stock } }]
`),
  ).toEqual([]);
});
