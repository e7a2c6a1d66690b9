import type { Mm } from '../geometry/vector.ts';
import type { Piece } from '../solve/solution.ts';
import type { BendingRows } from './bending-rows.ts';
import type { EndRow, PieceRow } from './cut-table.ts';
import { massText } from './mass-rows.ts';
import type { SheetBlock, SheetSection, SheetTable } from './sheet-blocks.ts';
import { type LineCheck, pieceChecks } from './sheet-checks.ts';
import { angleFigure, isSquare, lengthFigure, lengthText, sectionText, type Units } from './sheet-figures.ts';

/** Longest kept short: `cope`, `45.00 deg`, `square`, `as it comes`. */
export function cutName(end: EndRow): string {
  if (end.cut === 'plain') return 'as it comes';
  if (!end.flat) return `${end.jointKind}, curved`;
  return isSquare(end.flat.miterDeg) ? 'square' : `${angleFigure(end.flat.miterDeg)} deg`;
}

/** `round 38.1 x 1.65 mm 1020`: what pieces of the same bar have in common; a tapered one is named with what it leads to. */
export const tubeName = (piece: PieceRow, units: Units): string =>
  [
    sectionText(piece.section, units),
    ...(piece.tapers ?? []).map(({ to }) => `tapered to ${sectionText(to, units)}`),
    ...(piece.material ? [piece.material] : []),
  ].join(' ');

/** Everything the saw, the bender and the tape need for one piece. */
export function pieceSection(
  row: PieceRow,
  of: { readonly piece: Piece; readonly no: number; readonly units: Units },
): SheetSection {
  const { units } = of;
  const material = row.material ? `, ${row.material}` : '';
  const mirror = row.mirrorOf ? ` Mirror image of ${row.mirrorOf}.` : '';
  const blocks: readonly SheetBlock[] = [
    {
      kind: 'text',
      text: `${sectionText(row.section, units)}${taperText(row, units)}${material}. Stock ${lengthText(row.stockLength, units)}, long point to long point.${row.mass === undefined ? '' : ` ${massText(row.mass, units)}.`}${mirror}`,
    },
    {
      kind: 'beside',
      blocks: [
        ...(row.ends.every((end) => end.cut === 'plain') ? [] : [cutsTable(row, units)]),
        ...ordinatesTable(row, units),
        checksTable(of.piece, units),
        ...(row.bending ? [bendingTable(row.bending, units)] : []),
        ...(row.solved.length > 0 ? [solvedTable(row, units)] : []),
      ],
    },
  ];
  return { heading: `${of.no}  ${row.member}`, level: 3, blocks };
}

/** `, at 30.00 mm tapers over 90.00 mm to flat-oval 120 x 50 x 1.5 mm`. */
export const taperText = ({ tapers }: PieceRow, units: Units): string =>
  (tapers ?? [])
    .map(({ from, length, to, offset }) => {
      const aside = offset
        ? `, its end ${lengthText(offset[0], units)} right and ${lengthText(offset[1], units)} up of its start`
        : '';
      return `, at ${lengthText(from, units)} tapers over ${lengthText(length, units)} to ${sectionText(to, units)}${aside}`;
    })
    .join('');

const sizeText = (size: Mm | undefined, units: Units): string | undefined =>
  size === undefined ? undefined : lengthFigure(size, units);

const TAPER_SIDES = ['up', 'right', 'down', 'left'] as const;

/** One column for each end: a phone shows it without turning. */
function cutsTable({ ends }: PieceRow, units: Units): SheetTable {
  const far = (end: EndRow): string => (end.end === 'start' ? 'end' : 'start');
  const rows: readonly (readonly [string, (end: EndRow) => string | undefined])[] = [
    ['cut', cutName],
    ['joint', (end) => end.joint],
    ['weld gap, taken off', (end) => (end.gap > 0 ? lengthFigure(end.gap, units) : undefined)],
    ['longer for weld shrinkage', (end) => (end.shrink === undefined ? undefined : lengthFigure(end.shrink, units))],
    ['measured from', (end) => (end.cut === 'plain' ? undefined : `long point, ${far(end)}`)],
    ['long point at', (end) => lengthFigure(end.longPoint, units)],
    ['center at', (end) => end.flat && lengthFigure(end.flat.center, units)],
    ['short point at', (end) => (end.cut === 'plain' ? undefined : lengthFigure(end.shortPoint, units))],
    [
      'long point on the side',
      (end) => (end.flat && !isSquare(end.flat.miterDeg) ? `${angleFigure(end.flat.longPointDeg)} deg` : undefined),
    ],
    [
      'in bend',
      (end) =>
        end.inBend &&
        `${end.inBend.bend}: ${angleFigure(end.inBend.bendAngleDeg)} deg, clr ${lengthFigure(end.inBend.clr, units)}`,
    ],
    [
      'into the bend',
      (end) => (end.inBend?.intoBendDeg === undefined ? undefined : `${angleFigure(end.inBend.intoBendDeg)} deg`),
    ],
    ['mark inside, from tangent point', (end) => end.inBend && lengthFigure(end.inBend.inside, units)],
    [
      'mark center, from tangent point',
      (end) => (end.inBend?.center === undefined ? undefined : lengthFigure(end.inBend.center, units)),
    ],
    ['mark outside, from tangent point', (end) => end.inBend && lengthFigure(end.inBend.outside, units)],
    ['in taper', (end) => end.inTaper && String(end.inTaper.taper)],
    ['width there', (end) => sizeText(end.inTaper?.width, units)],
    ['height there', (end) => sizeText(end.inTaper?.height, units)],
    ...TAPER_SIDES.map(
      (side, i) =>
        [
          `mark ${side}, on the slant from the other end`,
          (end: EndRow) => end.inTaper && lengthFigure(end.inTaper.marks[i]!.slant, units),
        ] as const,
    ),
  ];
  return {
    kind: 'table',
    heads: ['', ...ends.map((end) => end.end)],
    sides: ['left', ...ends.map((): 'right' => 'right')],
    rows: rows.flatMap(([name, cell]): readonly (readonly string[])[] => {
      const cells = ends.map(cell);
      return cells.some((text) => text !== undefined) ? [[name, ...cells.map((text) => text ?? '-')]] : [];
    }),
  };
}

function bendingTable(bending: BendingRows, units: Units): SheetTable {
  const { fromStart } = bending;
  return {
    kind: 'table',
    title: `Bending, from the start of the drawn centerline${!fromStart || fromStart.straight < 0 ? '' : `; the long point lies ${lengthText(fromStart.straight, units)} before bend ${fromStart.bend}`}`,
    heads: ['bend', 'straight before', 'turn deg', 'bend deg', 'clr', 'arc'],
    sides: ['left', 'right', 'right', 'right', 'right', 'right'],
    rows: [
      ...bending.rows.map((row, i) => [
        String(i + 1),
        lengthFigure(row.straight, units),
        angleFigure(row.planeOfBendDeg),
        `${angleFigure(row.bendAngleDeg)}${row.nominal ? ` (asked ${angleFigure(row.nominal.bendAngleDeg)})` : ''}`,
        lengthFigure(row.clr, units),
        lengthFigure(row.arcLength, units),
      ]),
      ['last', lengthFigure(bending.last, units), '', '', '', ''],
    ],
  };
}

function ordinatesTable({ ends, section }: PieceRow, units: Units): readonly SheetTable[] {
  const curved = ends.filter((end) => end.ordinates !== undefined);
  const [first] = curved;
  if (!first?.ordinates) return [];
  const round = section.kind === 'round';
  return [
    {
      kind: 'table',
      title: 'Cut back from the long point, on the outside, clockwise from the witness line looking from start to end',
      heads: [...(round ? ['deg'] : ['no.']), 'around', ...curved.map((end) => end.end)],
      sides: ['right', 'right', ...curved.map((): 'right' => 'right')],
      rows: first.ordinates.map((ordinate, i) => [
        round ? String(ordinate.turnDeg) : String(i + 1),
        lengthFigure(ordinate.around, units),
        ...curved.map((end) => lengthFigure(end.ordinates![i]!.cutBack, units)),
      ]),
    },
  ];
}

function checksTable(piece: Piece, units: Units): SheetTable {
  const { lines, across } = pieceChecks(piece);
  const bent = piece.member.centerline.segments.some((segment) => segment.kind === 'bend');
  return {
    kind: 'table',
    title: 'Check after cutting, on the outside from cut to cut',
    heads: ['on the line', 'with a tape along the tube', ...(bent ? ['straight across'] : [])],
    sides: ['left', 'right', ...(bent ? (['right'] as const) : [])],
    rows: [
      ...(alike(lines)
        ? [{ ...lines[0]!, name: 'all round' }]
        : lines.map((line) => ({ ...line, name: `${line.turnDeg} deg (${line.side})` }))
      ).map((line) => [
        line.name,
        lengthFigure(line.along, units),
        ...(bent ? [lengthFigure(line.straight, units)] : []),
      ]),
      ...across.map(({ end, length }) => [
        `across the cut at the ${end}`,
        lengthFigure(length, units),
        ...(bent ? [''] : []),
      ]),
    ],
  };
}

/** The same to a hundredth on all four lines, along the tube and straight across. */
const alike = (lines: readonly LineCheck[]): boolean =>
  (['along', 'straight'] as const).every(
    (key) => Math.max(...lines.map((line) => line[key])) - Math.min(...lines.map((line) => line[key])) < 0.005,
  );

const solvedTable = ({ solved }: PieceRow, units: Units): SheetTable => ({
  kind: 'table',
  title: 'Solved from the goals of the job',
  heads: [],
  sides: ['left', 'right'],
  rows: solved.map(({ what, value, unit }) => [
    what,
    unit === 'mm' ? lengthFigure(value, units) : `${angleFigure(value)} deg`,
  ]),
});
