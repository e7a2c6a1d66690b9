import { openingTables, openingTitle } from './opening-rows.ts';
import type { SheetPart } from './sheet-source.ts';

/** Holes: where their axes go through, how far their edges reach, and the edge point by point. */
export const openingsPart: SheetPart = ({ table, units }) =>
  table.openings.map((row) => ({
    heading: `Opening in ${row.on}`,
    level: 3,
    blocks: [
      { kind: 'text', text: `${openingTitle(row)}.` },
      { kind: 'beside', blocks: openingTables(row, units) },
    ],
  }));
