import { cosd, sind, toDegrees } from '../../geometry/angle.ts';
import { arcLength } from '../../geometry/bends.ts';
import type { BendSegment } from '../../geometry/centerline.ts';
import { outlineAt } from '../../geometry/section.ts';
import { SAME_ANGLE, SAME_CLR, STOCK_FIT } from '../../geometry/tolerance.ts';
import type { Deg, Mm } from '../../geometry/vector.ts';
import type { StockBend, StockSpec } from '../../job/stock.ts';
import { keptTube } from '../kept-tube.ts';
import type { Piece } from '../solution.ts';
import type { BendNeed, BendPart, CutBend } from './nesting.ts';
import { packLeast } from './pack.ts';

/** A piece that holds one bend or a part of one, as it is cut from a bought bend. */
export interface BendBlank {
  readonly piece: Piece;
  readonly segment: BendSegment;
  readonly need: BendNeed;
  /** Turn that a cut takes, measured where the tube is nearest to the bend's center. */
  readonly kerfDeg: Deg;
}

/** What a piece needs of a bend; undefined where it holds none, or more than one. */
export function bendBlankOf(
  piece: Piece,
  { stock, kerf }: { readonly stock: StockSpec; readonly kerf: Mm },
): BendBlank | undefined {
  const { member } = piece;
  const { from, to } = keptTube(piece);
  const held = member.centerline.segments.filter(
    (segment): segment is BendSegment =>
      segment.kind === 'bend' && Math.min(to, segment.s0 + segment.length) - Math.max(from, segment.s0) > STOCK_FIT,
  );
  const [segment, other] = held;
  if (!segment || other) return undefined;
  const end = segment.s0 + segment.length;
  const inside = insideRadius(segment, piece);
  const trimDeg = toDegrees(stock.trim / inside);
  const arc = (Math.min(to, end) - Math.max(from, segment.s0)) / segment.clr;
  const within = (from > segment.s0 ? 1 : 0) + (to < end ? 1 : 0);
  const leg = (straight: Mm, cut: boolean): Mm =>
    straight > STOCK_FIT ? straight + (cut ? stock.trim : stock.squareEnd) : 0;
  return {
    piece,
    segment,
    kerfDeg: toDegrees(kerf / inside),
    need: {
      member: member.name,
      clr: segment.clr,
      arcDeg: Math.min(toDegrees(arc) + within * trimDeg, segment.bendAngleDeg),
      legs: [leg(segment.s0 - from, piece.startEnd !== undefined), leg(to - end, piece.finishEnd !== undefined)],
    },
  };
}

/** Radius of the tube's inside in a bend; a bend that all but folds there counts as a hundredth of its clr. */
function insideRadius({ clr, towardDeg }: BendSegment, { member: { section } }: Piece): Mm {
  const reach = Math.max(
    ...Array.from({ length: 72 }, (_, i) => {
      const [a, b] = outlineAt(section, i / 72).point;
      return a * sind(towardDeg) + b * cosd(towardDeg);
    }),
  );
  return Math.max(clr - reach, clr / 100);
}

const hasBoth = ({ legs }: BendNeed): boolean => legs[0] > 0 && legs[1] > 0;
const longest = ({ legs }: BendNeed): Mm => Math.max(...legs);

/** Whether a piece can be cut from a bought bend, either way round; one with straights at both sides takes the whole turn. */
export function holds(bend: StockBend, need: BendNeed): boolean {
  if (Math.abs(bend.clr - need.clr) > SAME_CLR) return false;
  if (need.arcDeg > bend.bendAngleDeg + SAME_ANGLE) return false;
  if (hasBoth(need) && need.arcDeg < bend.bendAngleDeg - SAME_ANGLE) return false;
  return legShort(bend, need) <= STOCK_FIT;
}

/** How much the legs of a bend are too short, the better way round. */
export function legShort({ legs: [p, q] }: StockBend, { legs: [first, last] }: BendNeed): Mm {
  const over = (a: Mm, b: Mm): Mm => Math.max(0, first - a, last - b);
  return Math.min(over(p, q), over(q, p));
}

export const lengthOf = ({ clr, bendAngleDeg, legs }: StockBend): Mm =>
  legs[0] + arcLength(clr, bendAngleDeg) + legs[1];

/** Bought bend of least turn, then least length, that holds the piece. */
export const leastBend = (stock: StockSpec, need: BendNeed): StockBend | undefined =>
  stock.bends
    .filter((bend) => holds(bend, need))
    .reduce<StockBend | undefined>(
      (p, q) =>
        p === undefined ||
        q.bendAngleDeg < p.bendAngleDeg ||
        (q.bendAngleDeg === p.bendAngleDeg && lengthOf(q) < lengthOf(p))
          ? q
          : p,
      undefined,
    );

/** Bends bought, and what is cut from each. Every blank must be held by some bend of the stock. */
export function nestBends(
  blanks: readonly BendBlank[],
  stock: StockSpec,
): { readonly bends: readonly CutBend[]; readonly proved: boolean } {
  const bends: CutBend[] = [];
  let proved = true;
  for (const group of byClr(blanks)) {
    const kinds = kindsOf(group);
    const stocks = stock.bends.filter((bend) => Math.abs(bend.clr - group[0]!.need.clr) <= SAME_CLR);
    const kerf = Math.min(...group.map(({ kerfDeg }) => kerfDeg));
    const packing = packLeast(
      kinds.map((kind) => ({ count: kind.length, least: kind[0]!.need.arcDeg + kind[0]!.kerfDeg })),
      stocks.map((bend) => ({
        cost: lengthOf(bend),
        room: bend.bendAngleDeg + SAME_ANGLE + kerf,
        fits: (counts) =>
          laidIn(
            bend,
            counts.flatMap((n, i) => kinds[i]!.slice(0, n)),
          ) !== undefined,
      })),
    );
    const waiting = kinds.map((kind) => [...kind]);
    for (const { stock: which, counts } of packing.used) {
      const own = counts.flatMap((n, i) => waiting[i]!.splice(0, n));
      bends.push(cutBend(stocks[which]!, own));
    }
    proved &&= packing.proved;
  }
  return { bends, proved };
}

function byClr(blanks: readonly BendBlank[]): readonly (readonly BendBlank[])[] {
  const groups: BendBlank[][] = [];
  for (const blank of blanks) {
    const own = groups.find((group) => Math.abs(group[0]!.need.clr - blank.need.clr) <= SAME_CLR);
    if (own) own.push(blank);
    else groups.push([blank]);
  }
  return groups;
}

function kindsOf(blanks: readonly BendBlank[]): readonly (readonly BendBlank[])[] {
  const kinds = new Map<string, BendBlank[]>();
  for (const blank of [...blanks].sort((p, q) => q.need.arcDeg - p.need.arcDeg)) {
    const { arcDeg, legs } = blank.need;
    const key = [arcDeg, blank.kerfDeg, ...[...legs].sort((p, q) => p - q)].map((x) => x.toFixed(6)).join('|');
    kinds.set(key, [...(kinds.get(key) ?? []), blank]);
  }
  return [...kinds.values()];
}

interface LaidBlank {
  readonly blank: BendBlank;
  readonly at: 'first' | 'between' | 'last';
}

/** Where each piece goes: one with a straight to the leg that is long enough, the others between; undefined where they do not fit. */
function laidIn(bend: StockBend, blanks: readonly BendBlank[]): readonly LaidBlank[] | undefined {
  if (!blanks.every(({ need }) => holds(bend, need))) return undefined;
  const legged = blanks.filter(({ need }) => longest(need) > 0);
  if (blanks.length > 1 && blanks.some(({ need }) => hasBoth(need))) return undefined;
  if (legged.length > 2) return undefined;
  const arcs = blanks.reduce((sum, { need, kerfDeg }) => sum + need.arcDeg + kerfDeg, 0);
  const last = Math.min(...blanks.map(({ kerfDeg }) => kerfDeg));
  if (blanks.length > 0 && arcs - last > bend.bendAngleDeg + SAME_ANGLE) return undefined;
  const places = placesOfLegged(bend, legged);
  if (!places) return undefined;
  const between = blanks.filter(({ need }) => longest(need) === 0).map((blank) => ({ blank, at: 'between' }) as const);
  return [...places.filter(({ at }) => at === 'first'), ...between, ...places.filter(({ at }) => at === 'last')];
}

function placesOfLegged({ legs }: StockBend, legged: readonly BendBlank[]): readonly LaidBlank[] | undefined {
  const [p, q] = legged;
  if (!p) return [];
  if (hasBoth(p.need)) return [{ blank: p, at: 'first' }];
  const goes = (blank: BendBlank, leg: 0 | 1): boolean => longest(blank.need) <= legs[leg] + STOCK_FIT;
  if (!q) return goes(p, 0) ? [{ blank: p, at: 'first' }] : goes(p, 1) ? [{ blank: p, at: 'last' }] : undefined;
  if (goes(p, 0) && goes(q, 1))
    return [
      { blank: p, at: 'first' },
      { blank: q, at: 'last' },
    ];
  if (goes(q, 0) && goes(p, 1))
    return [
      { blank: q, at: 'first' },
      { blank: p, at: 'last' },
    ];
  return undefined;
}

function cutBend(bend: StockBend, blanks: readonly BendBlank[]): CutBend {
  const laid = laidIn(bend, blanks);
  if (!laid) throw new Error('internal: pieces that do not fit a bend were nested into it');
  const { clr, bendAngleDeg, legs } = bend;
  const pieces: BendPart[] = [];
  const left: { fromDeg: Deg; toDeg: Deg; arcLength: Mm }[] = [];
  const leave = (fromDeg: Deg, toDeg: Deg): void => {
    if (toDeg - fromDeg > SAME_ANGLE) left.push({ fromDeg, toDeg, arcLength: arcLength(clr, toDeg - fromDeg) });
  };
  let at: Deg = 0;
  laid.forEach(({ blank, at: place }, i) => {
    const { need, kerfDeg } = blank;
    const kerf = i === 0 ? 0 : Math.max(kerfDeg, laid[i - 1]!.blank.kerfDeg);
    // What holds the last leg ends at its tangent point.
    const from = place === 'last' ? Math.max(at + kerf, bendAngleDeg - need.arcDeg) : at + kerf;
    if (place === 'last') leave(i === 0 ? 0 : at + kerf, from - kerfDeg);
    const to = Math.min(from + need.arcDeg, bendAngleDeg);
    pieces.push({ member: need.member, fromDeg: from, toDeg: to, ...wayRound(need, place, legs) });
    at = to;
  });
  leave(at + laid.at(-1)!.blank.kerfDeg, bendAngleDeg);
  return { clr, bendAngleDeg, legs, pieces, left };
}

/** Which of the piece's straights lies at the first leg. */
function wayRound(need: BendNeed, place: LaidBlank['at'], legs: StockBend['legs']): Pick<BendPart, 'legs' | 'turned'> {
  const [start, end] = need.legs;
  const turned = hasBoth(need)
    ? start > legs[0] + STOCK_FIT || end > legs[1] + STOCK_FIT
    : place === 'first'
      ? end > 0
      : place === 'last' && start > 0;
  return { turned, legs: turned ? [end, start] : [start, end] };
}
