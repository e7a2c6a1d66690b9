import { cosd, sind, toRadians } from '../geometry/angle.ts';
import type { BendSegment } from '../geometry/centerline.ts';
import { outlineToward } from '../geometry/outline-toward.ts';
import type { Section } from '../geometry/section.ts';
import { isTapered, outlineOn, tapersOf } from '../geometry/tube-shape.ts';
import { lengthRound, uFacing } from '../geometry/tube-surface.ts';
import type { Deg, Mm, Vec2 } from '../geometry/vector.ts';
import type { HeatGrowth } from '../solve/heat-growth.ts';
import type { StockPlan } from '../solve/nesting/nesting.ts';
import type { CutEnd, EndName, Member, MergeReport, Piece, Solution, Solving } from '../solve/solution.ts';
import { type BendingRows, bendingRows, type PointRow, pointRows } from './bending-rows.ts';
import { cutS, fromDatum } from './cut-places.ts';
import { type ElbowRow, elbowRow } from './elbow-rows.ts';
import { type FitUpRows, fitUpRows } from './fit-up-rows.ts';
import { type MassRow, type MassTotals, massRows } from './mass-rows.ts';
import { type OpeningRow, openingRow } from './opening-rows.ts';
import { type PlateRow, plateRow } from './plate-rows.ts';
import { type InTaperRow, inTaperRow, type TaperRow, taperRow } from './taper-rows.ts';

/** Every number the person at the saw and the bender needs; lengths mm, angles degrees, areas mm^2. */
export interface CutTable {
  readonly job: string;
  readonly units: 'mm' | 'in';
  readonly pieces: readonly PieceRow[];
  readonly merges: readonly MergeRow[];
  readonly elbows: readonly ElbowRow[];
  readonly openings: readonly OpeningRow[];
  /** How the pieces come out of what is bought, for the sections whose stock the job names. */
  readonly stock: readonly StockPlan[];
  readonly plates: readonly PlateRow[];
  readonly masses: MassTotals;
  readonly heat: readonly HeatGrowth[];
  /** What to measure when the pieces stand together. */
  readonly fitUp: FitUpRows;
}

export interface PieceRow {
  readonly member: string;
  readonly mirrorOf?: string;
  /** At its start; `tapers` say where it changes. */
  readonly section: Section;
  readonly tapers?: readonly TaperRow[];
  readonly material?: string;
  /** Least stock for the piece, along the centerline: from long point to long point. */
  readonly stockLength: Mm;
  readonly longLength: Mm;
  readonly shortLength: Mm;
  /** Of the drawn centerline, work point to work point. */
  readonly developedLength: Mm;
  /** mm^3 of metal between the cuts. */
  readonly metal: number;
  /** kg; absent where the density is not known. */
  readonly mass?: number;
  readonly ends: readonly EndRow[];
  /** Start, corners and end of the drawn centerline. */
  readonly points: readonly PointRow[];
  readonly bending?: BendingRows;
  readonly solved: readonly SolvedRow[];
  /** How the solved values were come by; absent where nothing was to solve. */
  readonly solving?: SolvingRow;
}

export interface SolvingRow extends Omit<Solving, 'others'> {
  /** Other answers that meet the goals. */
  readonly others: readonly { readonly solved: readonly SolvedRow[]; readonly developedLength: Mm }[];
}

export interface SolvedRow {
  readonly what: string;
  readonly value: number;
  readonly unit: 'mm' | 'deg';
}

/** One end. Distances run along the centerline from the datum, which is the long point of the piece's other end. */
export interface EndRow {
  readonly end: EndName;
  readonly cut: 'plain' | 'flat' | 'curved';
  /** Absent on an end that stays as it comes. */
  readonly joint?: string;
  readonly jointKind?: CutEnd['jointKind'];
  readonly gap: Mm;
  /** Added to the length for what the weld draws in; already in the points. */
  readonly shrink?: Mm;
  readonly longPoint: Mm;
  readonly shortPoint: Mm;
  readonly flat?: {
    /** From a square cut. */
    readonly miterDeg: Deg;
    /** Side of the long point, degrees clockwise from the witness line, looking from the member's start to its end. */
    readonly longPointDeg: Deg;
    /** Where the cut meets the centerline. */
    readonly center: Mm;
  };
  readonly inBend?: InBendRow;
  readonly inTaper?: InTaperRow;
  /** Of a curved cut, on the outside of the tube. */
  readonly ordinates?: readonly Ordinate[];
}

/** A cut within a bend: marks from the tangent point on the kept side, along the tube's own surface. */
export interface InBendRow {
  /** Counted from 1. */
  readonly bend: number;
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  /** Of the centerline; only a flat cut has one. */
  readonly intoBendDeg?: Deg;
  readonly center?: Mm;
  readonly inside: Mm;
  readonly outside: Mm;
}

export interface Ordinate {
  /** Share of the turn from the witness line, in degrees, clockwise looking from the member's start to its end. */
  readonly turnDeg: Deg;
  /** The same place as a length round the outside. */
  readonly around: Mm;
  /** How far the cut lies back from the long point, along the centerline. */
  readonly cutBack: Mm;
}

export interface MergeRow extends MergeReport {
  /** All cusps together. */
  readonly openArea: number;
}

/** Rows of a solved job, in the order of its members. */
export function cutTable(solution: Solution): CutTable {
  const masses = massRows(solution);
  return {
    job: solution.job.name,
    units: solution.job.units,
    pieces: solution.pieces.map((piece, i) => ({ ...pieceRow(piece), ...massOf(masses.rows[i]!) })),
    merges: solution.merges.map((merge) => ({
      ...merge,
      openArea: merge.cusps.reduce((sum, cusp) => sum + cusp.area, 0),
    })),
    elbows: solution.elbows.map((elbow) => elbowRow(elbow, solution)),
    openings: solution.openings.map((opening) => openingRow(opening, solution)),
    stock: solution.stock,
    plates: solution.plates.map(plateRow),
    masses: masses.totals,
    heat: solution.heat,
    fitUp: fitUpRows(solution),
  };
}

const massOf = ({ metal, mass }: MassRow) => ({ metal, ...(mass === undefined ? {} : { mass }) });

function pieceRow(piece: Piece): Omit<PieceRow, 'metal' | 'mass'> {
  const { member } = piece;
  const bending = bendingRows(piece);
  return {
    member: member.name,
    ...(member.mirrorOf === undefined ? {} : { mirrorOf: member.mirrorOf }),
    section: member.section,
    ...(isTapered(member) ? { tapers: tapersOf(member).map(taperRow) } : {}),
    ...(member.material === undefined ? {} : { material: member.material }),
    stockLength: piece.longLength,
    longLength: piece.longLength,
    shortLength: piece.shortLength,
    developedLength: member.centerline.length,
    ends: [endRow(piece, 'start'), endRow(piece, 'end')],
    points: pointRows(member.centerline),
    ...(bending ? { bending } : {}),
    solved: solvedRows(member.solved),
    ...(member.solving ? { solving: solvingRow(member.solving) } : {}),
  };
}

const solvedRows = (solved: Member['solved']): readonly SolvedRow[] =>
  solved.map(({ what, value, unit }) => ({ what, value, unit }));

export const solvingRow = (solving: Solving): SolvingRow => ({
  ...solving,
  others: solving.others.map((other) => ({ ...other, solved: solvedRows(other.solved) })),
});

function endRow(piece: Piece, name: EndName): EndRow {
  const end = name === 'start' ? piece.startEnd : piece.finishEnd;
  if (!end) {
    const s = fromDatum(piece, name, name === 'start' ? piece.from : piece.to);
    return { end: name, cut: 'plain', gap: 0, longPoint: s, shortPoint: s };
  }
  const inBend = inBendRow(end);
  const inTaper = inTaperRow(piece, end);
  return {
    end: name,
    cut: end.flat ? 'flat' : 'curved',
    joint: end.joint,
    jointKind: end.jointKind,
    gap: end.gap,
    ...(end.shrink === undefined ? {} : { shrink: end.shrink }),
    longPoint: fromDatum(piece, name, end.longPoint),
    shortPoint: fromDatum(piece, name, end.shortPoint),
    ...(end.flat
      ? {
          flat: {
            miterDeg: end.flat.miterDeg,
            longPointDeg: end.flat.longPointDeg,
            center: fromDatum(piece, name, end.flat.s),
          },
        }
      : { ordinates: ordinatesOf(end) }),
    ...(inBend ? { inBend } : {}),
    ...(inTaper ? { inTaper } : {}),
  };
}

const EIGHTHS = [0, 1, 2, 3, 4, 5, 6, 7] as const;

const ordinatesOf = (end: CutEnd): readonly Ordinate[] =>
  EIGHTHS.map((i) => ({
    turnDeg: 45 * i,
    around: lengthRound(end.member, end.longPoint, i / 8),
    cutBack: Math.abs(end.longPoint - cutS(end, i / 8)),
  }));

/**
 * Marks of a cut in a bend, on the generators nearest to and farthest from the bend's center: arc = (clr - offset) * turn.
 * Cut 30 degrees into a bend of clr 76.2 on 50.8 tube: 26.60 inside, 39.90 center, 53.20 outside.
 */
function inBendRow(end: CutEnd): InBendRow | undefined {
  if (!end.bend) return undefined;
  const { index, segment } = end.bend;
  const markAt = (towardDeg: Deg): Mm => {
    const { u, point } = farthestToward(end, towardDeg);
    const [a, b] = point;
    const beside = a * sind(segment.towardDeg) + b * cosd(segment.towardDeg);
    return ((segment.clr - beside) / segment.clr) * intoBend(end, segment, cutS(end, u));
  };
  return {
    bend: index + 1,
    clr: segment.clr,
    bendAngleDeg: segment.bendAngleDeg,
    ...(end.flat ? { intoBendDeg: end.bend.intoBendDeg, center: segment.clr * toRadians(end.bend.intoBendDeg) } : {}),
    inside: markAt(segment.towardDeg),
    outside: markAt(segment.towardDeg + 180),
  };
}

/** Place of the outline farthest toward a side, in the bend that the cut lies in. */
function farthestToward({ member, longPoint }: CutEnd, deg: Deg): { readonly u: number; readonly point: Vec2 } {
  const u = isTapered(member) ? uFacing(member, [sind(deg), cosd(deg)]) : outlineToward(member.section, deg);
  return { u, point: outlineOn(member, longPoint, u).point };
}

/** Centerline length from the tangent point on the kept side to s. */
const intoBend = (end: CutEnd, segment: BendSegment, s: Mm): Mm =>
  end.end === 'end' ? s - segment.s0 : segment.s0 + segment.length - s;
