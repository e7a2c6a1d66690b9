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
shop: { printer: { bed: ${x.bed} }, wall: ${x.wall}, fit: { slide: ${x.fit / 10} } }
sections: { s: ${x.section} }
members: { m: { section: s, points: [[0, 0, 0], [100, 0, 0]] } }
tools: [{ fit-coupon: { section: s, shape: ${x.shape} } }]`,
  );

test.each([['fit coupons', coupons, 6]] as const)(
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
