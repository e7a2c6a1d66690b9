import { bendDrawing } from './bend-drawing.ts';
import type { SheetBlock, SheetSection } from './sheet-blocks.ts';
import type { SheetPart } from './sheet-source.ts';
import { stickDrawing } from './stick-drawing.ts';
import { bendTable, needsTable, planText, stickTable } from './stock-rows.ts';

const HELP =
  'Positions are of long points, from the datum end of the stick; the kerf lies between the pieces. Measure each piece from its own first cut, not from the end of the stick. End first: laid with the end of the member toward the datum. A star: one pass makes the next cut too; roll the tube until they meet.';

/** What is sawn from each bought length and cut from each bought bend, drawn to scale. */
export const nestingPart: SheetPart = ({ solution, table, units }) => {
  if (solution.stock.length === 0) return [];
  const numbers = new Map(table.pieces.map(({ member }, i) => [member, i + 1]));
  return solution.stock.map((plan, i): SheetSection => {
    const section = solution.job.sections.find(({ name }) => name === plan.section);
    if (!section) throw new Error(`internal: stock of "${plan.section}", which is no section`);
    const longest = Math.max(...plan.sticks.map(({ length }) => length));
    return {
      heading: `Cutting plan, ${plan.section}`,
      level: 2,
      blocks: [
        ...(i === 0 ? [{ kind: 'text', text: HELP } as const] : []),
        { kind: 'text', text: planText(plan, units) },
        ...plan.sticks.flatMap((stick, k): readonly SheetBlock[] => [
          stickDrawing(stick, { numbers, longest, units }),
          stickTable(stick, { no: k + 1, units }),
        ]),
        ...needsTable(plan, units),
        ...plan.bends.map(
          (bend, k): SheetBlock => ({
            kind: 'beside',
            blocks: [bendDrawing(bend, { numbers, section: section.actual }), bendTable(bend, { no: k + 1, units })],
          }),
        ),
      ],
    };
  });
};
