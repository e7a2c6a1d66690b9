import { SAME_CLR, STOCK_FIT } from '../../geometry/tolerance.ts';
import type { Mm } from '../../geometry/vector.ts';
import type { Job, Saw } from '../../job/job.ts';
import type { Problem } from '../../job/problem.ts';
import type { StockBend, StockSpec } from '../../job/stock.ts';
import { angleText, lengthText, listed } from '../../job/wording.ts';
import type { Piece } from '../solution.ts';
import { type BendBlank, bendBlankOf, holds, leastBend, legShort, nestBends } from './bends.ts';
import type { BendNeed, StockPlan } from './nesting.ts';
import { notEnough } from './on-hand.ts';
import { type Blank, blankOf, nestStraights, usable } from './straights.ts';
import { tubeParts } from './tube-parts.ts';

/**
 * The pieces of every section whose stock the job names, nested into it. A piece that holds one bend, or a part of one, is
 * cut from a bought bend that holds it; one that does not, from a length: bent from it where lengths are bought, and said
 * where there are none.
 */
export function stockPlans(
  job: Job,
  pieces: readonly Piece[],
): { readonly plans: readonly StockPlan[]; readonly problems: readonly Problem[] } {
  const made = (job.stock ?? []).map((stock) => planOf(job, stock, pieces));
  return { plans: made.map(({ plan }) => plan), problems: made.flatMap(({ problems }) => problems) };
}

function planOf(
  job: Job,
  stock: StockSpec,
  all: readonly Piece[],
): { readonly plan: StockPlan; readonly problems: readonly Problem[] } {
  const section = job.sections.find(({ name }) => name === stock.section);
  const pieces = all.flatMap(tubeParts).filter(({ member }) => member.section === section?.actual);
  const saw = sawOf(job, stock);
  const means = { stock, kerf: saw.kerf, bender: job.shop.bender };
  const problems: Problem[] = [];
  const fromBends: BendBlank[] = [];
  const fromLengths: Blank[] = [];
  const needs: BendNeed[] = [];
  pieces.forEach((piece, no) => {
    const blank = bendBlankOf(piece, means);
    const bent = piece.member.centerline.segments.some((segment) => segment.kind === 'bend');
    const least = blank && leastBend(stock, blank.need);
    if (blank) needs.push(least ? { ...blank.need, stock: boughtOf(least) } : blank.need);
    if (blank && least) fromBends.push(blank);
    else if (bent && lengthsOf(stock).length === 0) problems.push(noBend(job, { stock, piece, need: blank?.need }));
    else fromLengths.push(blankOf(piece, no, means));
  });
  const room = Math.max(0, ...lengthsOf(stock).map((length) => usable(length, stock)));
  const fitting = fromLengths.filter(({ length }) => length <= room + STOCK_FIT);
  for (const blank of fromLengths) if (!fitting.includes(blank)) problems.push(tooLong(job, { stock, blank, room }));
  const straights = nestStraights(fitting, stock);
  const bends = nestBends(fromBends, stock);
  problems.push(...notEnough(job, { stock, sticks: straights.sticks, bends: bends.bends }));
  return {
    plan: {
      section: stock.section,
      saw: saw.name,
      kerf: saw.kerf,
      squareEnd: stock.squareEnd,
      trim: stock.trim,
      grip: stock.grip ?? Math.max(0, ...fitting.map(({ grip }) => grip)),
      gripByBender: stock.grip === undefined,
      sticks: straights.sticks,
      sticksProved: straights.proved,
      bends: bends.bends,
      bendsProved: bends.proved,
      needs,
    },
    problems,
  };
}

/** Every length there is, bought or in the rack. */
const lengthsOf = ({ lengths, onHand = [] }: StockSpec): readonly Mm[] => [
  ...lengths,
  ...onHand.filter(({ count }) => count > 0).map(({ length }) => length),
];

const boughtOf = ({ bendAngleDeg, legs }: StockBend) => ({ bendAngleDeg, legs });

function sawOf({ shop }: Job, { saw = shop.saw }: StockSpec): Saw {
  const found = shop.saws.find(({ name }) => name === saw);
  if (!found) throw new Error(`internal: saw "${saw}" was not checked`);
  return found;
}

interface Long {
  readonly stock: StockSpec;
  readonly blank: Blank;
  readonly room: Mm;
}

function tooLong({ units }: Job, { stock, blank, room }: Long): Problem {
  const { piece, length, bent } = blank;
  const tell = (mm: Mm): string => lengthText(mm, units);
  const grips = bent && blank.grip > 0 ? ` with up to ${tell(blank.grip)} of grip at an end` : '';
  const base = { severity: 'warning', path: [...stock.path, 'lengths'] } as const;
  if (lengthsOf(stock).length === 0)
    return {
      ...base,
      code: 'stock/too-short',
      path: stock.path,
      message: `${piece.member.name} takes ${tell(length)} of ${stock.section}, and the stock names bends only`,
      hint: 'add lengths: the straight lengths it is bought in',
    };
  return {
    ...base,
    code: 'stock/too-short',
    message: `${piece.member.name} takes ${tell(length)} of ${stock.section}${grips}; the longest bought length leaves ${tell(room)}: ${tell(length - room)} too short`,
    hint: 'buy longer lengths, or weld it up of two members',
    measured: length,
    limit: room,
  };
}

interface Bendless {
  readonly stock: StockSpec;
  readonly piece: Piece;
  /** Absent where the piece holds more than one bend. */
  readonly need: BendNeed | undefined;
}

/** Why no bought bend will do: more bends than one, a clr that is not bought, too little turn, or a leg too short. */
function noBend(job: Job, { stock, piece, need }: Bendless): Problem {
  const { name, spec } = piece.member;
  const base = { severity: 'warning', path: spec.path } as const;
  if (!need)
    return {
      ...base,
      code: 'stock/no-bend',
      message: `${name} holds more than one bend, and ${stock.section} is bought in bends only`,
      hint: 'part it into members of one bend each, butted where a straight lies between, or add lengths to bend it from',
    };
  const tell = (mm: Mm): string => lengthText(mm, job.units);
  const clrs = [...new Set(stock.bends.map(({ clr }) => clr))].sort((p, q) => p - q);
  const sameClr = stock.bends.filter(({ clr }) => Math.abs(clr - need.clr) <= SAME_CLR);
  if (sameClr.length === 0) {
    const tight = need.clr < clrs[0]!;
    const nearest = clrs.reduce((p, q) => (Math.abs(q - need.clr) < Math.abs(p - need.clr) ? q : p));
    return {
      ...base,
      code: tight ? 'bend/tighter-than-stock' : 'stock/no-bend',
      message: `the bend of ${name} has clr ${tell(need.clr)}; ${stock.section} is bought with clr ${listed(clrs.map(tell))}`,
      hint: `draw it with clr ${tell(nearest)}`,
      measured: need.clr,
      limit: nearest,
    };
  }
  return shortOfTurnOrLeg(job, { need, sameClr, base });
}

function shortOfTurnOrLeg(
  { units }: Job,
  {
    need,
    sameClr,
    base,
  }: {
    readonly need: BendNeed;
    readonly sameClr: readonly StockBend[];
    readonly base: Pick<Problem, 'severity' | 'path'>;
  },
): Problem {
  const whole = need.legs[0] > 0 && need.legs[1] > 0;
  const endless = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY] as const;
  const turning = sameClr.filter((bend) => holds({ ...bend, legs: endless }, need));
  if (turning.length === 0) {
    const most = Math.max(...sameClr.map(({ bendAngleDeg }) => bendAngleDeg));
    return {
      ...base,
      code: 'stock/no-bend',
      message: whole
        ? `${need.member} has a straight on both sides of its bend of ${angleText(need.arcDeg)}, so it takes a bought bend of just that; there are ${listed(sameClr.map(({ bendAngleDeg }) => angleText(bendAngleDeg)))}`
        : `${need.member} takes ${angleText(need.arcDeg)} of bend; the bought ones turn ${angleText(most)} at most`,
      hint: whole
        ? 'part it within the bend, or buy that bend'
        : 'buy a bend of more turn, or part the member within the bend',
      measured: need.arcDeg,
      limit: most,
    };
  }
  const short = Math.min(...turning.map((bend) => legShort(bend, need)));
  const longest = Math.max(...need.legs);
  return {
    ...base,
    code: 'stock/leg-too-short',
    message: `${need.member} takes a leg of ${lengthText(longest, units)} with its ${angleText(need.arcDeg)} of bend; the legs of the bought bends are ${lengthText(short, units)} too short`,
    hint: `shorten the straight by ${lengthText(short, units)}, butt a straight to it there, or buy bends with longer legs`,
    measured: longest,
    limit: longest - short,
  };
}
