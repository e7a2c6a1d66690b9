import type { Mm, Vec2 } from '../geometry/vector.ts';
import { isArrow, type LetterStroke, letterOf } from './letter-strokes.ts';
import { inkOf } from './pen.ts';

/**
 * Least height of a capital that a 0.4 mm nozzle prints readable, mm: an E has three strokes of two lines' width and
 * two gaps between, 2.5 mm together.
 */
export const LEGIBLE_LETTER: Mm = 2.5;

/** Narrowest letters may be squeezed to, of their natural width: below it the bowls of an 8 close up at 2.5 mm. */
const NARROWEST = 0.85;

/** From one line's foot to the next, in capitals; brackets reach a third above and below and need not clear each other. */
const LINE_PITCH = 1.55;

/** How a label is set: pen strokes in the box's own coordinates (centered, y up), and what had to be left out. */
export interface LabelLayout {
  readonly letter: Mm;
  /** Lines as drawn: capitals, with what the letters lack written out. */
  readonly lines: readonly string[];
  /** Lines as given that did not fit, in order. */
  readonly dropped: readonly string[];
  readonly strokes: readonly LetterStroke[];
  /** What the pen covers, as convex polygons that overlap, counterclockwise, all within the box. */
  readonly ink: readonly (readonly Vec2[])[];
}

/**
 * Sets lines into a box: letters as tall as fit but no more than `letter` and never below the legible 2.5 mm, squeezed
 * to 0.85 of their width at most. What cannot fit at the least height is dropped: lines that are too wide,
 * then lines from the last upward. Capitals only, since small letters close up at these sizes. `stroke` is the pen's
 * width, kept inside the box.
 */
export function layoutLabel(
  lines: readonly string[],
  box: readonly [Mm, Mm],
  pen: { readonly letter: Mm; readonly stroke: Mm },
): LabelLayout {
  const width = box[0] - pen.stroke;
  const height = box[1] - pen.stroke;
  const set = lines.filter((line) => line.trim() !== '').map(setLine);
  const narrow = set.filter((line) => line.span * LEGIBLE_LETTER * NARROWEST <= width);
  let kept = narrow;
  while (kept.length > 0 && inkHeight(kept) * LEGIBLE_LETTER > height) kept = kept.slice(0, -1);
  const dropped = set.filter((line) => !kept.includes(line)).map((line) => line.given);
  if (kept.length === 0) return { letter: 0, lines: [], dropped, strokes: [], ink: [] };
  const widest = Math.max(...kept.map((line) => line.span));
  const tallest = Math.min(height / inkHeight(kept), width / (widest * NARROWEST));
  const letter = Math.min(tallest, Math.max(pen.letter, LEGIBLE_LETTER));
  const foot = -(inkTop(kept) - inkHeight(kept) / 2) * letter;
  const strokes = kept.flatMap((line, row) => {
    const across = Math.min(letter, width / line.span);
    const down = foot - row * LINE_PITCH * letter;
    const left = -(line.span / 2 + line.start) * across;
    return line.strokes.map(
      (stroke): LetterStroke => ({
        ...stroke,
        corners: stroke.corners.map(([x, y]): Vec2 => [left + x * across, down + y * letter]),
      }),
    );
  });
  const ink = strokes.flatMap((stroke) => inkOf(stroke, pen.stroke / 2)).map((polygon) => within(box, polygon));
  return { letter, lines: kept.map((line) => line.drawn), dropped, strokes, ink };
}

/** A sharp corner may reach a hair beyond a square pen, and so out of the box. */
const within = ([wide, tall]: readonly [Mm, Mm], polygon: readonly Vec2[]): readonly Vec2[] =>
  polygon.map(([x, y]) => [Math.max(-wide / 2, Math.min(wide / 2, x)), Math.max(-tall / 2, Math.min(tall / 2, y))]);

/** Ink of stacked lines, in capitals over the foot of the first: commas and brackets reach below and above the letters. */
const inkTop = (lines: readonly SetLine[]): number =>
  Math.max(...lines.map((line, row) => line.top - row * LINE_PITCH));
const inkFoot = (lines: readonly SetLine[]): number =>
  Math.min(...lines.map((line, row) => line.foot - row * LINE_PITCH));
const inkHeight = (lines: readonly SetLine[]): number => inkTop(lines) - inkFoot(lines);

/** Text as the letters can draw it: capitals, degree and diameter written out, anything unknown a question mark. */
export function drawableText(text: string): string {
  const written = text
    .normalize('NFC')
    .replaceAll('<-', '←')
    .replaceAll('->', '→')
    .replaceAll('°', 'deg')
    .replaceAll(/[øØ⌀]/gu, 'dia')
    .replaceAll('½', '1/2')
    .replaceAll('¼', '1/4')
    .replaceAll('¾', '3/4')
    .replaceAll('−', '-')
    .replaceAll('×', 'x')
    .replaceAll(/\s/gu, ' ')
    .toUpperCase();
  return Array.from(written, (c) => (/^[ -~]$/u.test(c) || isArrow(c) ? c : '?')).join('');
}

interface SetLine {
  readonly given: string;
  readonly drawn: string;
  readonly strokes: readonly LetterStroke[];
  /** Ink in capitals: across from `start` over `span`, upright from `foot` to `top` but at least a whole capital. */
  readonly start: number;
  readonly span: number;
  readonly foot: number;
  readonly top: number;
}

function setLine(line: string): SetLine {
  const drawn = drawableText(line.trim());
  const strokes: LetterStroke[] = [];
  let pen = 0;
  for (const character of drawn) {
    const letter = letterOf(character);
    const at = pen;
    for (const stroke of letter.strokes)
      strokes.push({ ...stroke, corners: stroke.corners.map(([x, y]): Vec2 => [x + at, y]) });
    pen += letter.advance;
  }
  const corners = strokes.flatMap((stroke) => stroke.corners);
  const across = corners.map((p) => p[0]);
  const upright = corners.map((p) => p[1]);
  const start = Math.min(...across);
  return {
    given: line,
    drawn,
    strokes,
    start,
    span: Math.max(Math.max(...across) - start, 0.1),
    foot: Math.min(0, ...upright),
    top: Math.max(1, ...upright),
  };
}
