import { setback } from '../geometry/bends.ts';
import { elbowMiterDeg } from '../geometry/elbow.ts';
import type { Section } from '../geometry/section.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import { type ElbowCutting, elbowCutting } from '../solve/elbow-cuts.ts';
import { type ElbowOrdinate, elbowLengths, elbowOrdinates, type PieceLengths } from '../solve/elbows.ts';
import type { Elbow, Solution } from '../solve/solution.ts';
import type { SheetTable } from './sheet-blocks.ts';
import { angleFigure, lengthFigure, lengthText, type Units } from './sheet-figures.ts';

/** A segmented elbow for the cut list; lengths mm, angles degrees. */
export interface ElbowRow {
  readonly elbow: string;
  readonly member: string;
  readonly section: Section;
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  readonly welds: number;
  readonly gap: Mm;
  /** Of every cut, from square. */
  readonly miterDeg: Deg;
  /** Corner of the two axes to the square face of an end piece without straight: clr tan(bend/2); of a half turn it has none. */
  readonly centerToFace?: Mm;
  readonly pieces: readonly string[];
  readonly middle: PieceLengths;
  /** Without the straight that an end piece is one with. */
  readonly end: PieceLengths;
  readonly ordinates: readonly ElbowOrdinate[];
  /** Absent where there are no middle pieces. */
  readonly cutting?: ElbowCutting & { readonly kerf: Mm };
}

/** Lines round the tube that ordinates are given on. */
const DIVISIONS = 16;

export function elbowRow(elbow: Elbow, { job }: Solution): ElbowRow {
  const kerf = job.shop.saws.find(({ name }) => name === job.shop.saw)?.kerf ?? 0;
  const cutting = elbowCutting(elbow, kerf);
  const { name, member, section, clr, bendAngleDeg, welds, gap, pieces } = elbow;
  return {
    elbow: name,
    member,
    section,
    clr,
    bendAngleDeg,
    welds,
    gap,
    miterDeg: elbowMiterDeg(elbow),
    ...(bendAngleDeg < 180 ? { centerToFace: setback(clr, bendAngleDeg) } : {}),
    pieces,
    ...elbowLengths(elbow),
    ordinates: elbowOrdinates(elbow, DIVISIONS),
    ...(cutting ? { cutting: { ...cutting, kerf } } : {}),
  };
}

/** `duct-elbow: 90.00 deg, clr 190.00 mm, 4 welds, 5 pieces, gap ...`. */
export function elbowTitle(row: ElbowRow, units: Units): string {
  const gap = row.gap > 0 ? `, gap ${lengthText(row.gap, units)} at each weld` : '';
  const many = (count: number, what: string): string => `${count} ${what}${count === 1 ? '' : 's'}`;
  return `${row.elbow}: ${angleFigure(row.bendAngleDeg)} deg, clr ${lengthText(row.clr, units)}, ${many(row.welds, 'weld')}, ${many(row.pieces.length, 'piece')}${gap}`;
}

export const elbowTables = (row: ElbowRow, units: Units): readonly SheetTable[] => [
  {
    kind: 'table',
    heads: [],
    sides: ['left', 'right'],
    rows: [
      ['every cut, from square', `${angleFigure(row.miterDeg)} deg`],
      ...(row.centerToFace === undefined
        ? []
        : [['corner to face, without straights', lengthFigure(row.centerToFace, units)]]),
    ],
  },
  lengthsTable(row, units),
  ordinatesTable(row, units),
  ...(row.cutting ? [cuttingTable(row.cutting, units)] : []),
];

const lengthsTable = ({ middle, end, welds }: ElbowRow, units: Units): SheetTable => ({
  kind: 'table',
  title: 'Lengths between cuts; end pieces without the straight they are one with',
  heads: ['', 'heel', 'center', 'throat'],
  sides: ['left', 'right', 'right', 'right'],
  rows: [...(welds > 1 ? [['middle piece', ...figures(middle, units)]] : []), ['end piece', ...figures(end, units)]],
});

const figures = ({ heel, center, throat }: PieceLengths, units: Units): readonly string[] =>
  [heel, center, throat].map((mm) => lengthFigure(mm, units));

function ordinatesTable({ ordinates, section, welds }: ElbowRow, units: Units): SheetTable {
  const round = section.kind === 'round';
  return {
    kind: 'table',
    title:
      'Along the outside on equally spaced lines, round from the heel: lengths of the pieces, and the cut back from its long point',
    heads: [round ? 'deg' : 'no.', 'around', 'cut back', 'end piece', ...(welds > 1 ? ['middle piece'] : [])],
    sides: ['right', 'right', 'right', 'right', ...(welds > 1 ? (['right'] as const) : [])],
    rows: ordinates.map((o, i) => [
      round ? String(o.turnDeg) : String(i + 1),
      ...[o.around, o.cutBack, o.end, ...(welds > 1 ? [o.middle] : [])].map((mm) => lengthFigure(mm, units)),
    ]),
  };
}

const cuttingTable = ({ cuts, kerf, stub, used }: NonNullable<ElbowRow['cutting']>, units: Units): SheetTable => ({
  kind: 'table',
  title: `Middle pieces off one straight tube, turned over between cuts, the saw left as it is set. Marks from the raw end to the kept edge on two opposite lines, a the heel of the first piece; kerf ${lengthText(kerf, units)} behind each piece. The first cut frees a stub, ${lengthText(stub, units)} on its short side. The tube's new end, its long point ${lengthText(used, units)} from the raw end, is the miter of an end piece.`,
  heads: ['cut', 'roll', 'comes off', 'mark on a', 'mark on b'],
  sides: ['right', 'right', 'left', 'right', 'right'],
  rows: cuts.map((cut) => [
    String(cut.number),
    String(cut.rollDeg),
    cut.piece ?? 'stub',
    lengthFigure(cut.a, units),
    lengthFigure(cut.b, units),
  ]),
});
