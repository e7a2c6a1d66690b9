import fc from 'fast-check';
import { expect, test } from 'vitest';
import { outcomeOf, section } from '../support/outcome.ts';

const FLAT_TOOLS =
  'tools: [{ saw-guide: { end: m.end, saw: SAW } }, { marking-gauge: m.end }, { notch-collar: { end: m.end, parts: PARTS } }]';

const trimmed = fc
  .record({
    section,
    at: fc.integer({ min: 250, max: 600 }),
    miter: fc.oneof(fc.constant(0), fc.integer({ min: 1, max: 55 })),
    side: fc.integer({ min: 0, max: 359 }),
    saw: fc.constantFrom('bandsaw', 'chop-saw'),
    parts: fc.constantFrom('1', '2'),
  })
  .map(
    (x) => `job: t
sections: { s: ${x.section} }
members: { m: { section: s, points: [[0, 0, 0], [${x.at}, 0, 0]] } }
joints: [{ trim: { end: m.end, at: ${x.at - 100}, miter: ${x.miter}, long-point: ${x.side} } }]
${FLAT_TOOLS.replace('SAW', x.saw).replace('PARTS', x.parts)}`,
  );

const inBend = fc
  .record({
    section,
    straight: fc.integer({ min: 10, max: 120 }),
    clr: fc.constantFrom('1.5D', '2D', '3D'),
    angle: fc.integer({ min: 50, max: 120 }),
    into: fc.integer({ min: 18, max: 45 }),
    toward: fc.constantFrom('up', 'down', 'left', 'right'),
    saw: fc.constantFrom('bandsaw', 'chop-saw'),
  })
  .map(
    (x) => `job: t
sections: { s: ${x.section} }
members: { m: { section: s, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: ${x.straight} }, { bend: { clr: ${x.clr}, angle: ${x.angle}, toward: ${x.toward} } }, { straight: 80 }] } }
joints: [{ trim: { end: m.end, into-bend: ${x.into} } }]
${FLAT_TOOLS.replace('SAW', x.saw).replace(', parts: PARTS', '')}`,
  );

const coped = fc
  .record({
    section,
    run: fc.integer({ min: 120, max: 180 }),
    angle: fc.integer({ min: 35, max: 90 }),
    offset: fc.integer({ min: -5, max: 5 }),
    surface: fc.constantFrom('outer', 'inner', 'square'),
    datum: fc.constantFrom('stock', 'mark'),
    parts: fc.constantFrom('1', '2'),
  })
  .map((x) => {
    const [cos, sin] = [Math.cos((x.angle * Math.PI) / 180), Math.sin((x.angle * Math.PI) / 180)];
    return `job: t
sections: { s: ${x.section}, r: { kind: round, od: ${x.run}, wall: 3 } }
members:
  r: { section: r, points: [[-700, 0, 0], [700, 0, 0]] }
  m: { section: s, points: [[${(-600 * cos).toFixed(4)}, ${x.offset}, ${(600 * sin).toFixed(4)}], [0, ${x.offset}, 0]] }
joints: [{ cope: { branch: m.end, run: r, gap: 0.4 } }]
tools: [{ notch-collar: { end: m.end, surface: ${x.surface}, datum: ${x.datum}, parts: ${x.parts} } }]`;
  });

test.each([
  ['flat cuts on straights', trimmed, 14],
  ['cuts part way round bends', inBend, 14],
  ['copes', coped, 30],
] as const)(
  '%s of random sections and sizes: every tool is proved on its bytes, or refused by name',
  (_, jobs, numRuns) => {
    fc.assert(
      fc.property(jobs as fc.Arbitrary<string>, (yaml) => {
        expect(outcomeOf(yaml)).toEqual([]);
      }),
      { seed: 20_261, numRuns },
    );
  },
);
