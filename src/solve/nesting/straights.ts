import { cosd } from '../../geometry/angle.ts';
import type { Section } from '../../geometry/section.ts';
import { SAME_ANGLE, STOCK_FIT } from '../../geometry/tolerance.ts';
import type { Deg, Mm } from '../../geometry/vector.ts';
import type { Bender } from '../../job/job.ts';
import type { StockSpec } from '../../job/stock.ts';
import type { CutEnd, Piece } from '../solution.ts';
import { layPieces, type StickEnd, type StickPiece, savedBy } from './miter-order.ts';
import type { Stick, StickCut, StickPart } from './nesting.ts';
import { type Packing, packLeast } from './pack.ts';

/** A piece as it is sawn from a length. */
export interface Blank extends StickPiece {
  readonly piece: Piece;
  /** Long point to long point, with what is left on for trimming or gripping. */
  readonly length: Mm;
  /** Room for the blade beside it, along the stick: a kerf at the steeper of its two cuts. */
  readonly kerf: Mm;
  readonly bent: boolean;
  /** The longer of what is left on its ends for the bender. */
  readonly grip: Mm;
}

/** Left on the two ends of a bent piece: as the job says, or as much as its first and last straight are short of what the bender holds. */
function gripsOf(
  { member, from, to }: Piece,
  { stock, bender }: { readonly stock: StockSpec; readonly bender: Bender | undefined },
): readonly [Mm, Mm] {
  if (stock.grip !== undefined) return [stock.grip, stock.grip];
  const bends = member.centerline.segments.filter((segment) => segment.kind === 'bend');
  const [first, last] = [bends[0], bends.at(-1)];
  if (!bender || !first || !last) return [0, 0];
  const short = (needs: Mm | undefined, straight: Mm): Mm => Math.max(0, (needs ?? 0) - Math.max(0, straight));
  return [short(bender.first, first.s0 - from), short(bender.last, to - last.s0 - last.length)];
}

/** The blank of a piece: as it will be cut, or straight and longer by both grips where it is bent from a length. */
export function blankOf(
  piece: Piece,
  no: number,
  { stock, kerf, bender }: { readonly stock: StockSpec; readonly kerf: Mm; readonly bender?: Bender | undefined },
): Blank {
  const bent = piece.member.centerline.segments.some((segment) => segment.kind === 'bend');
  const grips = bent ? gripsOf(piece, { stock, bender }) : ([0, 0] as const);
  const extra = (end: CutEnd | undefined): Mm => (end ? stock.trim : 0);
  const length = piece.longLength + grips[0] + grips[1] + extra(piece.startEnd) + extra(piece.finishEnd);
  const plain = bent || stock.trim > 0;
  const ends = [piece.startEnd, piece.finishEnd].map((end) => (plain ? SQUARE : mating(end))) as [StickEnd, StickEnd];
  // A piece shorter than its two slants has no straight run between two neighbors that share them.
  const slim = length <= ends[0].reach + ends[1].reach;
  const steepest = plain ? 0 : Math.max(...[piece.startEnd, piece.finishEnd].map((end) => end?.flat?.miterDeg ?? 0));
  return {
    no,
    piece,
    length,
    grip: Math.max(...grips),
    kerf: kerf / cosd(steepest),
    bent,
    ends: slim ? [SQUARE, SQUARE] : ends,
  };
}

const SQUARE: StickEnd = { mate: '', reach: 0 };

/**
 * Two flat cuts mate where one pass makes both: the same slant, and planes that can be turned into one by rolling the
 * tubes into each other. A round tube rolls any way, a square one by quarters, others by halves.
 */
function mating(end: CutEnd | undefined): StickEnd {
  const flat = end?.flat;
  if (!end || !flat || flat.miterDeg < SAME_ANGLE) return SQUARE;
  const side = rollSide(end.member.section, flat.longPointDeg);
  if (side === undefined) return SQUARE;
  const reach = Math.abs(end.longPoint - end.shortPoint);
  return { mate: `${(flat.miterDeg / SAME_ANGLE).toFixed(0)} ${side}`, reach };
}

/** Sides of the long point that rolling carries into each other have one name; none where the slant lies askew. */
function rollSide(section: Section, longPointDeg: Deg): string | undefined {
  if (section.kind === 'round') return 'any';
  const quarter = longPointDeg / 90;
  if (Math.abs(quarter - Math.round(quarter)) * 90 > SAME_ANGLE) return undefined;
  if (section.kind === 'rectangle' && section.width === section.height) return 'any';
  return Math.round(quarter) % 2 === 0 ? 'up' : 'side';
}

/** Lengths bought, and each piece's place in them. Every blank must fit the longest. */
export function nestStraights(
  blanks: readonly Blank[],
  stock: StockSpec,
): { readonly sticks: readonly Stick[]; readonly proved: boolean } {
  if (blanks.length === 0) return { sticks: [], proved: true };
  const kinds = kindsOf(blanks);
  const offers = offersOf(stock);
  const packing = pack(kinds, { offers, stock });
  const waiting = kinds.map((kind) => [...kind]);
  const sticks = packing.used.map(({ stock: which, counts }) => {
    const own = counts.flatMap((n, i) => waiting[i]!.splice(0, n));
    const { length, onHand } = offers[which]!;
    return { ...stickOf(own, { length, squareEnd: stock.squareEnd }), onHand };
  });
  return { sticks: sticks.sort((p, q) => q.length - p.length || p.left - q.left), proved: packing.proved };
}

interface Offer {
  readonly length: Mm;
  readonly onHand: boolean;
  readonly cost: number;
  readonly most?: number;
}

/** Share of its length that a length in the rack costs: nothing beside one that is bought, and the least of it is cut up. */
const IN_RACK = 1e-4;
/** A length longer than any that is bought, where more are needed than are in the rack, is put up with where nothing else does. */
const NOT_SOLD = 1000;

/** What pieces may be cut from: the rack, what is bought, and one more as long as the longest of both. */
function offersOf({ lengths, onHand = [] }: StockSpec): readonly Offer[] {
  const rack = onHand.map(
    ({ length, count }): Offer => ({ length, onHand: true, cost: IN_RACK * length, most: count }),
  );
  const bought = lengths.map((length): Offer => ({ length, onHand: false, cost: length }));
  const longest = Math.max(...rack.map(({ length }) => length), ...lengths);
  const beyond = lengths.includes(longest) ? [] : [{ length: longest, onHand: false, cost: NOT_SOLD * longest }];
  return [...rack, ...bought, ...beyond];
}

/** Blanks that are alike, longest first. */
function kindsOf(blanks: readonly Blank[]): readonly (readonly Blank[])[] {
  const kinds = new Map<string, Blank[]>();
  for (const blank of [...blanks].sort((p, q) => q.length - p.length || p.no - q.no)) {
    const key = [blank.length.toFixed(6), blank.kerf.toFixed(6), ...blank.ends.map(({ mate }) => mate).sort()].join(
      '|',
    );
    kinds.set(key, [...(kinds.get(key) ?? []), blank]);
  }
  return [...kinds.values()];
}

/** Kept length between the squared ends of a stick. */
export const usable = (length: Mm, { squareEnd }: Pick<StockSpec, 'squareEnd'>): Mm => length - 2 * squareEnd;

function pack(
  kinds: readonly (readonly Blank[])[],
  { offers, stock }: { readonly offers: readonly Offer[]; readonly stock: StockSpec },
): Packing {
  const room = (length: Mm, kerf: Mm): Mm => usable(length, stock) + kerf;
  const kerf = Math.min(...kinds.map(([blank]) => blank!.kerf));
  return packLeast(
    kinds.map((kind) => {
      const { length, kerf: own, ends } = kind[0]!;
      return { count: kind.length, least: length + own - (ends[0].reach + ends[1].reach) / 2 };
    }),
    offers.map(({ length, cost, most }) => ({
      cost,
      ...(most === undefined ? {} : { most }),
      room: room(length, kerf),
      fits: (counts) => taken(counts.flatMap((n, i) => kinds[i]!.slice(0, n))) <= usable(length, stock) + STOCK_FIT,
    })),
  );
}

/** Length of stick that blanks take together, with a kerf between each two. */
function taken(blanks: readonly Blank[]): Mm {
  if (blanks.length === 0) return 0;
  const all = blanks.reduce((sum, { length, kerf }) => sum + length + kerf, 0);
  return all - Math.min(...blanks.map(({ kerf }) => kerf)) - savedBy(blanks);
}

function stickOf(
  blanks: readonly Blank[],
  { length, squareEnd }: { readonly length: Mm; readonly squareEnd: Mm },
): Omit<Stick, 'onHand'> {
  const laid = layPieces(blanks).map((place) => ({ ...place, blank: blanks.find(({ no }) => no === place.no)! }));
  const pieces: StickPart[] = [];
  laid.forEach(({ blank, turned, shares }, i) => {
    const before = laid[i - 1];
    const last = pieces.at(-1);
    const gap = before ? Math.max(blank.kerf, before.blank.kerf) : 0;
    const back = shares ? blank.ends[turned ? 1 : 0].reach : 0;
    const from = last ? last.to + gap - back : squareEnd;
    pieces.push({
      member: blank.piece.member.name,
      from,
      to: from + blank.length,
      turned,
      bent: blank.bent,
      ends: cutsOf(blank, { turned, shared: [shares, laid[i + 1]?.shares === true] }),
    });
  });
  return { length, pieces, left: Math.max(0, length - pieces.at(-1)!.to - laid.at(-1)!.blank.kerf) };
}

function cutsOf(
  { piece, ends, bent }: Blank,
  { turned, shared }: { readonly turned: boolean; readonly shared: readonly [boolean, boolean] },
): readonly [StickCut, StickCut] {
  const flats = [piece.startEnd, piece.finishEnd].map((end, i) =>
    bent || ends[i]!.mate === '' ? undefined : end?.flat,
  );
  const apart = Math.abs((flats[0]?.longPointDeg ?? 0) - (flats[1]?.longPointDeg ?? 0)) % 360;
  const sameSide = Math.min(apart, 360 - apart) < 90;
  const cuts = flats.map(
    (flat, i): StickCut => ({
      miterDeg: flat?.miterDeg ?? 0,
      reach: ends[i]!.reach,
      shared: shared[turned ? 1 - i : i]!,
      sameSide,
    }),
  );
  return turned ? [cuts[1]!, cuts[0]!] : [cuts[0]!, cuts[1]!];
}
