/** Pieces that are alike: any of them may stand for any other. */
export interface PackKind {
  readonly count: number;
  /** The least room one of them ever takes. */
  readonly least: number;
}

/** One kind of stock, as many as are needed, or `most` at the most; one at least has no such limit. */
export interface PackStock {
  readonly most?: number;
  /** What one costs, in whatever is to be least. */
  readonly cost: number;
  /** Room for pieces, in the unit of their `least`. */
  readonly room: number;
  /** Whether so many of each kind can be had from one. Of what fits, any part fits. */
  readonly fits: (counts: readonly number[]) => boolean;
}

/** What comes out of one piece of stock: how many of each kind. */
export interface Pattern {
  readonly stock: number;
  readonly counts: readonly number[];
}

export interface Packing {
  readonly used: readonly Pattern[];
  readonly cost: number;
  /** No packing costs less, nor as little with less stock: all that could were looked at. */
  readonly proved: boolean;
}

interface Packs {
  readonly kinds: readonly PackKind[];
  readonly stocks: readonly PackStock[];
  /** Kinds by size, largest first. */
  readonly order: readonly number[];
}

/** Looks at a pattern before the best found so far is taken unproved: about a tenth of a second. */
const MOST_LOOKS = 60_000;

/**
 * Stock of least cost, and of the least number at that cost, that holds all pieces: first fit decreasing, once for each
 * kind of stock, then branch and bound over what may come out of the stock that holds the largest piece left (S. Martello
 * and P. Toth, Knapsack Problems, Wiley 1990, ch. 8). Each kind must fit some stock without limit by itself.
 */
export function packLeast(kinds: readonly PackKind[], stocks: readonly PackStock[]): Packing {
  const order = kinds.map((_, i) => i).sort((p, q) => kinds[q]!.least - kinds[p]!.least || p - q);
  const packs = { kinds, stocks, order };
  const first = stocks.map((_, stock) => firstFit(packs, stock)).reduce((p, q) => (isLess(q, p, stocks) ? q : p));
  const search = { best: first, looks: 0, reached: new Map<string, Spent>() };
  branch(packs, search, { left: kinds.map(({ count }) => count), used: [] });
  const { best, looks } = search;
  return { used: best, cost: spent(best, stocks).cost, proved: looks <= MOST_LOOKS };
}

interface Spent {
  readonly cost: number;
  readonly number: number;
}

const spent = (used: readonly Pattern[], stocks: readonly PackStock[]): Spent => ({
  cost: used.reduce((sum, { stock }) => sum + stocks[stock]!.cost, 0),
  number: used.length,
});

/** Costs are sums of lengths; they are the same where they differ by rounding. */
const SAME_COST = 1e-6;
const before = (p: Spent, q: Spent): boolean =>
  p.cost < q.cost - SAME_COST || (p.cost < q.cost + SAME_COST && p.number < q.number);
const isLess = (p: readonly Pattern[], q: readonly Pattern[], stocks: readonly PackStock[]): boolean =>
  before(spent(p, stocks), spent(q, stocks));

/** Each piece, largest first, where it first fits; a new stock is of the given kind if the piece fits that, and is changed for the cheapest that holds the same in the end. */
function firstFit({ kinds, stocks, order }: Packs, wanted: number): readonly Pattern[] {
  const open: { stock: number; counts: number[] }[] = [];
  for (const i of order) {
    for (let n = 0; n < kinds[i]!.count; n++) {
      const place = open.find(({ stock, counts }) => stocks[stock]!.fits(more(counts, i)));
      if (place) place.counts = more(place.counts, i);
      else {
        const alone = more(
          kinds.map(() => 0),
          i,
        );
        const takes = (stock: number): boolean => isLeft(stocks, stock, open) && stocks[stock]!.fits(alone);
        const stock = takes(wanted) ? wanted : stocks.findIndex((_, k) => takes(k));
        if (stock < 0) throw new Error('internal: a piece that fits no stock was to be packed');
        open.push({ stock, counts: alone });
      }
    }
  }
  const done: Pattern[] = [];
  open.forEach((pattern, at) => {
    done.push({ stock: cheapest(stocks, pattern, [...done, ...open.slice(at + 1)]), counts: pattern.counts });
  });
  return done;
}

const more = (counts: readonly number[], i: number): number[] => counts.map((n, k) => (k === i ? n + 1 : n));

/** Whether one more of a stock can be had beside those used. */
const isLeft = (stocks: readonly PackStock[], stock: number, used: readonly Pattern[]): boolean => {
  const { most } = stocks[stock]!;
  return most === undefined || used.filter((pattern) => pattern.stock === stock).length < most;
};

const cheapest = (stocks: readonly PackStock[], { stock, counts }: Pattern, others: readonly Pattern[]): number =>
  stocks.reduce(
    (best, { cost, fits }, i) => (cost < stocks[best]!.cost && isLeft(stocks, i, others) && fits(counts) ? i : best),
    stock,
  );

interface Branch {
  readonly left: readonly number[];
  readonly used: readonly Pattern[];
}

interface Search {
  best: readonly Pattern[];
  looks: number;
  /** The least spent so far to have the same pieces left. */
  readonly reached: Map<string, Spent>;
}

function branch(packs: Packs, search: Search, { left, used }: Branch): void {
  const { stocks, order } = packs;
  const largest = order.find((i) => left[i]! > 0);
  if (largest === undefined) {
    if (isLess(used, search.best, stocks)) search.best = used;
    return;
  }
  const now = spent(used, stocks);
  const bound = lowerBound(packs, { left, used });
  if (!before({ cost: now.cost + bound.cost, number: now.number + bound.number }, spent(search.best, stocks))) return;
  const here = [...left, ...stocks.map(({ most }, i) => (most === undefined ? 0 : usedOf(used, i)))].join();
  const known = search.reached.get(here);
  if (known && !before(now, known)) return;
  search.reached.set(here, now);
  for (let stock = 0; stock < stocks.length; stock++) {
    if (!isLeft(stocks, stock, used)) continue;
    const { fits } = stocks[stock]!;
    for (const counts of fullPatterns({ left, largest, order, fits, look: () => search.looks++ < MOST_LOOKS })) {
      branch(packs, search, { left: left.map((n, i) => n - counts[i]!), used: [...used, { stock, counts }] });
      if (search.looks > MOST_LOOKS) return;
    }
  }
}

const usedOf = (used: readonly Pattern[], stock: number): number =>
  used.filter((pattern) => pattern.stock === stock).length;

/** All stock together must have the room that the pieces take at the least, the cheapest first as far as it goes; pieces over half of the widest stock share none. */
function lowerBound({ kinds, stocks }: Packs, { left, used }: Branch): Spent {
  const need = left.reduce((sum, n, i) => sum + n * kinds[i]!.least, 0);
  const widest = Math.max(...stocks.map(({ room }) => room));
  const halves = left.reduce((sum, n, i) => sum + (kinds[i]!.least > widest / 2 + SAME_COST ? n : 0), 0);
  const number = Math.max(1, halves, Math.ceil(need / widest - SAME_COST));
  const offers = stocks
    .map(({ cost, room, most }, i) => ({
      cost,
      room,
      left: most === undefined ? Number.POSITIVE_INFINITY : most - usedOf(used, i),
    }))
    .filter((offer) => offer.left > 0 && offer.room > 0);
  const byRate = [...offers].sort((p, q) => p.cost / p.room - q.cost / q.room);
  let [wanted, byRoom] = [need, 0];
  for (const offer of byRate) {
    const taken = Math.min(wanted, offer.left * offer.room);
    byRoom += (taken * offer.cost) / offer.room;
    wanted -= taken;
  }
  let [missing, byNumber] = [number, 0];
  for (const { cost, left: count } of [...offers].sort((p, q) => p.cost - q.cost)) {
    const taken = Math.min(missing, count);
    if (taken > 0) byNumber += taken * cost;
    missing -= taken;
  }
  return { cost: Math.max(byRoom, byNumber), number };
}

interface Filling {
  readonly left: readonly number[];
  readonly largest: number;
  readonly order: readonly number[];
  readonly fits: PackStock['fits'];
  /** Counts what is looked at; false when it is enough. */
  readonly look: () => boolean;
}

/** Every way to take the largest piece and as many others as go in: what leaves room for one more is never better. */
function* fullPatterns({ left, largest, order, fits, look }: Filling): Generator<readonly number[]> {
  const counts = left.map(() => 0);
  counts[largest] = 1;
  if (!fits(counts)) return;
  function* fill(at: number): Generator<readonly number[]> {
    if (!look()) return;
    const i = order[at];
    if (i === undefined) {
      const more = order.find((k) => counts[k]! < left[k]! && fitsWith(k));
      if (more === undefined) yield [...counts];
      return;
    }
    const from = counts[i]!;
    while (counts[i]! < left[i]! && fitsWith(i)) counts[i] = counts[i]! + 1;
    for (; counts[i]! >= from; counts[i] = counts[i]! - 1) yield* fill(at + 1);
    counts[i] = from;
  }
  const fitsWith = (k: number): boolean => {
    counts[k] = counts[k]! + 1;
    const well = fits(counts);
    counts[k] = counts[k]! - 1;
    return well;
  };
  yield* fill(0);
}
