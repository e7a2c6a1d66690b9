import type { Mm } from '../geometry/vector.ts';
import type { JobSheet, SheetBlock, SheetDrawing, SheetSection, SheetTable } from './sheet-blocks.ts';
import { type Mark, moved, PAPERS, type Page, type PaperName, sizeToFit, wrapWords } from './sheet-paper.ts';
import { type Strip, type StripRoom, tableStrips, tableWidth } from './sheet-table.ts';

const MARGIN: Mm = 14;
const FOOT: Mm = 8;
const TEXT: Mm = 3.5;
const SMALL: Mm = 2.8;
const LEADING = 1.35;
const HEADINGS = { 1: 8, 2: 5.6, 3: 4.4 } as const;
const INDENT: Mm = 6;
/** A drawing may take this share of a sheet's height. */
const DRAWING_SHARE = 0.62;
/** Between things side by side; and the least width that a table's title is given. */
const GUTTER: Mm = 8;
const TITLE: Mm = 48;

/** The job sheet set on paper: a section is kept on one sheet where it fits on one, and a table is parted between rows. */
export function jobSheetPages(sheet: JobSheet, paper: PaperName): readonly Page[] {
  const { width, height } = PAPERS[paper];
  const room: StripRoom = { width: width - 2 * MARGIN, height: height - 2 * MARGIN - FOOT };
  const sheets: Mark[][] = [[]];
  let y = 0;
  const turnPage = (): void => {
    sheets.push([]);
    y = 0;
  };
  for (const section of sheet.sections) {
    const strips = sectionStrips(section, room);
    const whole = strips.reduce((sum, strip) => sum + strip.height, 0);
    if (y > 0 && (section.newSheet || (whole <= room.height && y + whole > room.height))) turnPage();
    strips.forEach((strip, i) => {
      if (y > 0 && y + togetherHeight(strips, i) > room.height) turnPage();
      sheets.at(-1)!.push(...strip.marks.map((mark) => moved(mark, [MARGIN, MARGIN + y])));
      y += strip.height;
    });
  }
  return sheets.map((marks, i) => ({
    width,
    height,
    marks: [...marks, ...footMarks(sheet, { width, height, number: i + 1, total: sheets.length })],
  }));
}

/** Height of a strip with those that must follow it. */
function togetherHeight(strips: readonly Strip[], from: number): Mm {
  let sum = 0;
  for (let i = from; i < strips.length; i++) {
    sum += strips[i]!.height;
    if (!strips[i]!.withNext) break;
  }
  return sum;
}

function sectionStrips(section: SheetSection, room: StripRoom): readonly Strip[] {
  const size = HEADINGS[section.level];
  const lines = wrapWords(section.heading, { size, width: room.width, bold: true });
  const height = (lines.length * LEADING + 0.5) * size;
  const marks = lines.map(
    (text, i): Mark => ({ kind: 'text', at: [0, size * (1 + i * LEADING)], text, size, bold: true }),
  );
  const rule: readonly Mark[] =
    section.level === 2
      ? [
          {
            kind: 'line',
            type: 'outline',
            points: [
              [0, height - 1.6],
              [room.width, height - 1.6],
            ],
          },
        ]
      : [];
  const head: Strip = { height: height + 0.6, marks: [...marks, ...rule], withNext: true };
  return [head, ...section.blocks.flatMap((block) => blockStrips(block, room)), { height: 4, marks: [] }];
}

function blockStrips(block: SheetBlock, room: StripRoom): readonly Strip[] {
  switch (block.kind) {
    case 'text':
      return [...textStrips(block.text, { room, indent: 0 }), { height: 1.2, marks: [] }];
    case 'list':
      return block.items.flatMap((item, i) =>
        textStrips(item, { room, indent: INDENT, bullet: block.numbered ? `${i + 1}.` : '-' }),
      );
    case 'table':
      return tableStrips(block, room);
    case 'drawing':
      return [drawingStrip(block, room)];
    case 'beside':
      return besideStrips(block.blocks, room);
  }
}

type Item = SheetTable | SheetDrawing;

/** Items in lines from left to right, as many as fit; a line is not parted unless it is higher than a sheet. */
function besideStrips(items: readonly Item[], room: StripRoom): readonly Strip[] {
  const widthOf = (item: Item): Mm =>
    item.kind === 'table' ? Math.max(tableWidth(item, room.width), TITLE) : item.width;
  const lines: { readonly items: Item[]; width: Mm }[] = [];
  for (const item of items) {
    const width = widthOf(item);
    const last = lines.at(-1);
    if (last && last.width + GUTTER + width <= room.width) {
      last.items.push(item);
      last.width += GUTTER + width;
    } else lines.push({ items: [item], width });
  }
  return lines.flatMap((line) => {
    let x = 0;
    let height = 0;
    const marks: Mark[] = [];
    const stacks = line.items.map((item) => {
      const width = Math.min(widthOf(item), room.width);
      return { width, strips: blockStrips(item, { ...room, width }) };
    });
    if (stacks.length === 1) return stacks[0]!.strips;
    for (const { width, strips } of stacks) {
      let y = 0;
      for (const strip of strips) {
        marks.push(...strip.marks.map((mark) => moved(mark, [x, y])));
        y += strip.height;
      }
      height = Math.max(height, y);
      x += width + GUTTER;
    }
    return height <= room.height ? [{ height, marks }] : stacks.flatMap(({ strips }) => strips);
  });
}

function textStrips(
  text: string,
  { room, indent, bullet }: { readonly room: StripRoom; readonly indent: Mm; readonly bullet?: string },
): readonly Strip[] {
  const lines = wrapWords(text, { size: TEXT, width: room.width - indent });
  return lines.map((line, i): Strip => {
    const at = TEXT;
    const first: readonly Mark[] =
      i === 0 && bullet !== undefined ? [{ kind: 'text', at: [1, at], text: bullet, size: TEXT }] : [];
    return {
      height: TEXT * LEADING,
      marks: [...first, { kind: 'text', at: [indent, at], text: line, size: TEXT }],
      ...(i + 1 < lines.length ? { withNext: true } : {}),
    };
  });
}

/** As large as it was drawn, smaller where the sheet is. */
function drawingStrip({ width, height, marks }: SheetDrawing, room: StripRoom): Strip {
  const k = Math.min(1, room.width / width, (DRAWING_SHARE * room.height) / height);
  return { height: k * height + 3, marks: marks.map((mark) => scaled(mark, k)) };
}

function scaled(mark: Mark, k: number): Mark {
  if (k === 1) return mark;
  if (mark.kind === 'line' || mark.kind === 'fill')
    return { ...mark, points: mark.points.map(([x, y]) => [k * x, k * y]) };
  if (mark.kind === 'image')
    return { ...mark, at: [k * mark.at[0], k * mark.at[1]], width: k * mark.width, height: k * mark.height };
  if (mark.kind === 'text') return { ...mark, at: [k * mark.at[0], k * mark.at[1]], size: k * mark.size };
  const { x, y, width, height } = mark.box;
  return {
    ...mark,
    box: { x: k * x, y: k * y, width: k * width, height: k * height },
    marks: mark.marks.map((inner) => scaled(inner, k)),
  };
}

function footMarks(
  sheet: JobSheet,
  at: { readonly width: Mm; readonly height: Mm; readonly number: number; readonly total: number },
): readonly Mark[] {
  const y = at.height - MARGIN;
  const right = at.width - MARGIN;
  const title = sizeToFit(sheet.title, { size: SMALL, width: (right - MARGIN) * 0.36, bold: true });
  return [
    {
      kind: 'line',
      type: 'thin',
      points: [
        [MARGIN, y - SMALL * 1.6],
        [right, y - SMALL * 1.6],
      ],
    },
    { kind: 'text', at: [MARGIN, y], text: sheet.title, size: title, bold: true },
    { kind: 'text', at: [(MARGIN + right) / 2, y], text: sheet.footer, size: SMALL, anchor: 'middle' },
    { kind: 'text', at: [right, y], text: `sheet ${at.number} of ${at.total}`, size: SMALL, anchor: 'end' },
  ];
}
