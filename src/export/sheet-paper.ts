import type { Deg, Mm, Vec2 } from '../geometry/vector.ts';

/** A printed page: marks in mm from its top left corner, x to the right, y down. */
export interface Page {
  readonly width: Mm;
  readonly height: Mm;
  readonly marks: readonly Mark[];
}

export type Mark =
  | { readonly kind: 'line'; readonly points: readonly Vec2[]; readonly type: LineType }
  | { readonly kind: 'fill'; readonly points: readonly Vec2[]; readonly gray: number }
  | TextMark
  | { readonly kind: 'image'; readonly at: Vec2; readonly width: Mm; readonly height: Mm; readonly png: Uint8Array }
  /** Only what lies in the box is drawn. */
  | { readonly kind: 'window'; readonly box: Box; readonly marks: readonly Mark[] };

export interface TextMark {
  readonly kind: 'text';
  /** On the baseline. */
  readonly at: Vec2;
  readonly text: string;
  /** Of the type body; capitals are 0.72 of it. */
  readonly size: Mm;
  readonly anchor?: 'start' | 'middle' | 'end';
  readonly bold?: true;
  /** Turned clockwise on the page. */
  readonly turnDeg?: Deg;
}

export interface Box {
  readonly x: Mm;
  readonly y: Mm;
  readonly width: Mm;
  readonly height: Mm;
}

/**
 * Line types of ISO 128-2, group 0.35: a wide line for the edge that is cut to, narrow lines for all else. Dashes by its
 * rule in line widths: dash 12 d, long dash 24 d, gap 3 d, dot half d.
 */
export type LineType = 'outline' | 'thin' | 'dashed' | 'center' | 'other-position';

export interface LineStyle {
  readonly width: Mm;
  readonly dashes: readonly Mm[];
}

const WIDE: Mm = 0.35;
const NARROW: Mm = 0.18;
const d = NARROW;

export const LINE_STYLES: Readonly<Record<LineType, LineStyle>> = {
  /** 01.2 continuous wide: visible outlines. */
  outline: { width: WIDE, dashes: [] },
  /** 01.1 continuous narrow: dimensions, extension lines, frames. */
  thin: { width: NARROW, dashes: [] },
  /** 02.1 dashed narrow: what lies hidden; here seams, slits and match lines. */
  dashed: { width: NARROW, dashes: [12 * d, 3 * d] },
  /** 04.1 long dash, dot, narrow: center lines; here the witness lines. */
  center: { width: NARROW, dashes: [24 * d, 3 * d, 0.5 * d, 3 * d] },
  /** 05.1 long dash, double dot, narrow: another possible position of an edge. */
  'other-position': { width: NARROW, dashes: [24 * d, 3 * d, 0.5 * d, 3 * d, 0.5 * d, 3 * d] },
};

export type PaperName = 'a4' | 'letter';

/** Sheets upright: A4 of ISO 216; Letter of 8-1/2 by 11 in (ANSI/ASME Y14.1, size A). */
export const PAPERS: Readonly<Record<PaperName, { readonly width: Mm; readonly height: Mm }>> = {
  a4: { width: 210, height: 297 },
  letter: { width: 215.9, height: 279.4 },
};

/** What office printers leave blank at the edge, with a margin. */
export const PAPER_MARGIN: Mm = 10;

/** Widths of Helvetica, thousandths of its size, from U+0020 to U+007E: the core 14 font metrics published with PDF. */
const WIDTHS = [
  278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
  556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
  722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
  556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
  260, 334, 584,
];

/** Bold is wider by a tenth at most, in words. */
const BOLD = 1.1;

/** Width of a text in Helvetica; kerning only ever makes it less. */
export function textWidth(text: string, size: Mm, bold = false): Mm {
  let sum = 0;
  for (const letter of text) sum += WIDTHS[(letter.codePointAt(0) ?? 0) - 0x20] ?? 800;
  return (sum / 1000) * size * (bold ? BOLD : 1);
}

/** The size, or the smaller one at which the text is no wider than this. */
export const sizeToFit = (
  text: string,
  { size, width, bold }: { readonly size: Mm; readonly width: Mm; readonly bold?: boolean },
): Mm => Math.min(size, (size * width) / Math.max(textWidth(text, size, bold), 1e-6));

/** Lines of words no wider than `width`; a longer word is broken. */
export function wrapWords(
  text: string,
  type: { readonly size: Mm; readonly width: Mm; readonly bold?: boolean },
): readonly string[] {
  const fits = (line: string): boolean => textWidth(line, type.size, type.bold) <= type.width;
  const lines: string[] = [];
  let line = '';
  for (const word of text.split(/\s+/).filter((w) => w !== '')) {
    const longer = line === '' ? word : `${line} ${word}`;
    if (fits(longer)) {
      line = longer;
      continue;
    }
    if (line !== '') lines.push(line);
    line = word;
    while (!fits(line)) {
      let letters = line.length - 1;
      while (letters > 1 && !fits(line.slice(0, letters))) letters--;
      lines.push(line.slice(0, letters));
      line = line.slice(letters);
    }
  }
  return line === '' ? lines : [...lines, line];
}

/** The same mark moved. */
export function moved(mark: Mark, [dx, dy]: Vec2): Mark {
  const shift = ([x, y]: Vec2): Vec2 => [x + dx, y + dy];
  if (mark.kind === 'line' || mark.kind === 'fill') return { ...mark, points: mark.points.map(shift) };
  if (mark.kind === 'window') {
    const [x, y] = shift([mark.box.x, mark.box.y]);
    return { ...mark, box: { ...mark.box, x, y }, marks: mark.marks.map((inner) => moved(inner, [dx, dy])) };
  }
  return { ...mark, at: shift(mark.at) };
}

export const boxLine = ({ x, y, width, height }: Box, type: LineType = 'thin'): Mark => ({
  kind: 'line',
  type,
  points: [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
    [x, y],
  ],
});
