import { boundsOfLoops, loopPoints } from '../geometry/flat-path.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Plate } from '../solve/plates/plate.ts';
import type { PlateRow } from './plate-rows.ts';
import type { SheetBlock, SheetDrawing } from './sheet-blocks.ts';
import { angleFigure, lengthFigure, lengthText, plain, type Units } from './sheet-figures.ts';
import type { Mark } from './sheet-paper.ts';
import type { SheetPart } from './sheet-source.ts';

/** Flat parts to have cut: what they look like, where their holes are, how much is cut. */
export const platesPart: SheetPart = ({ solution: { plates }, table, units }) =>
  plates.length === 0
    ? []
    : [
        { heading: 'Flat parts', level: 2, blocks: [{ kind: 'text', text: HELP }] },
        ...plates.map((plate, i) => {
          const row = table.plates[i]!;
          return {
            heading: plate.name,
            level: 3 as const,
            blocks: [
              { kind: 'beside', blocks: [drawingOf(plate), factsOf(row, units)] } as const,
              ...holesOf(row, units),
            ],
          };
        }),
      ];

const HELP =
  'Drawn as DXF and SVG at full size. x and y run from the lower left corner of the box round the outline; holes have the room that was asked for in them. Numbers of holes are those in the drawing.';

/** Room the drawing takes. */
const WIDE: Mm = 80;
const TALL: Mm = 80;
const LETTER: Mm = 3;

function drawingOf({ name, outline, holes, marks }: Plate): SheetDrawing {
  const { min, max } = boundsOfLoops([outline]);
  const [w, h] = [max[0] - min[0], max[1] - min[1]];
  const k = Math.min((WIDE - 2) / w, (TALL - 2) / h);
  const put = ([x, y]: Vec2): Vec2 => [1 + (x - min[0]) * k, 1 + (max[1] - y) * k];
  const closed = (points: readonly Vec2[]): readonly Vec2[] => [...points, points[0]!].map(put);
  const lines: readonly Mark[] = [outline, ...holes.map(({ loop }) => loop)].map((loop) => ({
    kind: 'line',
    points: closed(loopPoints(loop, 0.05 / k)),
    type: 'outline',
  }));
  const scored: readonly Mark[] = marks.map(([p, q]) => ({ kind: 'line', points: [put(p), put(q)], type: 'center' }));
  const numbers: readonly Mark[] = holes.map(({ middle }, i) => {
    const [x, y] = put(middle);
    return { kind: 'text', at: [x + 1, y - 1], text: String(i + 1), size: LETTER };
  });
  return {
    kind: 'drawing',
    description: `${name}: outline and ${holes.length} holes`,
    width: w * k + 2,
    height: h * k + 2,
    marks: [...lines, ...scored, ...numbers],
  };
}

function factsOf(row: PlateRow, units: Units) {
  const area = units === 'mm' ? `${plain(row.area, 0)} mm^2` : `${plain(row.area / 25.4 ** 2, 2)} in^2`;
  return {
    kind: 'table',
    heads: [],
    sides: ['left', 'right'],
    rows: [
      ['sheet', `${lengthText(row.thickness, units)}${row.material === undefined ? '' : ` ${row.material}`}`],
      ['box', `${lengthText(row.width, units)} x ${lengthText(row.height, units)}`],
      ['area', area],
      ['length of cut', lengthText(row.cutLength, units)],
      ['holes', String(row.holes.length)],
    ],
  } as const;
}

const holesOf = ({ holes }: PlateRow, units: Units): readonly SheetBlock[] =>
  holes.length === 0
    ? []
    : [
        {
          kind: 'table',
          heads: ['no.', 'for', 'x', 'y', 'width', 'height', 'lean'],
          sides: ['right', 'left', 'right', 'right', 'right', 'right', 'right'],
          rows: holes.map((hole, i) => [
            String(i + 1),
            hole.for,
            ...[hole.x, hole.y, hole.width, hole.height].map((length) => lengthFigure(length, units)),
            angleFigure(hole.leanDeg),
          ]),
        },
      ];
