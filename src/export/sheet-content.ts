import type { Mm } from '../geometry/vector.ts';
import type { Solution } from '../solve/solution.ts';
import { assemblyPicture } from './assembly-picture.ts';
import { cutTable } from './cut-table.ts';
import { assemblyDrawing } from './sheet-assembly.ts';
import type { JobSheet } from './sheet-blocks.ts';
import { CAUTIONS } from './sheet-cautions.ts';
import { elbowsPart } from './sheet-elbows.ts';
import { lengthFigure, overallFigure, type Units } from './sheet-figures.ts';
import { fitUpPart } from './sheet-fit-up.ts';
import { massesPart } from './sheet-masses.ts';
import { mergesPart } from './sheet-merges.ts';
import { nestingPart } from './sheet-nesting.ts';
import { openingsPart } from './sheet-openings.ts';
import { cutName, pieceSection, tubeName } from './sheet-pieces.ts';
import { platesPart } from './sheet-plates.ts';
import type { JobSheetOptions, SheetPart, SheetSource } from './sheet-source.ts';
import { stockPart } from './sheet-stock.ts';
import { toolsPart } from './sheet-tools.ts';

const headPart: SheetPart = ({ solution, units, assembly }) => [
  {
    heading: solution.job.name,
    level: 1,
    blocks: [
      ...(solution.job.about ? [{ kind: 'text', text: solution.job.about } as const] : []),
      { kind: 'text', text: readingHelp(units) },
      assemblyDrawing(assembly, solution.pieces.length),
      { kind: 'text', text: `Overall ${sizeText(assembly.size, units)} along x, y and z of the job.` },
    ],
  },
];

const cutListPart: SheetPart = ({ table, units }) => [
  {
    heading: 'Cut list',
    level: 2,
    blocks: [
      {
        kind: 'table',
        heads: ['no.', 'piece', 'tube', 'stock', 'start', 'end'],
        sides: ['right', 'left', 'left', 'right', 'left', 'left'],
        rows: table.pieces.map((piece, i) => [
          String(i + 1),
          piece.member,
          tubeName(piece, units),
          lengthFigure(piece.stockLength, units),
          ...piece.ends.map(cutName),
        ]),
      },
    ],
  },
];

const warningsPart: SheetPart = ({ options: { warnings = [] } }) =>
  warnings.length === 0
    ? []
    : [
        {
          heading: 'Warnings',
          level: 2,
          blocks: [
            {
              kind: 'list',
              items: warnings.map(({ message, hint }) => (hint ? `${message}. Hint: ${hint}` : message)),
            },
          ],
        },
      ];

const cautionsPart: SheetPart = () => [{ heading: 'Cautions', level: 2, blocks: [{ kind: 'list', items: CAUTIONS }] }];

const piecesPart: SheetPart = ({ solution, table, units }) => [
  { heading: 'Pieces', level: 2, blocks: [{ kind: 'text', text: PIECES_HELP }] },
  ...table.pieces.map((row, i) => pieceSection(row, { piece: solution.pieces[i]!, no: i + 1, units })),
];

/** The sheet from top to bottom; a new part is a file with a `SheetPart` and its line here. */
const PARTS: readonly SheetPart[] = [
  headPart,
  cutListPart,
  stockPart,
  nestingPart,
  massesPart,
  warningsPart,
  cautionsPart,
  piecesPart,
  fitUpPart,
  elbowsPart,
  openingsPart,
  mergesPart,
  platesPart,
  toolsPart,
];

/** What goes to the bench: pieces, cuts, marks, checks, stock and tools of a solved job. No clock: same job, same sheet. */
export function jobSheet(solution: Solution, options: JobSheetOptions): JobSheet {
  const { job } = solution;
  const source: SheetSource = {
    solution,
    options,
    units: job.units,
    table: cutTable(solution),
    assembly: options.assembly ?? assemblyPicture(solution),
  };
  return { title: job.name, footer: options.madeBy, sections: PARTS.flatMap((part) => part(source)) };
}

const readingHelp = (units: Units): string =>
  units === 'mm'
    ? 'Lengths in mm, angles in degrees. Miter angles are from a square cut.'
    : 'Lengths in inches, the nearest 64th in brackets; angles in degrees. Miter angles are from a square cut.';

const PIECES_HELP =
  'Distances run along the centerline from the long point of the other end. The witness line is the 0 line of a tube: scribe it first. Sides are degrees clockwise from it, looking from the start of the piece to its end: 0 up, 90 right, 180 down, 270 left. The kerf lies on the waste side.';

const sizeText = (size: readonly Mm[], units: Units): string =>
  `${size.map((x) => overallFigure(x, units)).join(' x ')} ${units}`;
