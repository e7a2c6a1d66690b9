import { perimeter, type Section } from '../geometry/section.ts';
import { GRAPHIC_DIFFERENCE, WRAP_ROOM } from '../geometry/tolerance.ts';
import { sectionAt } from '../geometry/tube-shape.ts';
import { generatorLength, lengthRound, uAtShare } from '../geometry/tube-surface.ts';
import type { Deg, Mm, Vec2 } from '../geometry/vector.ts';
import { traceCurve } from '../solve/cut-curve.ts';
import type { CutCurve, CutEnd, EndName, FlatCut, Solution, Surface } from '../solve/solution.ts';
import { cutS } from './cut-places.ts';
import { type WrapBend, wrapBend } from './wrap-bend.ts';
import { taperOfCut, unrollTaper, type WrapTaper } from './wrap-taper.ts';

/**
 * A cut end unrolled from the outside of its tube, true to size, to be printed, cut out and wrapped round the tube with
 * the print outward. x runs round the outside from the witness line, clockwise looking from the member's start to its
 * end; y runs along the tube from the base line, outward over the kept part to the cut and past it over the waste.
 */
export interface WrapTemplate {
  readonly job: string;
  readonly units: 'mm' | 'in';
  /** `member.end`, as the job file names it. */
  readonly id: string;
  readonly member: string;
  readonly end: EndName;
  readonly joint: string;
  readonly jointKind: CutEnd['jointKind'];
  readonly gap: Mm;
  readonly section: Section;
  readonly flat?: Pick<FlatCut, 'miterDeg' | 'longPointDeg'>;
  /** Of a flat cut in a bend: along the centerline from the tangent point on the kept side; bends count from 1. */
  readonly inBend?: { readonly bend: number; readonly intoBendDeg: Deg };
  /** Round the outside of the tube at the base line: the width of the pattern and what a tape laid there must read. */
  readonly around: Mm;
  readonly base: WrapBase;
  /** For a cut along the joint itself. */
  readonly outer: WrapLine;
  /** For an edge cut square to the wall; absent where that edge would not meet the joint all round. */
  readonly square?: WrapLine;
  /** The square line lies on the outer one all round. */
  readonly oneLine: boolean;
  /** Of the outer line, from the base line. */
  readonly longPoint: Mm;
  readonly shortPoint: Mm;
  /** Highest point of any line. */
  readonly height: Mm;
  readonly witness: readonly WitnessLine[];
  readonly ordinates: readonly WrapOrdinate[];
  readonly bend?: WrapBend;
  /** Of a cut in a taper: the pattern as it lies unrolled. */
  readonly taper?: WrapTaper;
  /** How much a paper of `thickness` falls short at the seam: its middle runs round a longer way than the tube's outside. */
  readonly paper: { readonly thickness: Mm; readonly short: Mm };
}

/** A line square to the tube on the kept part, to lay the template by. */
export interface WrapBase {
  /** Arc length from the member's start. */
  readonly s: Mm;
  /** What it is measured from: the long point of the tube's other end, or the nearer end of the last bend or taper before it. */
  readonly from: 'other-end' | 'tangent-point' | 'taper-end';
  readonly distance: Mm;
}

export interface WrapLine {
  readonly surface: Surface;
  /** From x = 0 to the full way round, both included. */
  readonly points: readonly Vec2[];
}

export interface WitnessLine {
  readonly turnDeg: 0 | 90 | 180 | 270;
  readonly side: 'up' | 'right' | 'down' | 'left';
  readonly x: Mm;
}

export interface WrapOrdinate {
  /** 1 lies on the witness line. */
  readonly mark: number;
  /** Share of the way round, in degrees; an angle at the axis on round tube only. */
  readonly turnDeg: Deg;
  readonly around: Mm;
  /** From the base line along the tube's own surface. */
  readonly outer: Mm;
  readonly square?: Mm;
}

export interface WrapOptions {
  /** The solution the end is of. */
  readonly solution: Solution;
  /** Copy paper of 80 g/m^2 is 0.1 mm thick (common practice). */
  readonly paperThickness?: Mm;
}

const SIDES = ['up', 'right', 'down', 'left'] as const;
const TURNS = [0, 90, 180, 270] as const;
const ORDINATES = 16;
/** Of the samples, for a look at whether two lines are one. */
const EVERY = 4;
const COPY_PAPER: Mm = 0.1;

/**
 * Template of one cut end. A flat cut at angle a from square on round tube of radius r comes out as r tan(a) cos(x/r)
 * (Apostol and Mnatsakanian, Amer. Math. Monthly 114, 2007). In a bend y is each line's own arc length on the tube, on a
 * taper its length on the slant. The cut must not run over the end of a taper (`canWrap`).
 */
export function wrapTemplate(end: CutEnd, options: WrapOptions): WrapTemplate {
  const { member } = end;
  const { job } = options.solution;
  const thickness = options.paperThickness ?? COPY_PAPER;
  const squareCurve = squareOf(end, job.shop.chordTolerance);
  const curves = squareCurve ? [end.curves.outer, squareCurve] : [end.curves.outer];
  const base = baseOf(end, { curves, solution: options.solution });
  const around = perimeter(sectionAt(member, base.s));
  const outer = lineOf(end, end.curves.outer, base.s);
  const square = squareCurve && lineOf(end, squareCurve, base.s);
  const bend = wrapBend(end, { curves, base: base.s });
  const taper = taperOfCut(end);
  const unrolling = {
    base: base.s,
    outer: end.curves.outer,
    ...(squareCurve ? { square: squareCurve } : {}),
    ticks: Array.from({ length: ORDINATES }, (_, i) => uAtShare(member, base.s, i / ORDINATES)),
  };
  return {
    job: job.name,
    units: job.units,
    id: end.id,
    member: member.name,
    end: end.end,
    joint: end.joint,
    jointKind: end.jointKind,
    gap: end.gap,
    section: sectionAt(member, base.s),
    ...(end.flat ? { flat: { miterDeg: end.flat.miterDeg, longPointDeg: end.flat.longPointDeg } } : {}),
    ...(end.flat && end.bend ? { inBend: { bend: end.bend.index + 1, intoBendDeg: end.bend.intoBendDeg } } : {}),
    around,
    base,
    outer,
    ...(square ? { square } : {}),
    oneLine: squareCurve !== undefined && sameLine(end, squareCurve),
    longPoint: highest(outer),
    shortPoint: Math.min(...outer.points.map(([, y]) => y)),
    height: Math.max(highest(outer), square ? highest(square) : 0),
    witness: SIDES.map((side, i) => ({ turnDeg: TURNS[i]!, side, x: lengthRound(member, base.s, i / 4) })),
    ordinates: ordinatesOf(end, { base: base.s, square: squareCurve !== undefined }),
    ...(bend ? { bend } : {}),
    ...(taper ? { taper: unrollTaper(end, taper, unrolling) } : {}),
    paper: { thickness, short: Math.PI * thickness },
  };
}

const highest = (line: WrapLine): Mm => Math.max(...line.points.map(([, y]) => y));

/** The square curve, traced now where no tool of the job needed it. */
function squareOf(end: CutEnd, chordTolerance: Mm): CutCurve | undefined {
  if (end.curves.square) return end.curves.square;
  const traced = traceCurve(end, 'square', chordTolerance);
  return 'curve' in traced ? traced.curve : undefined;
}

const dirOf = (end: CutEnd): 1 | -1 => (end.end === 'end' ? 1 : -1);

/** From the base line to s along the tube's own surface at u, outward positive. */
function heightAt(end: CutEnd, u: number, { base, s }: { readonly base: Mm; readonly s: Mm }): Mm {
  return dirOf(end) * generatorLength(end.member, u, { from: base, to: s });
}

function lineOf(end: CutEnd, { surface, samples }: CutCurve, base: Mm): WrapLine {
  const around = perimeter(sectionAt(end.member, base));
  const points = samples.map(({ u, s }): Vec2 => [lengthRound(end.member, base, u), heightAt(end, u, { base, s })]);
  const first = points[0];
  if (first?.[0] !== 0) throw new Error(`internal: the curve of ${end.id} does not begin on the witness line`);
  return { surface, points: [...points, [around, first[1]]] };
}

const sameLine = (end: CutEnd, square: CutCurve): boolean =>
  square.samples.every(({ u, s }, i) => i % EVERY !== 0 || Math.abs(s - cutS(end, u, 'outer')) < GRAPHIC_DIFFERENCE);

const ordinatesOf = (end: CutEnd, has: { readonly base: Mm; readonly square: boolean }): readonly WrapOrdinate[] =>
  Array.from({ length: ORDINATES }, (_, i) => {
    const u = uAtShare(end.member, has.base, i / ORDINATES);
    const height = (surface: Surface): Mm => heightAt(end, u, { base: has.base, s: cutS(end, u, surface) });
    return {
      mark: i + 1,
      turnDeg: (360 * i) / ORDINATES,
      around: lengthRound(end.member, has.base, u),
      outer: height('outer'),
      ...(has.square ? { square: height('square') } : {}),
    };
  });

/** Marks are set out to a whole millimeter, or a sixteenth of an inch. */
const STEP = { mm: 1, in: 25.4 / 16 } as const;

/**
 * Where the base line lies: back from the cut by the room of a hand's grip, on the same straight, or before the bend that
 * the cut lies in; nearer where the tube's other end, another bend or a taper leaves less. In a taper it is where the taper
 * begins. All in outward coordinates t = dir * s.
 */
function baseOf(end: CutEnd, of: { readonly curves: readonly CutCurve[]; readonly solution: Solution }): WrapBase {
  const dir = dirOf(end);
  const line = end.member.centerline;
  const { units } = of.solution.job;
  const piece = of.solution.pieces.find(({ member }) => member.name === end.member.name);
  if (!piece) throw new Error(`internal: no piece of ${end.member.name}`);
  const low = Math.min(...of.curves.flatMap((curve) => curve.samples.map((x) => dir * x.s)));
  const other = end.end === 'end' ? piece.startEnd : piece.finishEnd;
  const otherLong = dir * (end.end === 'end' ? piece.from : piece.to);
  const otherShort = other ? dir * other.shortPoint : otherLong;
  const before = line.segments
    .filter(({ kind }) => kind !== 'straight')
    .map(({ s0, length, kind }) => ({
      kind,
      ...(dir > 0 ? { near: s0, far: s0 + length } : { near: -s0 - length, far: -s0 }),
    }))
    .filter(({ near }) => near < low)
    .sort((p, q) => q.far - p.far);
  const [last, earlier] = before;
  if (taperOfCut(end) && last) {
    const t = Math.max(last.near, Math.min(otherShort, low - WRAP_ROOM.least));
    const fromEnd = otherLong >= last.near;
    return { s: dir * t, from: fromEnd ? 'other-end' : 'taper-end', distance: t - (fromEnd ? otherLong : last.near) };
  }
  const inBend = last?.kind === 'bend' && low - last.far < WRAP_ROOM.least;
  const start = inBend ? Math.max(last.near, Math.min(otherShort, low)) : low;
  const behind = inBend ? earlier : last;
  const floor = Math.min(start, Math.max(otherShort, behind?.far ?? Number.NEGATIVE_INFINITY));
  const past = behind && behind.far > otherLong;
  const from = !past ? 'other-end' : behind.kind === 'taper' ? 'taper-end' : 'tangent-point';
  const zero = past ? behind.far : otherLong;
  const wish = Math.max(floor, start - WRAP_ROOM.wanted);
  const stepped = zero + Math.floor((wish - zero) / STEP[units] + WRAP_ROOM.noise) * STEP[units];
  const t = stepped >= floor ? stepped : wish;
  return { s: dir * t, from, distance: t - zero };
}
