import { isSquare } from '../export/sheet-figures.ts';
import { tand } from '../geometry/angle.ts';
import { perimeter } from '../geometry/section.ts';
import type { CutEnd } from '../solve/solution.ts';
import { canvasLines, dotsOf, drawLine, type Letters, openCanvas } from './dot-canvas.ts';

/** Columns of an unrolled cut, a multiple of four so that the quarters fall on letters. */
const AROUND = 64;
const LEAST_ROWS = 2;
const MOST_ROWS = 9;

/**
 * A cut as a person pictures it, in a few lines of letters; none where there is nothing to see. A curved cut is unrolled:
 * once round the tube from left to right, the kept tube below. A miter is seen from the side, its long point above.
 */
export function cutDrawing(end: CutEnd, letters: Letters): readonly string[] {
  if (end.flat) return end.bend || isSquare(end.flat.miterDeg) ? [] : sideView(end, end.flat.miterDeg, letters);
  return unrolled(end, letters);
}

function unrolled(end: CutEnd, letters: Letters): readonly string[] {
  const deep = Math.abs(end.shortPoint - end.longPoint);
  const around = perimeter(end.member.section);
  const [acrossCell, downCell] = openCanvas([1, 1], letters).cell;
  const dot = around / (AROUND * acrossCell);
  const rows = Math.max(LEAST_ROWS, Math.min(MOST_ROWS, Math.ceil((deep / dot + 1) / downCell)));
  const canvas = openCanvas([AROUND + 1, rows], letters);
  const [, down] = dotsOf(canvas);
  const { samples } = end.curves.outer;
  // As deep as the drawing is high where the cut is deeper than that.
  const step = Math.max(dot, deep / (down - 1));
  const spots = [...samples, { ...samples[0]!, u: 1 }].map(
    ({ u, s }) => [u * AROUND * acrossCell, Math.abs(s - end.longPoint) / step] as const,
  );
  spots.forEach((spot, i) => {
    if (i > 0) drawLine(canvas, spots[i - 1]!, spot);
  });
  const quarter = AROUND / 4;
  const scale = ['0 up', '90 right', '180 down', '270 left', '0']
    .map((name, i) => name.padEnd(i < 4 ? quarter : 0))
    .join('');
  return [...canvasLines(canvas), scale];
}

const LENGTH = 26;
const HIGH = 3;

function sideView(end: CutEnd, miterDeg: number, letters: Letters): readonly string[] {
  const canvas = openCanvas([LENGTH, HIGH], letters);
  const [across, down] = dotsOf(canvas);
  const lean = Math.min(across * 0.75, (down - 1) * tand(miterDeg));
  const far = across - 1;
  // The kept tube lies to the left of the cut at an end, to the right of it at a start.
  const at = (x: number, y: number): readonly [number, number] => [end.end === 'end' ? x : far - x, y];
  drawLine(canvas, at(0, 0), at(far, 0));
  drawLine(canvas, at(0, down - 1), at(far - lean, down - 1));
  drawLine(canvas, at(far, 0), at(far - lean, down - 1));
  const lines = canvasLines(canvas);
  const named = ['long point', ...lines.slice(2).map(() => ''), 'short point'];
  return lines.map((line, i) => `${line.padEnd(LENGTH)}  ${named[i] ?? ''}`.trimEnd());
}
