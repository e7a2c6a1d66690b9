import fc from 'fast-check';
import { expect, test } from 'vitest';
import { outcomeOf, section } from '../support/outcome.ts';

const coupons = fc
  .record({
    section,
    fit: fc.integer({ min: 0, max: 12 }),
    shape: fc.constantFrom('auto', 'ring', 'half'),
    wall: fc.constantFrom(2.4, 3, 5),
    bed: fc.constantFrom('[120, 120, 120]', '[250, 210, 210]'),
  })
  .map(
    (x) => `job: t
shop: { chord-tolerance: 0.04, printer: { bed: ${x.bed} }, wall: ${x.wall}, fit: { slide: ${x.fit / 10} } }
sections: { s: ${x.section} }
members: { m: { section: s, points: [[0, 0, 0], [100, 0, 0]] } }
tools: [{ fit-coupon: { section: s, shape: ${x.shape} } }]`,
  );

const standIns = fc
  .record({
    section,
    straights: fc.tuple(
      fc.integer({ min: 0, max: 150 }),
      fc.integer({ min: 5, max: 300 }),
      fc.integer({ min: 0, max: 90 }),
    ),
    clr: fc.constantFrom(1, 1.5, 3),
    angles: fc.tuple(fc.integer({ min: 8, max: 100 }), fc.integer({ min: 8, max: 120 })),
    toward: fc.tuple(fc.constantFrom('up', 'down', 'left', 'right'), fc.constantFrom('up', 'left', '30', '210')),
    cope: fc.integer({ min: 50, max: 90 }),
    into: fc.integer({ min: 5, max: 8 }),
    what: fc.constantFrom('of: m', 'of: m, bend: 1', 'of: m, ends: square', 'of: m, from: 30, to: 160'),
    bed: fc.constantFrom('[120, 120, 120]', '[220, 220, 250]'),
  })
  .map((x) => {
    const [cos, sin] = [Math.cos((x.cope * Math.PI) / 180), Math.sin((x.cope * Math.PI) / 180)];
    const [first, second, third] = x.straights;
    const size = 130 * x.clr;
    return `job: t
shop: { printer: { bed: ${x.bed} }, chord-tolerance: 0.04 }
sections: { s: ${x.section}, r: { kind: round, od: 140, wall: 3 } }
members:
  r: { section: r, points: [[-900, 0, 0], [900, 0, 0]] }
  m:
    section: s
    start: { at: [0, 0, 0], heading: [${cos.toFixed(4)}, 0, ${sin.toFixed(4)}], up: [0, 1, 0] }
    run: [{ straight: ${first + 160} }, { bend: { clr: ${size}, angle: ${x.angles[0]}, toward: ${x.toward[0]} } }, { straight: ${second} }, { bend: { clr: ${size}, angle: ${x.angles[1]}, toward: ${x.toward[1]} } }, { straight: ${third + 1} }]
joints: [{ cope: { branch: m.start, run: r, gap: 0.4 } }, { trim: { end: m.end, into-bend: ${x.into} } }]
tools: [{ stand-in: { ${x.what} } }]`;
  });

const spacers = fc
  .record({
    sections: fc.tuple(section, section),
    gap: fc.integer({ min: 2, max: 60 }),
    rise: fc.integer({ min: -30, max: 30 }),
    roll: fc.integer({ min: 0, max: 359 }),
    tilt: fc.integer({ min: 0, max: 80 }),
    wall: fc.constantFrom(2.4, 4),
    thick: fc.constantFrom('', ', thick: 8'),
  })
  .map((x) => {
    const turned = (p: number, q: number): string => {
      const [c, s] = [Math.cos((x.tilt * Math.PI) / 180), Math.sin((x.tilt * Math.PI) / 180)];
      return `${(p * c).toFixed(5)}, ${q}, ${(p * s).toFixed(5)}`;
    };
    const up = `[${(-Math.sin((x.roll * Math.PI) / 180)).toFixed(5)}, ${Math.cos((x.roll * Math.PI) / 180).toFixed(5)}, 0.3]`;
    const apart = 90 + x.gap;
    return `job: t
shop: { wall: ${x.wall}, chord-tolerance: 0.02 }
sections: { s: ${x.sections[0]}, r: ${x.sections[1]} }
members:
  a: { section: s, points: [[${turned(0, 0)}], [${turned(300, 0)}]], up: ${up} }
  b: { section: r, points: [[${turned(310, apart)}], [${turned(-10, apart)}]], up: [0, 1, 0] }
tools: [{ spacer: { of: [a, b], at: 120${x.thick} } }]`;
  });

const rings = fc
  .record({
    section,
    straight: fc.integer({ min: 0, max: 90 }),
    clr: fc.integer({ min: 90, max: 160 }),
    sides: fc.array(fc.integer({ min: 0, max: 359 }), { minLength: 2, maxLength: 4 }),
    strap: fc.constantFrom(4, 9),
    wall: fc.constantFrom(2.4, 5),
  })
  .map(
    (x) => `job: t
shop: { wall: ${x.wall}, strap: { width: ${x.strap}, thickness: 2 }, chord-tolerance: 0.02 }
sections: { s: ${x.section} }
members:
  m:
    section: s
    start: { at: [0, 0, 0], heading: [0.6, 0.8, 0], up: [0, 0, 1] }
    run: [{ straight: ${x.straight + 1} }, ${x.sides.map((side) => `{ bend: { clr: ${x.clr}, angle: 30, toward: ${side} } }, { straight: 40 }`).join(', ')}]
tools: [{ clocking-ring: m }]`,
  );

const blocks = fc
  .record({
    section,
    straights: fc.tuple(
      fc.integer({ min: 25, max: 150 }),
      fc.integer({ min: 5, max: 120 }),
      fc.integer({ min: 25, max: 150 }),
    ),
    clr: fc.integer({ min: 90, max: 160 }),
    angles: fc.tuple(fc.integer({ min: 5, max: 120 }), fc.integer({ min: 5, max: 120 })),
    sides: fc.tuple(fc.integer({ min: 0, max: 359 }), fc.constantFrom(0, 3, 90, 180, 237)),
    lean: fc.constantFrom(0, 0, 20, 40),
  })
  .map(
    (x) => `job: t
shop: { chord-tolerance: 0.02 }
sections: { s: ${x.section} }
members:
  m:
    section: s
    start: { at: [0, 0, 0], heading: [0.6, 0.8, 0], up: [0, 0, 1] }
    run: [{ straight: ${x.straights[0]} }, { bend: { clr: ${x.clr}, angle: ${x.angles[0]}, toward: ${x.sides[0]} } }, { straight: ${x.straights[1]} }, { bend: { clr: ${x.clr}, angle: ${x.angles[1]}, toward: ${x.sides[1]} } }, { straight: ${x.straights[2]} }]
joints: [{ trim: { end: m.start, at: 12, miter: ${x.lean} } }]
tools: [{ clocking-ring: { of: m, check: true } }]`,
  );

const drills = fc
  .record({
    section,
    at: fc.integer({ min: 20, max: 380 }),
    toward: fc.integer({ min: 0, max: 359 }),
    lean: fc.oneof(fc.constant(0), fc.integer({ min: -40, max: 40 })),
    hole: fc.integer({ min: 2, max: 14 }),
    kind: fc.constantFrom('bush', 'drill'),
    datum: fc.constantFrom('auto', 'mark'),
    wall: fc.constantFrom(2.4, 4),
  })
  .map(
    (x) => `job: t
shop: { wall: ${x.wall}, chord-tolerance: 0.02 }
sections: { s: ${x.section} }
members: { m: { section: s, points: [[0, 0, 0], [240, 320, 0]], up: [0, 0.2, 1] } }
tools: [{ drill-guide: { on: m, at: ${x.at}, toward: ${x.toward}, angle: ${x.lean}, ${x.kind}: ${x.hole}, datum: ${x.datum} } }]`,
  );

test.each([
  ['drill guides', drills, 12],
  ['clocking rings', rings, 8],
  ['clocking blocks', blocks, 6],
  ['spacers', spacers, 6],
  ['stand-ins', standIns, 3],
  ['fit coupons', coupons, 6],
] as const)(
  '%s of random sections and sizes: every one is proved on its bytes, or refused by name',
  (_, jobs, numRuns) => {
    fc.assert(
      fc.property(jobs as fc.Arbitrary<string>, (yaml) => {
        expect(outcomeOf(yaml)).toEqual([]);
      }),
      { seed: 20_261, numRuns },
    );
  },
);
