import { heatTable, massTable, unknownText } from './mass-rows.ts';
import { overallSize } from './overall-size.ts';
import type { SheetBlock } from './sheet-blocks.ts';
import type { SheetPart } from './sheet-source.ts';

/** What the pieces weigh, and how much they grow with heat where the job asks. */
export const massesPart: SheetPart = ({ solution, table, units }) => {
  const { masses } = table;
  const heat = heatTable(solution, { units, size: solution.heat.length === 0 ? [] : overallSize(solution) });
  const note = unknownText(masses);
  const blocks: readonly SheetBlock[] = [
    ...(masses.materials.length === 0 ? [] : [massTable(masses, units)]),
    ...(masses.materials.length === 0 || note === '' ? [] : [{ kind: 'text', text: note } as const]),
    ...heat,
  ];
  return blocks.length === 0 ? [] : [{ heading: 'Mass', level: 2, blocks }];
};
