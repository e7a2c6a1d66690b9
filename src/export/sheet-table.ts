import type { Mm } from '../geometry/vector.ts';
import type { SheetTable } from './sheet-blocks.ts';
import { type Mark, textWidth, wrapWords } from './sheet-paper.ts';

/** A piece of the sheet that is not parted: its height, and marks from its own top left corner. */
export interface Strip {
  readonly height: Mm;
  readonly marks: readonly Mark[];
  /** Stays with the strip after it. */
  readonly withNext?: true;
}

export interface StripRoom {
  readonly width: Mm;
  /** Of a whole sheet. */
  readonly height: Mm;
}

const TEXT: Mm = 3.2;
const LEADING = 1.3;
const PAD: Mm = 1.5;
const LEAST_COLUMN: Mm = 12;

/** How wide a table stands on paper, at most the room there is. */
export const tableWidth = (table: SheetTable, room: Mm): Mm =>
  columnWidths(table, room).reduce((sum, width) => sum + width, 0);

/** A table as strips, a row each; heads stay with the first row, and long cells take several lines. */
export function tableStrips(table: SheetTable, room: StripRoom): readonly Strip[] {
  const widths = columnWidths(table, room.width);
  const row = (cells: readonly string[], bold: boolean): Strip => rowStrip(cells, { table, widths, bold });
  const title =
    table.title === undefined
      ? []
      : wrapWords(table.title, { size: TEXT, width: room.width, bold: true }).map(
          (text): Strip => ({
            height: TEXT * LEADING,
            marks: [{ kind: 'text', at: [0, TEXT + 0.4], text, size: TEXT, bold: true }],
            withNext: true,
          }),
        );
  const heads: readonly Strip[] = table.heads.length === 0 ? [] : [{ ...row(table.heads, true), withNext: true }];
  return [
    { height: 1.5, marks: [], withNext: true },
    ...title,
    ...heads,
    ...table.rows.map((cells) => row(cells, false)),
    { height: 2.5, marks: [] },
  ];
}

function rowStrip(
  cells: readonly string[],
  of: { readonly table: SheetTable; readonly widths: readonly Mm[]; readonly bold: boolean },
): Strip {
  const { table, widths, bold } = of;
  const lines = cells.map((cell, i) => wrapWords(cell, { size: TEXT, width: widths[i]! - 2 * PAD, bold }));
  const height = Math.max(1, ...lines.map((cell) => cell.length)) * TEXT * LEADING + 1.2;
  let x = 0;
  const marks: Mark[] = [];
  lines.forEach((cell, i) => {
    const right = table.sides[i] === 'right';
    const at = right ? x + widths[i]! - PAD : x + PAD;
    for (const [k, text] of cell.entries()) {
      const y = 0.6 + TEXT + k * TEXT * LEADING;
      marks.push({
        kind: 'text',
        at: [at, y],
        text,
        size: TEXT,
        anchor: right ? 'end' : 'start',
        ...(bold ? { bold } : {}),
      });
    }
    x += widths[i]!;
  });
  marks.push({
    kind: 'line',
    type: bold ? 'outline' : 'thin',
    points: [
      [0, height],
      [x, height],
    ],
  });
  return { height, marks };
}

/** As wide as the longest cell; where that is too much, the widest columns give way and their cells take more lines. */
function columnWidths({ heads, rows, sides }: SheetTable, room: Mm): readonly Mm[] {
  const widths = sides.map((_, i) => {
    const head = heads[i] === undefined ? 0 : textWidth(heads[i], TEXT, true);
    return Math.max(LEAST_COLUMN, head + 2 * PAD, ...rows.map((row) => textWidth(row[i] ?? '', TEXT) + 2 * PAD + 0.1));
  });
  let over = widths.reduce((sum, width) => sum + width, 0) - room;
  while (over > 1e-9) {
    const widest = Math.max(...widths);
    const of = widths.flatMap((width, i) => (width === widest ? [i] : []));
    const next = Math.max(LEAST_COLUMN, ...widths.filter((width) => width < widest));
    const give = Math.min(widest - next, over / of.length);
    if (!(give > 0)) break;
    for (const i of of) widths[i] = widest - give;
    over -= give * of.length;
  }
  return widths;
}
