import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { loadJob } from '../../src/job/load.ts';
import type { Problem } from '../../src/job/problem.ts';
import { layPieces, type StickPiece, savedBy } from '../../src/solve/nesting/miter-order.ts';
import type { StockPlan } from '../../src/solve/nesting/nesting.ts';
import { packLeast } from '../../src/solve/nesting/pack.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { tried } from '../support/tools.ts';

/** Least total and number of bins over every way to part the sizes into groups. */
function bruteForce(sizes: readonly number[], lengths: readonly number[]): readonly [number, number] {
  let best: readonly [number, number] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const groups: number[] = [];
  const put = (i: number): void => {
    if (i === sizes.length) {
      const costs = groups.map((sum) => Math.min(...lengths.filter((length) => length >= sum)));
      const total = costs.reduce((p, q) => p + q, 0);
      if (total < best[0] || (total === best[0] && groups.length < best[1])) best = [total, groups.length];
      return;
    }
    for (let k = 0; k <= groups.length; k++) {
      const fresh = k === groups.length;
      groups[k] = (groups[k] ?? 0) + sizes[i]!;
      put(i + 1);
      groups[k] = groups[k]! - sizes[i]!;
      if (fresh) groups.pop();
    }
  };
  put(0);
  return best;
}

describe('packing into bought lengths', () => {
  test('costs as little, in as few, as the best of all partitions', () => {
    const kinds = fc.array(
      fc.record({ count: fc.integer({ min: 1, max: 3 }), least: fc.integer({ min: 10, max: 60 }) }),
      {
        minLength: 1,
        maxLength: 4,
      },
    );
    const lengths = fc.constantFrom([100], [60, 100], [61, 97], [70, 100, 130]);
    fc.assert(
      fc.property(kinds, lengths, (all, rooms) => {
        const given = all.slice(0, 4);
        const sizes = given.flatMap(({ count, least }) => Array.from({ length: count }, () => least)).slice(0, 7);
        const counted = [...new Set(sizes)].map((least) => ({ least, count: sizes.filter((x) => x === least).length }));
        const sum = (counts: readonly number[]) => counts.reduce((s, n, i) => s + n * counted[i]!.least, 0);
        const packing = packLeast(
          counted,
          rooms.map((room) => ({ cost: room, room, fits: (counts) => sum(counts) <= room })),
        );
        const [cost, number] = bruteForce(sizes, rooms);
        expect(packing.proved).toBe(true);
        expect([packing.cost, packing.used.length]).toEqual([cost, number]);
        counted.forEach(({ count }, i) => {
          expect(packing.used.reduce((s, { counts }) => s + counts[i]!, 0)).toBe(count);
        });
        for (const { stock, counts } of packing.used) expect(sum(counts)).toBeLessThanOrEqual(rooms[stock]!);
      }),
      { numRuns: 150 },
    );
  });

  test('takes what there are few of as far as it goes, as the best of all partitions does', () => {
    interface Offer {
      readonly cost: number;
      readonly room: number;
      readonly most?: number;
    }
    const leastOf = (sizes: readonly number[], offers: readonly Offer[]): number => {
      let best = Number.POSITIVE_INFINITY;
      const price = (groups: readonly number[], used: readonly number[]): number => {
        const [first, ...others] = groups;
        if (first === undefined) return 0;
        return Math.min(
          ...offers.map(({ cost, room, most = 99 }, i) =>
            first <= room && used[i]! < most
              ? cost +
                price(
                  others,
                  used.map((n, k) => (k === i ? n + 1 : n)),
                )
              : Number.POSITIVE_INFINITY,
          ),
        );
      };
      const put = (i: number, groups: readonly number[]): void => {
        if (i === sizes.length) {
          best = Math.min(
            best,
            price(
              groups,
              offers.map(() => 0),
            ),
          );
          return;
        }
        groups.forEach((_, k) => {
          put(
            i + 1,
            groups.map((sum, n) => (n === k ? sum + sizes[i]! : sum)),
          );
        });
        put(i + 1, [...groups, sizes[i]!]);
      };
      put(0, []);
      return best;
    };
    const rack = fc.array(
      fc.record({ room: fc.integer({ min: 15, max: 130 }), most: fc.integer({ min: 0, max: 2 }) }),
      { minLength: 1, maxLength: 2 },
    );
    const sizes = fc.array(fc.integer({ min: 10, max: 60 }), { minLength: 1, maxLength: 6 });
    fc.assert(
      fc.property(rack, sizes, fc.constantFrom([100], [60, 100]), (held, all, bought) => {
        const offers: readonly Offer[] = [
          ...held.map(({ room, most }) => ({ cost: room / 1000, room, most })),
          ...bought.map((room) => ({ cost: room, room })),
        ];
        const kinds = [...new Set(all)].map((least) => ({ least, count: all.filter((x) => x === least).length }));
        const sum = (counts: readonly number[]) => counts.reduce((s, n, i) => s + n * kinds[i]!.least, 0);
        const packing = packLeast(
          kinds,
          offers.map((offer) => ({ ...offer, fits: (counts) => sum(counts) <= offer.room })),
        );
        expect(packing.cost).toBeCloseTo(leastOf(all, offers), 6);
        offers.forEach(({ most = 99 }, i) => {
          expect(packing.used.filter(({ stock }) => stock === i).length).toBeLessThanOrEqual(most);
        });
        expect(packing.used.reduce((s, { counts }) => s + sum(counts), 0)).toBe(all.reduce((s, x) => s + x, 0));
      }),
      { numRuns: 150, seed: 7 },
    );
  });

  test('first fit decreasing alone would buy a stick too many', () => {
    // First fit: 4 + 4, 3 + 3 + 3, 3; the best: 4 + 3 + 3 twice.
    const kinds = [
      { least: 4, count: 2 },
      { least: 3, count: 4 },
    ];
    const fits = ([n, m]: readonly number[]) => 4 * n! + 3 * m! <= 10;
    expect(packLeast(kinds, [{ cost: 10, room: 10, fits }])).toMatchObject({ cost: 20, proved: true });
  });

  test('many different pieces end in a plan that does not claim to be the least', () => {
    const kinds = Array.from({ length: 14 }, (_, i) => ({ count: 1 + (i % 3), least: 300 + ((959 * i) % 1700) }));
    const sum = (counts: readonly number[]) => counts.reduce((s, n, i) => s + n * kinds[i]!.least, 0);
    const stocks = [6000, 3000].map((room) => ({
      cost: room,
      room,
      fits: (counts: readonly number[]) => sum(counts) <= room,
    }));
    const packing = packLeast(kinds, stocks);
    expect(packing.proved).toBe(false);
    expect(packing.cost).toBeLessThan(1.1 * kinds.reduce((s, { count, least }) => s + count * least, 0));
  });
});

describe('shared cuts', () => {
  const REACH: Readonly<Record<string, number>> = { '': 0, a: 5, b: 8, c: 3.5 };
  const piece = (mates: readonly [string, string], no: number): StickPiece => ({
    no,
    ends: [
      { mate: mates[0], reach: REACH[mates[0]]! },
      { mate: mates[1], reach: REACH[mates[1]]! },
    ],
  });
  const best = (pieces: readonly StickPiece[]): number => {
    let most = 0;
    const lay = (left: readonly StickPiece[], mate: string, saved: number): void => {
      most = Math.max(most, saved);
      for (const next of left) {
        for (const [first, last] of [next.ends, [next.ends[1], next.ends[0]] as const]) {
          const more = first.mate !== '' && first.mate === mate ? first.reach : 0;
          lay(
            left.filter((p) => p !== next),
            last.mate,
            saved + more,
          );
        }
      }
    };
    lay(pieces, '', 0);
    return most;
  };

  test('save as much as the best of all orders, and the order given does save it', () => {
    const mate = fc.constantFrom('', 'a', 'b', 'c');
    fc.assert(
      fc.property(fc.array(fc.tuple(mate, mate), { minLength: 1, maxLength: 5 }), (mates) => {
        const pieces = mates.map(piece);
        const saved = savedBy(pieces);
        expect(saved).toBeCloseTo(best(pieces), 9);
        const laid = layPieces(pieces);
        expect(laid.map(({ no }) => no).sort()).toEqual(pieces.map(({ no }) => no).sort());
        const own = laid.reduce((sum, { no, turned, shares }, i) => {
          if (!shares) return sum;
          const first = pieces[no]!.ends[turned ? 1 : 0];
          const before = laid[i - 1]!;
          expect(pieces[before.no]!.ends[before.turned ? 0 : 1].mate).toBe(first.mate);
          return sum + first.reach;
        }, 0);
        expect(own).toBeCloseTo(saved, 9);
      }),
      { numRuns: 300 },
    );
  });
});

interface Planned {
  readonly plan: StockPlan;
  readonly problems: readonly Problem[];
}

function planned(text: string): Planned {
  const loaded = loadJob(text);
  if (!loaded.value) throw new Error(loaded.problems.map(({ message }) => message).join('; '));
  const { value, problems } = solveJob(loaded.value);
  if (!value) throw new Error(problems.map(({ message }) => message).join('; '));
  return { plan: value.stock[0]!, problems };
}

const SAW = 'shop: { saws: { cold: { kind: top-down, kerf: 2, blade: 1.8 } } }';
const rails = (stock: string, lengths: readonly number[], more = ''): Planned =>
  planned(`job: t
${SAW}
sections: { tube: { kind: round, od: 40, wall: 2 }, box: { kind: square, side: 40, wall: 2, corner-radius: 4 }, bar: { kind: rectangle, width: 60, height: 30, wall: 2 } }
stock: ${stock}
members:
${lengths.map((x, i) => `  m${i}: { section: ${stock.slice(2, 5) === 'bar' ? 'bar' : stock.slice(2, 5) === 'box' ? 'box' : 'tube'}, points: [[0, ${200 * i}, 0], [${x}, ${200 * i}, 0]], up: [0, 0, 1] }`).join('\n')}
${more}`);

describe('a job with bought lengths', () => {
  test('parts pieces by a kerf, off squared ends, and says what is left', () => {
    const { plan } = rails(
      '{ tube: { lengths: 3000, square-end: 10, trim: 1 } }',
      [1000, 700, 1200],
      'joints: [{ trim: { end: m1.end, at: 650 } }]',
    );
    const [stick] = plan.sticks;
    expect(plan.sticks).toHaveLength(1);
    expect(stick!.pieces.map(({ member, from, to }) => [member, from, to])).toEqual([
      ['m2', 10, 1210],
      ['m0', 1212, 2212],
      ['m1', 2214, 2865],
    ]);
    expect(stick!.left).toBe(3000 - 2865 - 2);
  });

  test('fits to the last hair, and no further', () => {
    // 998 + 2 + 1000 = 2000 with raw ends as they come.
    expect(rails('{ tube: { lengths: 2000 } }', [998, 1000]).plan.sticks).toHaveLength(1);
    expect(rails('{ tube: { lengths: 2000 } }', [998.001, 1000]).plan.sticks).toHaveLength(2);
    expect(rails('{ tube: { lengths: 2000, square-end: 5 } }', [988, 1000]).plan.sticks).toHaveLength(1);
    expect(rails('{ tube: { lengths: 2000, square-end: 5 } }', [988.001, 1000]).plan.sticks).toHaveLength(2);
  });

  test('buys the shorter of two lengths where that is enough, and says which piece no length holds, and by how much', () => {
    const { plan, problems } = rails('{ tube: { lengths: [6000, 2500] } }', [2400, 7000]);
    expect(plan.sticks.map(({ length }) => length)).toEqual([2500]);
    expect(problems).toMatchObject([{ code: 'stock/too-short', severity: 'warning', measured: 7000, limit: 6000 }]);
    expect(problems[0]!.message).toMatch(/1000 mm too short/);
  });

  test('shares mitered cuts: od tan 45 saved, one kerf over cos 45 between', () => {
    const frame =
      'joints:\n' +
      ['m0', 'm1']
        .map(
          (m) =>
            `  - trim: { end: ${m}.start, plane: { at: [0, 0, 0], normal: [1, 0, 1] } }\n  - trim: { end: ${m}.end, at: 480, miter: 45, long-point: down }\n`,
        )
        .join('');
    const { plan } = rails('{ box: { lengths: 3000 } }', [500, 500], frame);
    const [p, q] = plan.sticks[0]!.pieces;
    expect(p!.ends[1]).toMatchObject({ miterDeg: 45, shared: true });
    expect(q!.from).toBeCloseTo(p!.to - 40 + 2 * Math.SQRT2, 6);
    // The kept faces stay a kerf apart: along the tube by kerf / cos 45 on every line.
    expect(plan.sticks[0]!.left).toBeCloseTo(3000 - q!.to - 2 * Math.SQRT2, 6);
  });

  test('shares no cut where rolling cannot make the planes one, or trimming comes afterwards', () => {
    const cuts = (sides: readonly string[]) =>
      `joints:\n${sides.map((side, i) => `  - trim: { end: m${i}.end, at: 480, miter: 30, long-point: ${side} }\n`).join('')}`;
    const shared = (stock: string, sides: readonly string[]) =>
      rails(stock, [500, 500], cuts(sides)).plan.sticks[0]!.pieces.some(({ ends }) => ends.some((end) => end.shared));
    expect(shared('{ tube: { lengths: 3000 } }', ['10', '77'])).toBe(true);
    expect(shared('{ box: { lengths: 3000 } }', ['up', 'right'])).toBe(true);
    expect(shared('{ box: { lengths: 3000 } }', ['up', '20'])).toBe(false);
    expect(shared('{ bar: { lengths: 3000 } }', ['up', 'down'])).toBe(true);
    expect(shared('{ bar: { lengths: 3000 } }', ['up', 'right'])).toBe(false);
    expect(shared('{ tube: { lengths: 3000, trim: 1 } }', ['10', '77'])).toBe(false);
  });

  test('bends a member of two bends from a length, with both grips', () => {
    const { plan } =
      planned(`job: t\n${SAW}\nsections: { tube: { kind: round, od: 40, wall: 2 } }\nstock: { tube: { lengths: 3000, grip: 80 } }
members: { a: { section: tube, clr: 100, points: [[0, 0, 0], [300, 0, 0], [300, 300, 0], [600, 300, 0]] } }`);
    const [part] = plan.sticks[0]!.pieces;
    // 200 + 157.08 + 100 + 157.08 + 200, and 80 at each end.
    expect(part).toMatchObject({ bent: true, from: 0 });
    expect(part!.to).toBeCloseTo(500 + 100 * Math.PI + 160, 6);
  });
});

const bends = (
  members: string,
  { stock = '{ clr: 100, angle: 90, legs: 60 }', joints = '', more = '' } = {},
): Planned =>
  planned(
    `job: t\n${SAW}\nsections: { tube: { kind: round, od: 40, wall: 2 } }\nstock: { tube: { bends: [${stock}]${more} } }\nmembers:\n${members}\n${joints}`,
  );
const bent = (name: string, y: number, run: string): string =>
  `  ${name}: { section: tube, start: { at: [0, ${y}, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [${run}] }`;
const bend = (angle: number, clr = 100): string => `{ bend: { clr: ${clr}, angle: ${angle}, toward: up } }`;

describe('a job with bought bends', () => {
  test('three trims come out of one bend of 90, a kerf apart where the tube is nearest to its center', () => {
    const kerf = (2 / 80) * (180 / Math.PI);
    const { plan } = bends([28, 27, 26].map((deg, i) => bent(`t${i}`, 200 * i, bend(deg))).join('\n'));
    expect(plan.bends).toHaveLength(1);
    expect(plan.bendsProved).toBe(true);
    const [first, second] = plan.bends[0]!.pieces;
    expect(second!.fromDeg - first!.toDeg).toBeCloseTo(kerf, 9);
    expect(plan.bends[0]!.left[0]!.toDeg - plan.bends[0]!.left[0]!.fromDeg).toBeCloseTo(90 - 81 - 3 * kerf, 9);
    expect(plan.bends[0]!.left[0]!.arcLength).toBeCloseTo(((90 - 81 - 3 * kerf) * Math.PI * 100) / 180, 9);
    expect(bends([29, 29, 29].map((deg, i) => bent(`t${i}`, 200 * i, bend(deg))).join('\n')).plan.bends).toHaveLength(
      1,
    );
    expect(bends([30, 30, 30].map((deg, i) => bent(`t${i}`, 200 * i, bend(deg))).join('\n')).plan.bends).toHaveLength(
      2,
    );
  });

  test('the least turn that holds a tilted cut is that of its long side', () => {
    const { plan } = bends(bent('a', 0, bend(40)), {
      joints: 'joints: [{ trim: { end: a.end, into-bend: 20, miter: 10, long-point: down } }]',
    });
    // On the outside, 120 from the center, the plane through (0, 100) at 20 deg tilted by 10: sine law, derived.
    const outside = 20 + 10 - (Math.asin((100 / 120) * Math.sin(Math.PI - (10 * Math.PI) / 180)) * 180) / Math.PI;
    expect(plan.needs[0]!.arcDeg).toBeCloseTo(outside, 3);
  });

  test('two pieces with a straight take both legs, either way round; a third needs another bend', () => {
    const leg = (n: number) =>
      Array.from({ length: n }, (_, i) =>
        bent(`l${i}`, 200 * i, i % 2 === 0 ? `{ straight: 50 }, ${bend(30)}` : `${bend(30)}, { straight: 50 }`),
      ).join('\n');
    const { plan } = bends(leg(2));
    expect(plan.bends).toHaveLength(1);
    expect(plan.bends[0]!.pieces.map(({ fromDeg, toDeg, legs }) => [fromDeg, toDeg, legs])).toEqual([
      [0, expect.closeTo(30, 9), [50, 0]],
      [expect.closeTo(60, 9), 90, [0, expect.closeTo(50, 9)]],
    ]);
    expect(bends(leg(3)).plan.bends).toHaveLength(2);
  });

  test('a straight on both sides takes a bend of just that turn', () => {
    const run = `{ straight: 30 }, ${bend(45)}, { straight: 40 }`;
    const { plan, problems } = bends(bent('s', 0, run));
    expect(plan.bends).toEqual([]);
    expect(problems).toMatchObject([{ code: 'stock/no-bend' }]);
    const fits = bends(bent('s', 0, run), { stock: '{ clr: 100, angle: 45, legs: [45, 35] }' });
    expect(fits.problems).toEqual([]);
    expect(fits.plan.bends[0]!.pieces[0]).toMatchObject({ turned: true, legs: [expect.closeTo(40, 9), 30] });
  });

  test('what no bought bend holds is told with what is lacking', () => {
    const short = bends(bent('a', 0, `{ straight: 75 }, ${bend(30)}`)).problems;
    expect(short).toMatchObject([{ code: 'stock/leg-too-short', measured: 75, limit: 60 }]);
    expect(short[0]!.message).toMatch(/15 mm too short/);
    expect(bends(bent('a', 0, bend(120))).problems).toMatchObject([
      { code: 'stock/no-bend', measured: expect.closeTo(120, 9), limit: 90 },
    ]);
    expect(bends(bent('a', 0, bend(30, 80))).problems).toMatchObject([
      { code: 'bend/tighter-than-stock', measured: 80, limit: 100 },
    ]);
    expect(bends(bent('a', 0, bend(30, 150))).problems).toMatchObject([
      { code: 'stock/no-bend', measured: 150, limit: 100 },
    ]);
    expect(bends(bent('a', 0, `${bend(30)}, { straight: 10 }, ${bend(30)}`)).problems).toMatchObject([
      { code: 'stock/no-bend' },
    ]);
    // Where lengths are bought too, it is bent from one.
    const both = bends(bent('a', 0, bend(120)), { more: ', lengths: 2000' });
    expect(both.problems).toEqual([]);
    expect(both.plan.sticks[0]!.pieces[0]).toMatchObject({ member: 'a', bent: true });
  });
});

describe('what is on hand', () => {
  const rack = (stock: string, more = ''): string => `
job: t
shop: { saws: { s: { kind: top-down, kerf: 2, blade: 2 } } ${more} }
sections: { tube: { kind: round, od: 30, wall: 2 } }
members:
  a: { section: tube, points: [[0, 0, 0], [900, 0, 0]] }
  b: { section: tube, points: [[0, 100, 0], [700, 100, 0]] }
  c: { section: tube, points: [[0, 200, 0], [400, 200, 0]] }
stock: { tube: { ${stock} } }
`;
  const planned = (yaml: string): { plan: StockPlan; problems: readonly Problem[] } => {
    const job = loadJob(yaml, {});
    const solved = solveJob(job.value!);
    return { plan: solved.value!.stock[0]!, problems: [...job.problems, ...solved.problems] };
  };
  const told = (problems: readonly Problem[]) => problems.map(({ code, path }) => `${code} ${path.join('.')}`);

  test('is used before any is bought, the least of it that does', () => {
    const { plan, problems } = planned(
      rack('lengths: 2100, on-hand: [{ length: 420 }, { length: 1650 }, { length: 2090 }]'),
    );
    // 900 + 700 and a kerf of 2 in the 1650, 400 in the offcut.
    expect(plan.sticks.map(({ length, onHand }) => [length, onHand])).toEqual([
      [1650, true],
      [420, true],
    ]);
    expect(problems).toEqual([]);
  });

  test('that is not enough is told, with what to buy and for which pieces', () => {
    const { plan, problems } = planned(rack('lengths: 1000, on-hand: 1'));
    expect(plan.sticks.filter(({ onHand }) => onHand)).toHaveLength(1);
    expect(told(problems)).toEqual(['stock/not-enough stock.tube.on-hand']);
    expect(problems[0]!.message).toContain('1 of 1 lengths are used');
    expect(problems[0]!.hint).toBe('buy 2 x 1000 mm');
    expect(problems[0]).toMatchObject({ measured: 1, limit: 3, severity: 'warning' });
  });

  test('may be all there is: a list without lengths, of which one more is told to be bought', () => {
    const { problems } = planned(rack('on-hand: [{ length: 950, count: 2 }]'));
    expect(told(problems)).toEqual(['stock/not-enough stock.tube.on-hand']);
    expect(problems[0]!.hint).toBe('buy 1 x 950 mm');
    const long = planned(rack('on-hand: [{ length: 850, count: 9 }]'));
    expect(told(long.problems)).toEqual(['stock/too-short stock.tube.lengths']);
  });

  test('of several bought lengths needs to say which, and bends are counted too', () => {
    const errors = loadJob(rack('lengths: [1000, 2000], on-hand: 2'), {}).problems;
    expect(told(errors)).toEqual(['field/conflict stock.tube.on-hand']);
    const bent = rack('bends: [{ clr: 60, angle: 90, legs: 100, on-hand: 1 }], lengths: 1000').replace(
      / {2}c:[^\n]*/,
      '  c: { section: tube, points: [[0, 0, 500], [100, 0, 500], [100, 100, 500]], clr: 60 }\n  d: { section: tube, points: [[0, 0, 800], [100, 0, 800], [100, 100, 800]], clr: 60 }',
    );
    const { problems } = planned(bent);
    expect(told(problems)).toEqual(['stock/not-enough stock.tube.bends.0.on-hand']);
    expect(problems[0]!.hint).toBe('buy 1');
  });

  test('grip is what bent ends are short of what the bender holds, where the stock names none', () => {
    const bent = (stock: string): StockPlan =>
      planned(
        rack(stock, ', bender: { first: 120, last: 80 }').replace(
          / {2}c:[^\n]*/,
          '  c: { section: tube, points: [[0, 0, 500], [160, 0, 500], [160, 160, 500]], clr: 60 }',
        ),
      ).plan;
    const long = (plan: StockPlan): number => {
      const part = plan.sticks.flatMap(({ pieces }) => pieces).find(({ member }) => member === 'c')!;
      return part.to - part.from;
    };
    // Straights of 100 before and behind the bend: 20 short before it.
    const own = 200 + (60 * Math.PI) / 2;
    const byBender = bent('lengths: 3000');
    expect(long(byBender)).toBeCloseTo(own + 20, 9);
    expect([byBender.grip, byBender.gripByBender]).toEqual([20, true]);
    const given = bent('lengths: 3000, grip: 70');
    expect(long(given)).toBeCloseTo(own + 140, 9);
    expect([given.grip, given.gripByBender]).toEqual([70, false]);
  });
});

test('of a member with tapers the tube on either side is nested, each in the stock of its own section, and the taper is not', () => {
  const { solution, problems } = tried(`job: t
sections:
  a: { kind: round, od: 60, wall: 2 }
  b: { kind: flat-oval, width: 80, height: 40, wall: 2 }
stock: { a: { lengths: [3000] }, b: { lengths: [2000] } }
members:
  m: { section: a, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 300 }, { taper: { to: b, length: 100 } }, { straight: 120 }, { straight: 80 }] }
  n: { section: a, points: [[0, 200, 0], [500, 200, 0]] }
joints:
  - trim: { end: m.end, at: 580, miter: 20, long-point: up }
  - trim: { end: m.start, at: 30 }`);
  expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
  const [first, second] = solution!.stock;
  const lengths = (plan: typeof first): readonly (readonly [string, number])[] =>
    plan!.sticks
      .flatMap(({ pieces }) => pieces)
      .map(({ member, from, to }) => [member, Math.round((to - from) * 1e6) / 1e6] as const)
      .sort();
  expect(lengths(first)).toEqual([
    ['m, part 1', 270],
    ['n', 500],
  ]);
  // The long point lies half the height times tan 20 deg past 580 mm of the centerline.
  const long = Math.round((180 + 20 * Math.tan((20 * Math.PI) / 180)) * 1e6) / 1e6;
  expect(lengths(second)).toEqual([['m, part 2', long]]);
});
