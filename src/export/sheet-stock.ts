import type { PieceRow } from './cut-table.ts';
import type { SheetBlock } from './sheet-blocks.ts';
import { lengthFigure, lengthText } from './sheet-figures.ts';
import { tubeName } from './sheet-pieces.ts';
import type { SheetPart, SheetSource } from './sheet-source.ts';

/** Tube to buy or to fetch from the rack. */
export const stockPart: SheetPart = (source) => [{ heading: 'Stock', level: 2, blocks: stockBlocks(source) }];

/** Pieces of the same tube together, and what its saw takes besides. */
function stockBlocks({ solution, table, units }: SheetSource): readonly SheetBlock[] {
  const { pieces } = table;
  const saw = solution.job.shop.saws.find(({ name }) => name === solution.job.shop.saw);
  const kinds = new Map<string, PieceRow[]>();
  for (const piece of pieces) {
    const name = tubeName(piece, units);
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
