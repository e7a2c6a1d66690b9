import type { Section } from '../geometry/section.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import type { CutTable, EndRow, PieceRow } from './cut-table.ts';
import { massFigure } from './mass-rows.ts';
import { plainDecimal } from './number-format.ts';
import { type StockPlace, stockPlaces } from './stock-rows.ts';

type Cell = string | number | undefined;

interface Column {
  readonly head: string;
  readonly cell: (piece: PieceRow, end: EndRow) => Cell;
}

const MM_PER_INCH = 25.4;
/** Decimals of a length: a hundredth of a hair either way. */
const DECIMALS = { mm: 3, in: 5 } as const;
const EIGHTHS = 8;

/**
 * The cut table as CSV (RFC 4180: commas, CRLF, UTF-8), a row for each end of each piece, lengths in the job's unit with
 * a decimal point. Distances run along the centerline from the long point of the piece's other end.
 */
export function cutListCsv(table: CutTable): string {
  const columns = columnsOf(table.units, stockPlaces(table.stock));
  const rows = table.pieces.flatMap((piece) =>
    piece.ends.map((end) => columns.map((column) => cellText(column.cell(piece, end)))),
  );
  return [columns.map(({ head }) => cellText(head)), ...rows].map((cells) => `${cells.join(',')}\r\n`).join('');
}

function columnsOf(units: 'mm' | 'in', places: ReadonlyMap<string, StockPlace>): readonly Column[] {
  const length = (head: string, of: (piece: PieceRow, end: EndRow) => Mm | undefined): Column => ({
    head: `${head} ${units}`,
    cell: (piece, end) => {
      const mm = of(piece, end);
      if (mm === undefined) return undefined;
      return Number(plainDecimal(units === 'mm' ? mm : mm / MM_PER_INCH, DECIMALS[units]));
    },
  });
  const angle = (head: string, of: (end: EndRow) => Deg | undefined): Column => ({
    head: `${head} deg`,
    cell: (_, end) => {
      const deg = of(end);
      return deg === undefined ? undefined : Number(plainDecimal(deg, 4));
    },
  });
  const words = (head: string, cell: Column['cell']): Column => ({ head, cell });
  const placeOn = (kind: StockPlace['kind'], member: string): StockPlace | undefined => {
    const place = places.get(member);
    return place?.kind === kind ? place : undefined;
  };
  const degrees = (deg: Deg | undefined): Cell => (deg === undefined ? undefined : Number(plainDecimal(deg, 4)));
  return [
    words('member', (piece) => piece.member),
    words('mirror of', (piece) => piece.mirrorOf),
    words('section', (piece) => piece.section.kind),
    length('width', (piece) => acrossOf(piece.section)[0]),
    length('height', (piece) => acrossOf(piece.section)[1]),
    length('wall', (piece) => piece.section.wall),
    words('material', (piece) => piece.material),
    length('stock length', (piece) => piece.stockLength),
    length('short length', (piece) => piece.shortLength),
    words(`mass ${units === 'mm' ? 'kg' : 'lb'}`, ({ mass }) =>
      mass === undefined ? undefined : massFigure(mass, units),
    ),
    words('cut from', ({ member }) => {
      const place = places.get(member);
      return place && `${place.kind} ${place.no}`;
    }),
    length('on stick from', ({ member }) => placeOn('stick', member)?.from),
    length('on stick to', ({ member }) => placeOn('stick', member)?.to),
    words('on bend from deg', ({ member }) => degrees(placeOn('bend', member)?.from)),
    words('on bend to deg', ({ member }) => degrees(placeOn('bend', member)?.to)),
    words('end', (_, end) => end.end),
    words('cut', (_, end) => end.cut),
    words('joint', (_, end) => end.joint),
    words('joint kind', (_, end) => end.jointKind),
    length('gap', (_, end) => end.gap),
    length('long point', (_, end) => end.longPoint),
    length('center', (_, end) => end.flat?.center),
    length('short point', (_, end) => end.shortPoint),
    angle('from square', (end) => end.flat?.miterDeg),
    angle('long point side', (end) => end.flat?.longPointDeg),
    words('in bend', (_, end) => end.inBend?.bend),
    angle('into bend', (end) => end.inBend?.intoBendDeg),
    length('clr', (_, end) => end.inBend?.clr),
    length('mark inside', (_, end) => end.inBend?.inside),
    length('mark center', (_, end) => end.inBend?.center),
    length('mark outside', (_, end) => end.inBend?.outside),
    words('in taper', (_, end) => end.inTaper?.taper),
    length('width at cut', (_, end) => taperAcross(end, 'width')),
    length('height at cut', (_, end) => taperAcross(end, 'height')),
    ...['up', 'right', 'down', 'left'].map((side, i) =>
      length(`slant ${side}`, (_piece, end) => end.inTaper?.marks[i]?.slant),
    ),
    ...Array.from({ length: EIGHTHS }, (_, i) =>
      length(`cut back at ${(360 * i) / EIGHTHS}`, (_piece, end) => end.ordinates?.[i]?.cutBack),
    ),
  ];
}

/** Outside where a cut lies in a taper. */
const taperAcross = (end: EndRow, side: 'width' | 'height'): Mm | undefined => end.inTaper?.[side];

const acrossOf = (section: Section): readonly [Mm, Mm] =>
  section.kind === 'round' ? [section.od, section.od] : [section.width, section.height];

/** Quoted where it must be; a text that a spreadsheet would take for a formula is kept a text by an apostrophe. */
function cellText(cell: Cell): string {
  if (cell === undefined) return '';
  if (typeof cell === 'number') return String(cell);
  const safe = /^[=+\-@\t\r]/.test(cell) ? `'${cell}` : cell;
  return /[",\r\n]/.test(safe) ? `"${safe.replaceAll('"', '""')}"` : safe;
}
