/** Which side a column is set to; numbers stand right. */
export type Side = 'left' | 'right';

export interface Columns {
  readonly heads: readonly string[];
  readonly sides: readonly Side[];
  readonly rows: readonly (readonly string[])[];
  /** Spaces before the first column. */
  readonly indent?: number;
}

/** Plain table: columns as wide as they must be, two spaces between them, no rules; a line each. */
export function columns({ heads, sides, rows, indent = 2 }: Columns): readonly string[] {
  const all = heads.some((head) => head !== '') ? [heads, ...rows] : rows;
  const widths = heads.map((_, i) => Math.max(0, ...all.map((row) => (row[i] ?? '').length)));
  return all.map((row) => {
    const cells = widths.map((width, i) => {
      const text = row[i] ?? '';
      return sides[i] === 'right' ? text.padStart(width) : text.padEnd(width);
    });
    return `${' '.repeat(indent)}${cells.join('  ')}`.trimEnd();
  });
}

export const WIDTH = 80;

/** Words set in lines of at most 80 columns, each behind the indent. */
export function wrapped(text: string, indent: number): readonly string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    if (line !== '' && indent + line.length + 1 + word.length > WIDTH) {
      lines.push(`${' '.repeat(indent)}${line}`);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, `${' '.repeat(indent)}${line}`];
}
