/** Columns that every text for a terminal keeps within, words longer than that aside. */
export const WIDTH = 80;

/** Words set in lines of at most `width` columns, each behind the indent; a word is never broken, so that it can be copied. */
export function wrapText(
  text: string,
  {
    indent,
    hanging = indent,
    width = WIDTH,
  }: { readonly indent: number; readonly hanging?: number; readonly width?: number },
): readonly string[] {
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(' ')) {
    const room = width - (lines.length === 0 ? indent : hanging);
    if (line !== '' && line.length + 1 + word.length > room) {
      lines.push(line);
      line = word;
    } else line = line === '' ? word : `${line} ${word}`;
  }
  return [...lines, line].map((set, i) => `${' '.repeat(i === 0 ? indent : hanging)}${set}`);
}
