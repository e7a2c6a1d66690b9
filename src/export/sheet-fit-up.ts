import type { SheetBlock, SheetTable } from './sheet-blocks.ts';
import { lengthFigure } from './sheet-figures.ts';
import type { SheetPart } from './sheet-source.ts';

/** More would be a table that nobody reads at the bench. */
const MOST_ROWS = 24;

const HELP =
  'Work points lie where the axes of tubes meet, or in the middle of a free end; x, y and z are those of the job. Mark them before anything is tacked, and measure straight from one to the other. An outside corner is where the long points of two miters meet.';

/** What to measure when the pieces stand together, before and after tacking. */
export const fitUpPart: SheetPart = ({ table, units }) => {
  const { points, distances: rows } = table.fitUp;
  if (points.length === 0) return [];
  const outsides = rows.some((check) => check.outsides !== undefined);
  const distances: SheetTable = {
    kind: 'table',
    title: rows.length > MOST_ROWS ? `The first ${MOST_ROWS} of ${rows.length} distances` : 'Distances',
    heads: ['', 'from', 'to', 'centers', ...(outsides ? ['outside corners'] : [])],
    sides: ['left', 'left', 'left', 'right', ...(outsides ? (['right'] as const) : [])],
    rows: rows
      .slice(0, MOST_ROWS)
      .map((check) => [
        check.what,
        check.from,
        check.to,
        lengthFigure(check.centers, units),
        ...(outsides ? [check.outsides === undefined ? '-' : lengthFigure(check.outsides, units)] : []),
      ]),
  };
  const places: SheetTable = {
    kind: 'table',
    title: 'Work points',
    heads: ['', 'of', 'x', 'y', 'z'],
    sides: ['left', 'left', 'right', 'right', 'right'],
    rows: points.map(({ name, ends, point }) => [name, ends.join(', '), ...point.map((x) => lengthFigure(x, units))]),
  };
  const blocks: readonly SheetBlock[] = [
    { kind: 'text', text: HELP },
    { kind: 'beside', blocks: [...(rows.length > 0 ? [distances] : []), places] },
  ];
  return [{ heading: 'Check when fitted up', level: 2, blocks }];
};
