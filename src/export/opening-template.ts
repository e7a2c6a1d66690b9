import { sectionAt } from '../geometry/tube-shape.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import { taperUnder } from '../solve/opening-places.ts';
import type { Opening, Solution } from '../solve/solution.ts';
import { openingRow, openingTitle } from './opening-rows.ts';
import { angleFigure, lengthFigure, lengthText, sectionText } from './sheet-figures.ts';
import { type Mark, textWidth } from './sheet-paper.ts';
import type { PaperPattern } from './template-pages.ts';
import { besideBlock, figureTable } from './template-title.ts';
import type { WrapDrawing } from './wrap-marks.ts';

/** Paper round the hole, to hold it by and to see the scribed cross on. */
const AROUND: Mm = 18;
const TEXT: Mm = 3;
const SMALL: Mm = 2.5;
/** Open ends of the cross at the paper's edge, where it is set to the scribed lines. */
const INWARD: Mm = 0.8;

/**
 * The edge of a hole unrolled from the outside of its tube, true to size, to be laid on a scribed cross: x round the outside,
 * clockwise looking from the tube's start to its end, y along it; up the page is toward the end. In a bend lengths along
 * are the tube's own lines', and a large hole's paper has to be eased onto it.
 */
export function openingPattern(opening: Opening, solution: Solution): PaperPattern {
  const { job } = solution;
  const row = openingRow(opening, solution);
  const { units } = job;
  const bent = opening.run.centerline.segments.some(
    (segment) =>
      segment.kind === 'bend' && opening.outside.some(({ s }) => s > segment.s0 && s < segment.s0 + segment.length),
  );
  const tapered = taperUnder(opening.run, opening.outside) !== undefined;
  return {
    job: job.name,
    id: `${opening.name} in ${opening.run.name}`,
    drawing: openingDrawing(opening, `${angleFigure(row.turnDeg)} deg`),
    words: ({ width, tiled }) =>
      besideBlock(
        {
          id: opening.name,
          rows: [
            ['job', job.name],
            ['tube', `${opening.run.name}, ${sectionText(sectionAt(opening.run, opening.center.s), units)}`],
            ['hole', openingTitle(row)],
            [
              'line along',
              `${angleFigure(row.turnDeg)} deg from the witness line, ${lengthText(row.around, units)} round`,
            ],
            ['line round', `${lengthText(row.fromStart, units)} from the long point at the start`],
            ['', `${lengthText(row.fromEnd, units)} from the long point at the end`],
          ],
          notes: [
            'Print at actual size (100 %). Lay a rule on both pairs of bars before use.',
            ...(tiled
              ? [
                  'Several sheets: lay them on one another by the dashed match lines, each lettered cross on its like, and tape.',
                ]
              : []),
            'Scribe both lines on the tube. Cut the paper on the thin frame and lay it print outward, its cross on the scribed one, up the page toward the end of the tube.',
            'The wide line is the edge on the outside of the tube; its middle is the edge. The kerf lies inside it.',
            ...(tapered
              ? [
                  'The tube tapers here: the pattern is unrolled, so the line round is square to the line along and straight on flat paper. Lengths from the ends are along the axis.',
                ]
              : []),
            ...(bent
              ? [
                  'The tube is bent here: lengths along are on its own lines. Ease the paper down from the cross outward; the opening gauge is more exact.',
                ]
              : []),
          ],
          table: figureTable({
            title: `from the cross, ${units}`,
            heads: ['no.', 'round', 'along'],
            rows: row.edgePoints.map((p, i) => [
              String(i + 1),
              lengthFigure(p.around, units),
              lengthFigure(p.along, units),
            ]),
          }),
        },
        width,
      ),
  };
}

function openingDrawing({ name, along, around, outside }: Opening, turn: string): WrapDrawing {
  const [left, right] = [Math.min(0, around[0]) - AROUND, Math.max(0, around[1]) + AROUND];
  const [low, high] = [Math.min(0, along[0]) - AROUND, Math.max(0, along[1]) + AROUND];
  const toPage = ([x, y]: Vec2): Vec2 => [x - left, high - y];
  const line = (type: Extract<Mark, { kind: 'line' }>['type'], points: readonly Vec2[]): Mark => ({
    kind: 'line',
    type,
    points: points.map(toPage),
  });
  const text = (words: string, at: Vec2, more: Partial<Extract<Mark, { kind: 'text' }>> = {}): Mark => ({
    kind: 'text',
    at: toPage(at),
    text: words,
    size: SMALL,
    ...more,
  });
  const edge = outside.map(({ x, y }): Vec2 => [x, y]);
  const fits = textWidth('WASTE', TEXT, true) + 2 < Math.min(around[1], -around[0]) && along[1] > 2 * TEXT;
  return {
    width: right - left,
    height: high - low,
    marks: [
      line('thin', [
        [left, low],
        [right, low],
        [right, high],
        [left, high],
        [left, low],
      ]),
      line('center', [
        [0, low],
        [0, high],
      ]),
      line('center', [
        [left, 0],
        [right, 0],
      ]),
      text(turn, [INWARD, low + INWARD]),
      text(`${name}  print side out`, [left + 1, high - SMALL - 0.6]),
      text('to the end', [right - 6, high - 9], { anchor: 'end' }),
      line('outline', [
        [right - 3.5, high - 11],
        [right - 3.5, high - 2],
      ]),
      {
        kind: 'fill',
        gray: 0,
        points: (
          [
            [right - 3.5, high - 1.5],
            [right - 4.5, high - 4.5],
            [right - 2.5, high - 4.5],
            [right - 3.5, high - 1.5],
          ] as const
        ).map(toPage),
      },
      ...(fits ? [text('WASTE', [around[0] / 2, 1], { size: TEXT, bold: true, anchor: 'middle' })] : []),
      // Last, so that nothing hides any of it.
      line('outline', [...edge, edge[0]!]),
    ],
  };
}
