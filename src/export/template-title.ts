import { GRAPHIC_DIFFERENCE } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import { angleFigure, isSquare, lengthFigure, lengthText, plain, sectionText } from './sheet-figures.ts';
import { boxLine, type Mark, sizeToFit, textWidth, wrapWords } from './sheet-paper.ts';
import type { WrapBase, WrapTemplate } from './wrap-template.ts';

/** Words and numbers that go with a pattern, from their own top left corner. */
export interface TitleBlock {
  readonly width: Mm;
  readonly height: Mm;
  readonly marks: readonly Mark[];
}

const TEXT: Mm = 2.8;
const LEADING = 1.35;
const ROW = TEXT * LEADING;
const PAD: Mm = 2;
const GUTTER: Mm = 5;
const HEAD: Mm = 5;
/** Kept for the words that say what the sheet is. */
const SHEET_KIND: Mm = 30;

/** Title block and notes at the left, ordinates at the right; `width` mm in all, with a word on joining where it is tiled. */
export function titleBlock(
  template: WrapTemplate,
  { width, tiled }: { readonly width: Mm; readonly tiled: boolean },
): TitleBlock {
  return besideBlock(
    { id: template.id, rows: factRows(template), notes: notes(template, tiled), table: ordinateTable(template) },
    width,
  );
}

/** What stands by a pattern: facts in a box with notes under it, figures beside them. */
export interface BlockParts {
  readonly id: string;
  readonly rows: readonly (readonly [string, string])[];
  readonly notes: readonly string[];
  readonly table: TitleBlock;
}

/** The parts of a title block set out over a width. */
export function besideBlock({ id, rows, notes: lines, table }: BlockParts, width: Mm): TitleBlock {
  const left = width - table.width - GUTTER;
  const facts = factBox({ id, rows }, left);
  const told = noteRows(lines, { width: left, y: facts.height + 4 });
  const right = table.marks.map((mark): Mark => shifted(mark, left + GUTTER));
  return {
    width,
    height: Math.max(facts.height + 4 + told.height, table.height),
    marks: [...facts.marks, ...told.marks, ...right],
  };
}

function shifted(mark: Mark, dx: Mm): Mark {
  if (mark.kind === 'text') return { ...mark, at: [mark.at[0] + dx, mark.at[1]] };
  if (mark.kind === 'line') return { ...mark, points: mark.points.map(([x, y]) => [x + dx, y]) };
  return mark;
}

/** How the cut is named: `flat, 45.00 deg from square, long point at 0 deg`. */
export function cutWords({ flat }: Pick<WrapTemplate, 'flat'>): string {
  if (!flat) return 'curved';
  if (isSquare(flat.miterDeg)) return 'flat, square';
  return `flat, ${angleFigure(flat.miterDeg)} deg from square, long point at ${angleFigure(flat.longPointDeg)} deg`;
}

/** A joint without a name of its own is named after its kind already. */
export const jointWords = ({ joint, jointKind }: Pick<WrapTemplate, 'joint' | 'jointKind'>): string =>
  joint.startsWith(jointKind) ? joint : `${jointKind} ${joint}`;

/** Thickness of paper: too little for fractions. */
const thinText = (mm: Mm, units: 'mm' | 'in'): string =>
  units === 'mm' ? `${plain(mm, 2)} mm` : `${plain(mm / 25.4, 3)} in`;

export const baseWords = (base: WrapBase, units: 'mm' | 'in', farEnd: 'start' | 'end'): string =>
  base.from === 'other-end'
    ? `${lengthText(base.distance, units)} from the long point at the ${farEnd}`
    : base.from === 'tangent-point'
      ? `${lengthText(base.distance, units)} from the tangent point of the bend behind it`
      : base.distance < GRAPHIC_DIFFERENCE
        ? 'where the taper begins'
        : `${lengthText(base.distance, units)} from the end of the taper behind it`;

function factRows(template: WrapTemplate): BlockParts['rows'] {
  const { units, end } = template;
  const farEnd = end === 'end' ? 'start' : 'end';
  return [
    ['job', template.job],
    ['joint', `${jointWords(template)}${template.gap > 0 ? `, gap ${lengthText(template.gap, units)}` : ''}`],
    ['tube', sectionText(template.section, units)],
    ['cut', cutWords(template)],
    ...(template.inBend
      ? [['in the bend', `${angleFigure(template.inBend.intoBendDeg)} deg into bend ${template.inBend.bend}`] as const]
      : []),
    [
      'full wrap',
      `${lengthText(template.around, units)}, tape it round the tube${template.taper ? ' at the base line' : ''}`,
    ],
    ['base line', baseWords(template.base, units, farEnd)],
    ['long point', `${lengthText(template.longPoint, units)} from the base line`],
    ['short point', `${lengthText(template.shortPoint, units)} from the base line`],
  ];
}

function factBox({ id, rows }: Pick<BlockParts, 'id' | 'rows'>, width: Mm): TitleBlock {
  const label = 19;
  const marks: Mark[] = [];
  let y = PAD + HEAD;
  const head = sizeToFit(id, { size: HEAD, width: width - SHEET_KIND, bold: true });
  marks.push({ kind: 'text', at: [PAD, y - 0.6], text: id, size: head, bold: true });
  marks.push({ kind: 'text', at: [width - PAD, y - 0.6], text: 'wrap template 1:1', size: TEXT, anchor: 'end' });
  y += 1.6;
  for (const [name, value] of rows) {
    marks.push({
      kind: 'line',
      type: 'thin',
      points: [
        [0, y],
        [width, y],
      ],
    });
    y += ROW;
    marks.push({ kind: 'text', at: [PAD, y], text: name, size: TEXT });
    for (const [i, text] of wrapWords(value, { size: TEXT, width: width - label - PAD, bold: true }).entries()) {
      if (i > 0) y += ROW;
      marks.push({ kind: 'text', at: [label, y], text, size: TEXT, bold: true });
    }
    y += 1.2;
  }
  return { width, height: y, marks: [boxLine({ x: 0, y: 0, width, height: y }), ...marks] };
}

function noteRows(told: readonly string[], at: { readonly width: Mm; readonly y: Mm }): TitleBlock {
  const marks: Mark[] = [];
  let y = at.y;
  for (const [i, note] of told.entries()) {
    marks.push({ kind: 'text', at: [0, y + TEXT], text: `${i + 1}.`, size: TEXT });
    for (const text of wrapWords(note, { size: TEXT, width: at.width - 5 })) {
      marks.push({ kind: 'text', at: [5, y + TEXT], text, size: TEXT });
      y += ROW;
    }
    y += 0.6;
  }
  return { width: at.width, height: y - at.y, marks };
}

function notes(template: WrapTemplate, tiled: boolean): readonly string[] {
  const { units, member, end, paper, bend, taper, oneLine, square } = template;
  const lines = !square
    ? 'Wide line: the cut on the outside of the tube. An edge square to the wall has no line here: it would not meet the joint all round.'
    : oneLine
      ? 'Wide line: the cut, for an edge along the joint and for an edge square to the wall alike.'
      : 'Wide line: cut along the joint itself. Long dash, double dot: for an edge cut square to the wall; it leaves no gap.';
  return [
    'Print at actual size (100 %). Lay a rule on both pairs of bars before use.',
    ...(tiled
      ? [
          'Several sheets: lay them on one another by the dashed match lines, each lettered cross on its like, and tape.',
        ]
      : []),
    `Cut out on the thin frame. Wrap with the print outward, the 0 line on the witness line, up the page toward the end of ${member}; the 0 line at the seam meets the first. The tape must read the full wrap; paper ${thinText(paper.thickness, units)} thick comes ${thinText(paper.short, units)} short: share it out.`,
    `The base line is the edge by the words KEEP: the kept part is toward the ${end === 'end' ? 'start' : 'end'}. It is square to the tube.`,
    `${lines} The middle of the line is the edge; the kerf lies on the waste side.`,
    ...(bend ? bendNotes(bend, units) : []),
    ...(taper
      ? [
          "On the taper the paper lies flat and true to size as it is drawn, bowed. Lengths from the base line are on the slant, along the taper's own straight lines.",
        ]
      : []),
  ];
}

function bendNotes(bend: NonNullable<WrapTemplate['bend']>, units: 'mm' | 'in'): readonly string[] {
  return [
    `In the bend paper does not lie flat. Lengths are along the tube's own lines, up to ${lengthText(bend.reach, units)} past the tangent line. Slit on the dashed lines to the tangent line and hold the middle of each strip on its own line of the tube, drawn from its tick.`,
    `True only along the middle of each strip: one left to run straight leaves its line by up to ${lengthText(bend.sideways, units)}. Check with the ordinates; a notch collar is more exact here.`,
  ];
}

/** Headings, sixteen rows, each figure at the right of its column. */
function ordinateTable(template: WrapTemplate): TitleBlock {
  const { units, section, ordinates, oneLine } = template;
  const round = section.kind === 'round' && !template.taper;
  const withSquare = !oneLine && template.square !== undefined;
  const heads = ['no.', ...(round ? ['deg'] : []), 'around', 'wide line', ...(withSquare ? ['square'] : [])];
  const rows = ordinates.map((row) => [
    String(row.mark),
    ...(round ? [String(row.turnDeg)] : []),
    lengthFigure(row.around, units),
    lengthFigure(row.outer, units),
    ...(withSquare && row.square !== undefined ? [lengthFigure(row.square, units)] : []),
  ]);
  return figureTable({ title: `from the base line, ${units}`, heads, rows });
}

/** A box of figures under a title and headings, each figure at the right of its column. */
export function figureTable({
  title,
  heads,
  rows,
}: {
  readonly title: string;
  readonly heads: readonly string[];
  readonly rows: readonly (readonly string[])[];
}): TitleBlock {
  const widths = heads.map(
    (head, i) => Math.max(textWidth(head, TEXT, true), ...rows.map((row) => textWidth(row[i]!, TEXT))) + 3,
  );
  const figures = widths.reduce((sum, w) => sum + w, 0) + PAD;
  const width = Math.max(figures, textWidth(title, TEXT) + 2 * PAD);
  const edges = widths.map((_, i) => widths.slice(0, i + 1).reduce((sum, w) => sum + w, 0));
  const marks: Mark[] = [];
  const put = (cells: readonly string[], y: Mm, bold: boolean): void => {
    for (const [i, text] of cells.entries())
      marks.push({ kind: 'text', at: [edges[i]!, y], text, size: TEXT, anchor: 'end', ...(bold ? { bold } : {}) });
  };
  let y = PAD + TEXT;
  marks.push({ kind: 'text', at: [PAD, y], text: title, size: TEXT });
  y += ROW;
  put(heads, y, true);
  y += 1.2;
  marks.push({
    kind: 'line',
    type: 'thin',
    points: [
      [0, y],
      [width, y],
    ],
  });
  for (const row of rows) {
    y += ROW;
    put(row, y, false);
  }
  y += 1.4;
  return { width, height: y, marks: [boxLine({ x: 0, y: 0, width, height: y }), ...marks] };
}
