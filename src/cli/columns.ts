import { WIDTH, wrapText } from '../job/wrap-text.ts';

/** Which side a column is set to; numbers stand right. */
export type Side = 'left' | 'right';

export interface Columns {
  readonly heads: readonly string[];
  readonly sides: readonly Side[];
  readonly rows: readonly (readonly string[])[];
  /** Spaces before the first column. */
  readonly indent?: number;
}

/**
 * Plain table: columns as wide as they must be, two spaces between them, no rules; a line each. Rows that would be wider
 * than a terminal have their first cell on a line of its own and the others below it.
 */
export const columns = (table: Columns): readonly string[] => linesOfRows(table).flat();

/** Lines of each row, the heads' first where there are any. */
function linesOfRows(table: Columns): readonly (readonly string[])[] {
  const whole = oneLineEach(table);
  if (whole.every((line) => line.length <= WIDTH) || table.heads.length < 2) return whole.map((line) => [line]);
  const { heads, sides, rows, indent = 2 } = table;
  const others = linesOfRows({
    heads: heads.slice(1),
    sides: sides.slice(1),
    rows: rows.map((row) => row.slice(1)),
    indent: indent + 4,
  });
  const top = [...(hasHeads(table) ? [heads[0] ?? ''] : []), ...rows.map(([cell = '']) => cell)];
  // Heads that only the first column has leave no line behind.
  return top.map((cell, i) => [
    `${' '.repeat(indent)}${cell}`.trimEnd(),
    ...(others[others.length - top.length + i] ?? []).filter((line) => line !== ''),
  ]);
}

const hasHeads = ({ heads }: Columns): boolean => heads.some((head) => head !== '');

function oneLineEach(table: Columns): readonly string[] {
  const { heads, sides, rows, indent = 2 } = table;
  const all = hasHeads(table) ? [heads, ...rows] : rows;
  const widths = heads.map((_, i) => Math.max(0, ...all.map((row) => (row[i] ?? '').length)));
  return all.map((row) => {
    const cells = widths.map((width, i) => {
      const text = row[i] ?? '';
      return sides[i] === 'right' ? text.padStart(width) : text.padEnd(width);
    });
    return `${' '.repeat(indent)}${cells.join('  ')}`.trimEnd();
  });
}

/** Words set in lines of at most 80 columns, each behind the indent. */
export const wrapped = (text: string, indent: number): readonly string[] => wrapText(text, { indent });
