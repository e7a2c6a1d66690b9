import type { CutTable, EndRow, MergeRow, PieceRow } from '../export/cut-table.ts';
import { type ElbowRow, elbowTables, elbowTitle } from '../export/elbow-rows.ts';
import { massTable, massText, unknownText } from '../export/mass-rows.ts';
import { openingTables, openingTitle } from '../export/opening-rows.ts';
import type { SheetTable } from '../export/sheet-blocks.ts';
import { angleFigure, isSquare, lengthFigure, lengthText, sectionText, type Units } from '../export/sheet-figures.ts';
import { areaText, mergeRows } from '../export/sheet-merges.ts';
import { taperText } from '../export/sheet-pieces.ts';
import { planText, stockTables } from '../export/stock-rows.ts';
import type { StockPlan } from '../solve/nesting/nesting.ts';
import type { EndName } from '../solve/solution.ts';
import { bendingLines, pointLines } from './bending-text.ts';
import { columns, wrapped } from './columns.ts';
import { plateLines } from './plate-text.ts';
import { solvingTexts } from './solving-text.ts';

/** What a cut looks like, in letters; no line where there is nothing to see. */
export type CutPictures = (member: string, end: EndName) => readonly string[];

/** The cut table for reading: at most 80 columns wide, lengths in the job's unit, with drawings of the cuts where wanted. */
export function cutTableText(table: CutTable, pictures: CutPictures = () => []): string {
  const { units } = table;
  const lines = [
    ...wrapped(`${table.job}: lengths in ${units === 'mm' ? 'mm' : 'in, with the nearest 64th'}, angles in degrees`, 0),
    ...table.pieces.flatMap((piece) => ['', ...pieceLines(piece, units, pictures)]),
    ...table.elbows.flatMap((elbow) => ['', ...elbowLines(elbow, units)]),
    ...table.openings.flatMap((row) => [
      '',
      ...wrapped(openingTitle(row), 0),
      ...tableLines(openingTables(row, units)),
    ]),
    ...table.stock.flatMap((plan) => ['', ...stockLines(plan, units)]),
    ...massLines(table),
    ...table.merges.flatMap((merge) => ['', ...mergeLines(merge, units)]),
    ...table.plates.flatMap((plate) => ['', ...plateLines(plate, units)]),
  ];
  return `${lines.join('\n')}\n`;
}

function pieceLines(piece: PieceRow, units: Units, pictures: CutPictures): readonly string[] {
  const named = [
    piece.member,
    `${sectionText(piece.section, units)}${taperText(piece, units)}`,
    piece.material ?? '',
    piece.mirrorOf ? `mirror of ${piece.mirrorOf}` : '',
  ];
  const lengths = columns({
    heads: ['', ''],
    sides: ['left', 'right'],
    rows: [
      ['stock, long point to long point', lengthFigure(piece.stockLength, units)],
      ['short point to short point', lengthFigure(piece.shortLength, units)],
      ['drawn centerline', lengthFigure(piece.developedLength, units)],
      ...(piece.mass === undefined ? [] : [['mass', massText(piece.mass, units)]]),
      ...piece.solved.map((s) => [
        `solved: ${s.what}`,
        s.unit === 'mm' ? lengthFigure(s.value, units) : `${angleFigure(s.value)} deg`,
      ]),
    ],
  });
  return [
    ...wrapped(named.filter((part) => part !== '').join(', '), 0),
    ...lengths,
    ...(piece.solving ? solvingTexts(piece.solving, units).flatMap((text) => wrapped(text, 4)) : []),
    ...piece.ends.flatMap((end) => [
      ...endLines(end, piece, units),
      ...pictures(piece.member, end.end).map((line) => `      ${line}`.trimEnd()),
    ]),
    ...(piece.bending ? bendingLines(piece.bending, units) : []),
    ...pointLines(piece.points, units),
  ];
}

function endLines(end: EndRow, piece: PieceRow, units: Units): readonly string[] {
  if (end.cut === 'plain') return [`  ${end.end}: stays as it comes`];
  const other = end.end === 'start' ? 'end' : 'start';
  const drawn = end.shrink === undefined ? '' : `, longer by ${lengthText(end.shrink, units)} for shrinkage`;
  const gap = `${end.gap > 0 ? `, gap ${lengthText(end.gap, units)}` : ''}${drawn}`;
  const kind = end.flat
    ? `flat, ${isSquare(end.flat.miterDeg) ? 'square' : `${angleFigure(end.flat.miterDeg)} deg from square`}`
    : `curved`;
  const side =
    end.flat && !isSquare(end.flat.miterDeg)
      ? [['long point on the side', `${angleFigure(end.flat.longPointDeg)} deg`]]
      : [];
  return [
    ...wrapped(`${end.end}: ${end.jointKind} ${end.joint}${gap}: ${kind}`, 2),
    ...columns({
      heads: ['', ''],
      sides: ['left', 'right'],
      indent: 4,
      rows: [
        [`long point, from the long point at the ${other}`, lengthFigure(end.longPoint, units)],
        ...(end.flat ? [['center', lengthFigure(end.flat.center, units)]] : []),
        ['short point', lengthFigure(end.shortPoint, units)],
        ...side,
      ],
    }),
    ...inBendLines(end, units),
    ...inTaperLines(end, other, units),
    ...ordinateLines(end, piece, units),
  ];
}

function inBendLines({ inBend }: EndRow, units: Units): readonly string[] {
  if (!inBend) return [];
  const into = inBend.intoBendDeg === undefined ? '' : `${angleFigure(inBend.intoBendDeg)} deg into `;
  return [
    ...wrapped(
      `${into}bend ${inBend.bend} (${angleFigure(inBend.bendAngleDeg)} deg, clr ${lengthText(inBend.clr, units)}); marks from its tangent point:`,
      4,
    ),
    ...columns({
      heads: ['', ''],
      sides: ['left', 'right'],
      indent: 6,
      rows: [
        ['along the inside', lengthFigure(inBend.inside, units)],
        ...(inBend.center === undefined ? [] : [['along the center', lengthFigure(inBend.center, units)]]),
        ['along the outside', lengthFigure(inBend.outside, units)],
      ],
    }),
  ];
}

function inTaperLines({ inTaper }: EndRow, other: string, units: Units): readonly string[] {
  if (!inTaper) return [];
  const { taper, width, height, marks } = inTaper;
  const size =
    width === undefined || height === undefined
      ? ''
      : `, ${lengthText(width, units)} wide and ${lengthText(height, units)} high there`;
  return [
    ...wrapped(`in taper ${taper}${size}; marks from the ${other}:`, 4),
    ...columns({
      heads: ['line', 'along the axis', 'on the slant'],
      sides: ['left', 'right', 'right'],
      indent: 6,
      rows: marks.map((mark, i) => [
        `${mark.turnDeg} ${['up', 'right', 'down', 'left'][i]}`,
        lengthFigure(mark.axis, units),
        lengthFigure(mark.slant, units),
      ]),
    }),
  ];
}

function ordinateLines({ ordinates }: EndRow, piece: PieceRow, units: Units): readonly string[] {
  if (!ordinates) return [];
  const round = piece.section.kind === 'round';
  return [
    ...wrapped(
      'cut back from the long point, on the outside of the tube, clockwise from the witness line looking from start to end:',
      4,
    ),
    ...columns({
      heads: [...(round ? ['deg'] : []), 'around', 'cut back'],
      sides: [...(round ? (['right'] as const) : []), 'right', 'right'],
      indent: 6,
      rows: ordinates.map((o) => [
        ...(round ? [String(o.turnDeg)] : []),
        lengthFigure(o.around, units),
        lengthFigure(o.cutBack, units),
      ]),
    }),
  ];
}

const elbowLines = (row: ElbowRow, units: Units): readonly string[] => [
  ...wrapped(elbowTitle(row, units), 0),
  ...tableLines(elbowTables(row, units)),
];

/** Masses, and the note on what is not weighed; nothing where no material is known. */
function massLines({ masses, heat, units }: CutTable): readonly string[] {
  const grown = heat.map(({ member, growth }) => [member, lengthText(growth, units)]);
  const hot =
    grown.length === 0
      ? []
      : ['', 'growth with heat', ...columns({ heads: ['', ''], sides: ['left', 'right'], rows: grown })];
  if (masses.materials.length === 0) return hot;
  const note = unknownText(masses);
  return ['', ...tableLines([massTable(masses, units)]), ...(note === '' ? [] : wrapped(note, 2)), ...hot];
}

const stockLines = (plan: StockPlan, units: Units): readonly string[] => [
  ...wrapped(`stock of ${plan.section}: ${planText(plan, units)} A star: one pass makes the next cut too.`, 0),
  ...tableLines(stockTables(plan, units)),
];

const tableLines = (tables: readonly SheetTable[]): readonly string[] =>
  tables.flatMap(({ title, heads, sides, rows }) => [
    ...(title === undefined ? [] : wrapped(title.endsWith('.') ? title : `${title}:`, 2)),
    ...columns({ heads: heads.length > 0 ? heads : ['', ''], sides, rows, indent: title === undefined ? 2 : 4 }),
  ]);

/** Bore areas are given in the square of the job's unit. */
const mergeLines = (merge: MergeRow, units: Units): readonly string[] => [
  ...wrapped(`merge ${merge.joint}: ${merge.legs.join(', ')} into ${merge.trunk}`, 0),
  ...columns({ heads: ['', ''], sides: ['left', 'right'], rows: mergeRows(merge, units) }),
  ...(merge.cusps.length < 2
    ? []
    : wrapped(
        `in ${merge.cusps.length} places: ${merge.cusps.map((cusp) => areaText(cusp.area, units)).join(', ')}`,
        2,
      )),
];
