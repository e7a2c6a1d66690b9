import { elbowTables, elbowTitle } from './elbow-rows.ts';
import type { SheetPart } from './sheet-source.ts';

/** Turns welded up of straight pieces: lengths, ordinates and the order they come off the tube in. */
export const elbowsPart: SheetPart = ({ table, units }) =>
  table.elbows.map((row) => ({
    heading: `Segmented elbow in ${row.member}`,
    level: 3,
    blocks: [
      { kind: 'text', text: `${elbowTitle(row, units)}.` },
      { kind: 'beside', blocks: elbowTables(row, units) },
    ],
  }));
