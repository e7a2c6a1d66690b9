import type { Mm } from '../geometry/vector.ts';
import type { Problem } from '../job/problem.ts';
import type { Solution } from '../solve/solution.ts';
import { type CutTable, cutTable, type MergeRow, type PieceRow } from './cut-table.ts';
import { assemblyDrawing, overallSize } from './sheet-assembly.ts';
import type { JobSheet, SheetBlock, SheetSection, SheetTable } from './sheet-blocks.ts';
import { CAUTIONS } from './sheet-cautions.ts';
import { lengthFigure, lengthText, plain, sectionText, type Units } from './sheet-figures.ts';
import { cutName, pieceSection } from './sheet-pieces.ts';
import { type SheetTool, toolSection } from './sheet-tools.ts';

export interface JobSheetOptions {
  readonly tools: readonly SheetTool[];
  /** What the job was warned of. */
  readonly warnings?: readonly Problem[];
  readonly madeBy: string;
}

/** What goes to the bench: pieces, cuts, marks, checks, stock and tools of a solved job. No clock: same job, same sheet. */
export function jobSheet(solution: Solution, options: JobSheetOptions): JobSheet {
  const { job } = solution;
  const { units } = job;
  const table = cutTable(solution);
  return {
    title: job.name,
    footer: options.madeBy,
    sections: [
      {
        heading: job.name,
        level: 1,
        blocks: [
          ...(job.about ? [{ kind: 'text', text: job.about } as const] : []),
          { kind: 'text', text: readingHelp(units) },
          assemblyDrawing(solution),
          { kind: 'text', text: `Overall ${sizeText(overallSize(solution), units)} along x, y and z of the job.` },
        ],
      },
      { heading: 'Cut list', level: 2, blocks: [cutList(table)] },
      { heading: 'Stock', level: 2, blocks: stockBlocks(table, solution) },
      ...warningSections(options.warnings ?? []),
      { heading: 'Cautions', level: 2, blocks: [{ kind: 'list', items: CAUTIONS }] },
      { heading: 'Pieces', level: 2, blocks: [{ kind: 'text', text: PIECES_HELP }] },
      ...table.pieces.map((row, i) => pieceSection(row, { piece: solution.pieces[i]!, no: i + 1, units })),
      ...mergeSections(table.merges, units),
      ...toolSections(options.tools, units),
    ],
  };
}

const readingHelp = (units: Units): string =>
  units === 'mm'
    ? 'Lengths in mm, angles in degrees. Miter angles are from a square cut.'
    : 'Lengths in inches, the nearest 64th in brackets; angles in degrees. Miter angles are from a square cut.';

const PIECES_HELP =
  'Distances run along the centerline from the long point of the other end. The witness line is the 0 line of a tube: scribe it first. Sides are degrees clockwise from it, looking from the start of the piece to its end: 0 up, 90 right, 180 down, 270 left. The kerf lies on the waste side.';

const sizeText = (size: readonly Mm[], units: Units): string =>
  units === 'mm'
    ? `${size.map((x) => plain(x, 1)).join(' x ')} mm`
    : `${size.map((x) => plain(x / 25.4, 2)).join(' x ')} in`;

const cutList = ({ pieces, units }: CutTable): SheetTable => ({
  kind: 'table',
  heads: ['no.', 'piece', 'tube', 'stock', 'start', 'end'],
  sides: ['right', 'left', 'left', 'right', 'left', 'left'],
  rows: pieces.map((piece, i) => [
    String(i + 1),
    piece.member,
    stockName(piece, units),
    lengthFigure(piece.stockLength, units),
    ...piece.ends.map(cutName),
  ]),
});

const stockName = (piece: PieceRow, units: Units): string =>
  `${sectionText(piece.section, units)}${piece.material ? ` ${piece.material}` : ''}`;

/** Pieces of the same tube together, and what its saw takes besides. */
function stockBlocks({ pieces, units }: CutTable, { job }: Solution): readonly SheetBlock[] {
  const saw = job.shop.saws.find(({ name }) => name === job.shop.saw);
  const kinds = new Map<string, PieceRow[]>();
  for (const piece of pieces) {
    const name = stockName(piece, units);
    kinds.set(name, [...(kinds.get(name) ?? []), piece]);
  }
  const rows = [...kinds].map(([name, of]) => {
    const net = of.reduce((sum, piece) => sum + piece.stockLength, 0);
    const cuts = of.flatMap((piece) => piece.ends).length;
    return [
      name,
      String(of.length),
      lengthFigure(Math.max(...of.map((piece) => piece.stockLength)), units),
      lengthFigure(net, units),
      ...(saw ? [lengthFigure(net + cuts * saw.kerf, units)] : []),
    ];
  });
  return [
    {
      kind: 'table',
      heads: ['tube', 'pieces', 'longest', 'together', ...(saw ? ['with kerf'] : [])],
      sides: ['left', 'right', 'right', 'right', ...(saw ? (['right'] as const) : [])],
      rows,
    },
    ...(saw
      ? [
          {
            kind: 'text',
            text: `With kerf: one cut of ${lengthText(saw.kerf, units)} at each end of each piece (${saw.name}). Clamping ends and pieces left over come on top.`,
          } as const,
        ]
      : []),
  ];
}

const warningSections = (warnings: readonly Problem[]): readonly SheetSection[] =>
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

function mergeSections(merges: readonly MergeRow[], units: Units): readonly SheetSection[] {
  const area = (mm2: number): string =>
    units === 'mm' ? `${plain(mm2, 1)} mm^2` : `${plain(mm2 / 25.4 ** 2, 3)} in^2`;
  return merges.map((merge) => ({
    heading: `Merge into ${merge.trunk}`,
    level: 3,
    blocks: [
      { kind: 'text', text: `${merge.joint}: ${merge.legs.join(', ')} into ${merge.trunk}` },
      {
        kind: 'table',
        title: 'Flow areas',
        heads: [],
        sides: ['left', 'right'],
        rows: [
          ['bores of the legs together', area(merge.legArea)],
          ['bore of the trunk', area(merge.trunkArea)],
          ['trunk over legs', plain(merge.ratio, 3)],
          ['left open at the start of the trunk', area(merge.openArea)],
          ...(merge.openArea > 0
            ? [
                [
                  'least open, with the start of the trunk moved along its heading',
                  `${area(merge.bestShift.area)} at ${lengthText(merge.bestShift.shift, units)}`,
                ],
              ]
            : []),
        ],
      },
    ],
  }));
}

const toolSections = (tools: readonly SheetTool[], units: Units): readonly SheetSection[] =>
  tools.length === 0
    ? []
    : [
        {
          heading: 'Tools to print',
          level: 2,
          newSheet: true,
          blocks: [
            {
              kind: 'text',
              text: 'Print as they lie, without support. The revision stands on the part: a part with another one is of another cut.',
            },
            {
              kind: 'table',
              heads: ['tool', 'for the cut', 'revision', 'parts'],
              sides: ['left', 'left', 'left', 'right'],
              rows: tools.map(({ tool }) => [tool.name, tool.for, tool.revision, String(tool.parts.length)]),
            },
          ],
        },
        ...tools.map((tool) => toolSection(tool, units)),
      ];
