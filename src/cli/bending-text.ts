import type { BendingRows, BendReach, PointRow } from '../export/bending-rows.ts';
import { angleFigure, lengthFigure, lengthText, type Units } from '../export/sheet-figures.ts';
import { columns, wrapped } from './columns.ts';

/** What the bender sets, where bends begin and end, and what was measured of them. */
export function bendingLines(bending: BendingRows, units: Units): readonly string[] {
  const { rows } = bending;
  return [
    '  bending, from the start of the drawn centerline:',
    ...columns({
      heads: ['straight', 'turn', 'bend', 'clr', 'arc'],
      sides: ['right', 'right', 'right', 'right', 'right'],
      indent: 4,
      rows: [
        ...rows.map((row) => [
          lengthFigure(row.straight, units),
          angleFigure(row.planeOfBendDeg),
          angleFigure(row.bendAngleDeg),
          lengthFigure(row.clr, units),
          lengthFigure(row.arcLength, units),
        ]),
        [lengthFigure(bending.last, units), '', '', '', ''],
      ],
    }),
    ...rows.flatMap(({ nominal, clr, bendAngleDeg }, i) =>
      nominal
        ? wrapped(
            `bend ${i + 1} as measured; asked for: ${angleFigure(nominal.bendAngleDeg)} deg (came out ${angleFigure(bendAngleDeg)}), clr ${lengthText(nominal.clr, units)} (came out ${lengthText(clr, units)})`,
            4,
          )
        : [],
    ),
    ...wrapped(reachText(bending, units), 4),
    '  tangent points of each bend, x y z:',
    ...columns({
      heads: ['', '', '', ''],
      sides: ['left', 'right', 'right', 'right'],
      indent: 4,
      rows: rows.flatMap(({ from, to }, i) => [
        [`${i + 1} in`, ...from.map((x) => lengthFigure(x, units))],
        [`${i + 1} out`, ...to.map((x) => lengthFigure(x, units))],
      ]),
    }),
  ];
}

/** What the bender has between each cut and the bend next to it; nothing where the cut lies in the bend itself. */
function reachText({ fromStart, toEnd }: BendingRows, units: Units): string {
  if (!fromStart || !toEnd) return 'the cuts leave no bend';
  const tell = (end: 'start' | 'end', { bend, straight }: BendReach): string =>
    straight < 0
      ? `the ${end} is cut within bend ${bend}`
      : `long point at the ${end} to bend ${bend} ${lengthFigure(straight, units)}`;
  return `${tell('start', fromStart)}; ${tell('end', toEnd)}`;
}

/** Start, corners with their clr, and end: the same tube as points. */
export const pointLines = (points: readonly PointRow[], units: Units): readonly string[] => [
  `  start, ${points.length > 2 ? 'corners with clr, ' : ''}end, x y z:`,
  ...columns({
    heads: ['', '', '', ''],
    sides: ['right', 'right', 'right', 'right'],
    indent: 4,
    rows: points.map(({ at, clr }) => [
      ...at.map((x) => lengthFigure(x, units)),
      clr === undefined ? '' : lengthFigure(clr, units),
    ]),
  }),
];
