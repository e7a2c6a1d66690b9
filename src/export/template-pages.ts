import type { Mm, Vec2 } from '../geometry/vector.ts';
import {
  type Box,
  type Mark,
  moved,
  PAPER_MARGIN,
  PAPERS,
  type Page,
  type PaperName,
  sizeToFit,
} from './sheet-paper.ts';
import { barsAcross, barsUp } from './template-calibration.ts';
import { type TitleBlock, titleBlock } from './template-title.ts';
import { wrapDrawing } from './wrap-drawing.ts';
import type { WrapDrawing } from './wrap-marks.ts';
import type { WrapTemplate } from './wrap-template.ts';

/** Shared by neighboring sheets; more than any printer leaves blank. */
export const TILE_OVERLAP: Mm = 10;
/** Kept for the bars up the sheet, and for those across it with the sheet's name. */
const LEFT_STRIP: Mm = 12;
const FOOT_STRIP: Mm = 16;
/** The bars across the sheet with their words. */
const BARS_WIDE: Mm = 68;
const GAP: Mm = 6;
const TEXT: Mm = 2.8;
const CROSS: Mm = 2.5;

interface Sheet {
  readonly width: Mm;
  readonly height: Mm;
  /** Where the pattern may be printed. */
  readonly window: Box;
}

interface Tiling {
  readonly sheet: Sheet;
  readonly rows: number;
  readonly columns: number;
}

/** A pattern to lay on a tube, with the words that go with it. */
export interface PaperPattern {
  readonly job: string;
  readonly id: string;
  readonly drawing: WrapDrawing;
  /** Over a width, with a word on joining where it is tiled. */
  readonly words: (room: { readonly width: Mm; readonly tiled: boolean }) => TitleBlock;
}

export const wrapPattern = (template: WrapTemplate): PaperPattern => ({
  job: template.job,
  id: template.id,
  drawing: wrapDrawing(template),
  words: (room) => titleBlock(template, room),
});

export const templatePages = (template: WrapTemplate, paper: PaperName): readonly Page[] =>
  patternPages(wrapPattern(template), paper);

export const templateSheet = (template: WrapTemplate): Page => patternSheet(wrapPattern(template));

/**
 * Template on sheets of the paper: on one where it fits, else tiled with an overlap of 10 mm, a match line down the middle
 * of each overlap and lettered crosses on it; every sheet with its row and column and bars to check. Words and ordinates
 * stand under the pattern on the first sheet, or on a sheet of their own before it.
 */
export function patternPages(pattern: PaperPattern, paper: PaperName): readonly Page[] {
  const { drawing } = pattern;
  const tiling = tilingOf(drawing, paper);
  const { sheet, rows, columns } = tiling;
  const words = pattern.words({ width: sheet.window.width, tiled: rows * columns > 1 });
  const below = drawing.height + GAP;
  const together = rows === 1 && below + words.height <= sheet.window.height;
  const total = rows * columns + (together ? 0 : 1);
  const at = (mark: Mark, [x, y]: Vec2): Mark => moved(mark, [sheet.window.x + x, sheet.window.y + y]);
  const wordMarks = words.marks.map((mark) => at(mark, [0, together ? below : 0]));
  const wordsPage = (number: number): Page =>
    pageOf(sheet, [...wordMarks, ...frameMarks(pattern, sheet, { name: 'how to use it', number, total })]);
  const pages: Page[] = together ? [] : [wordsPage(1)];
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      const name = `row ${r + 1} of ${rows}, column ${c + 1} of ${columns}`;
      const number = pages.length + 1;
      pages.push(
        pageOf(sheet, [
          ...tileMarks(drawing, tiling, { r, c }),
          ...(together && c === 0 ? wordMarks : []),
          ...frameMarks(pattern, sheet, { name, number, total }),
        ]),
      );
    }
  }
  return pages;
}

const pageOf = ({ width, height }: Sheet, marks: readonly Mark[]): Page => ({ width, height, marks });

/** Fewest sheets, upright where both ways take the same. */
function tilingOf(drawing: WrapDrawing, paper: PaperName): Tiling {
  const { width, height } = PAPERS[paper];
  const [upright, across] = [
    [width, height],
    [height, width],
  ].map(([w, h]): Tiling => {
    const sheet = sheetOf(w!, h!);
    const rows = countOf(drawing.height, sheet.window.height);
    const columns = countOf(drawing.width, sheet.window.width);
    return { sheet, rows, columns };
  });
  return across!.rows * across!.columns < upright!.rows * upright!.columns ? across! : upright!;
}

const sheetOf = (width: Mm, height: Mm): Sheet => ({
  width,
  height,
  window: {
    x: PAPER_MARGIN + LEFT_STRIP,
    y: PAPER_MARGIN,
    width: width - 2 * PAPER_MARGIN - LEFT_STRIP,
    height: height - 2 * PAPER_MARGIN - FOOT_STRIP,
  },
});

const countOf = (length: Mm, window: Mm): number =>
  length <= window ? 1 : Math.ceil((length - TILE_OVERLAP) / (window - TILE_OVERLAP));

function tileMarks(
  drawing: WrapDrawing,
  tiling: Tiling,
  tile: { readonly r: number; readonly c: number },
): readonly Mark[] {
  const { window } = tiling.sheet;
  const step: Vec2 = [window.width - TILE_OVERLAP, window.height - TILE_OVERLAP];
  const shift: Vec2 = [window.x - tile.c * step[0], window.y - tile.r * step[1]];
  const inner = [...drawing.marks, ...matchMarks(drawing, tiling, step)].map((mark) => moved(mark, shift));
  if (tiling.rows * tiling.columns === 1) return inner;
  return [{ kind: 'window', box: window, marks: inner }];
}

/** Match lines in the drawing's own coordinates, so that neighbors print the same ones. */
function matchMarks(drawing: WrapDrawing, { rows, columns, sheet }: Tiling, step: Vec2): readonly Mark[] {
  const marks: Mark[] = [];
  let letter = 0;
  const cross = ([x, y]: Vec2, text: string): void => {
    marks.push(
      {
        kind: 'line',
        type: 'thin',
        points: [
          [x - CROSS, y],
          [x + CROSS, y],
        ],
      },
      {
        kind: 'line',
        type: 'thin',
        points: [
          [x, y - CROSS],
          [x, y + CROSS],
        ],
      },
      { kind: 'text', at: [x + 0.8, y - 0.8], text, size: TEXT, bold: true },
    );
  };
  const match = (from: Vec2, to: Vec2): void => {
    marks.push({ kind: 'line', type: 'dashed', points: [from, to] });
    const text = letters(letter++);
    for (const share of [0.2, 0.8]) {
      cross([from[0] + share * (to[0] - from[0]), from[1] + share * (to[1] - from[1])], text);
    }
  };
  for (let c = 1; c < columns; c++) {
    const x = c * step[0] + TILE_OVERLAP / 2;
    for (let r = 0; r < rows; r++) {
      const [top, end] = spanOf(r, { step: step[1], window: sheet.window.height, length: drawing.height });
      match([x, top], [x, end]);
    }
  }
  for (let r = 1; r < rows; r++) {
    const y = r * step[1] + TILE_OVERLAP / 2;
    for (let c = 0; c < columns; c++) {
      const [left, end] = spanOf(c, { step: step[0], window: sheet.window.width, length: drawing.width });
      match([left, y], [end, y]);
    }
  }
  return marks;
}

const spanOf = (
  i: number,
  { step, window, length }: { readonly step: Mm; readonly window: Mm; readonly length: Mm },
): readonly [Mm, Mm] => [i * step, Math.min(i * step + window, length)];

/** A to Z, then AA. */
const letters = (i: number): string => {
  const last = String.fromCharCode(65 + (i % 26));
  return i < 26 ? last : `${letters(Math.floor(i / 26) - 1)}${last}`;
};

function frameMarks(
  { job, id }: PaperPattern,
  sheet: Sheet,
  { name, number, total }: { readonly name: string; readonly number: number; readonly total: number },
): readonly Mark[] {
  const foot = sheet.height - PAPER_MARGIN - FOOT_STRIP;
  const right = sheet.width - PAPER_MARGIN;
  const words = [`${job}  ${id}`, name, `sheet ${number} of ${total}, actual size`];
  return [
    ...barsAcross([PAPER_MARGIN + LEFT_STRIP, foot + 3]),
    ...barsUp([PAPER_MARGIN, foot]),
    ...words.map(
      (text, i): Mark => ({
        kind: 'text',
        at: [right, foot + 6 + i * 4.2],
        text,
        size: sizeToFit(text, { size: TEXT, width: right - PAPER_MARGIN - LEFT_STRIP - BARS_WIDE, bold: true }),
        anchor: 'end',
        ...(i === 0 ? { bold: true } : {}),
      }),
    ),
  ];
}

/** The whole template on one sheet as large as it needs, for a wide printer or a cutter. */
export function patternSheet(pattern: PaperPattern): Page {
  const { drawing } = pattern;
  const width = Math.max(drawing.width, WORDS_WIDTH);
  const words = pattern.words({ width, tiled: false });
  const sheet = sheetOf(
    width + 2 * PAPER_MARGIN + LEFT_STRIP,
    Math.max(drawing.height + GAP + words.height, UP_BARS) + 2 * PAPER_MARGIN + FOOT_STRIP,
  );
  const { x, y } = sheet.window;
  return pageOf(sheet, [
    ...drawing.marks.map((mark) => moved(mark, [x, y])),
    ...words.marks.map((mark) => moved(mark, [x, y + drawing.height + GAP])),
    ...frameMarks(pattern, sheet, { name: 'whole', number: 1, total: 1 }),
  ]);
}

/** Title block and ordinates side by side need this much; the bars up the sheet that much. */
const WORDS_WIDTH: Mm = 175;
const UP_BARS: Mm = 64;
