import type { CutTable } from './cut-table.ts';

export const CUT_LIST_FORMAT = 'kerfwright-cut-list';
/** Goes up when a reader of the old shape would misread the new one. */
export const CUT_LIST_VERSION = 2;

/**
 * The cut table as JSON that `cutListSchema` describes: lengths mm, angles degrees, areas mm^2 whatever the job's unit, to
 * six decimals; no clock, no path.
 */
export function cutListJson(table: CutTable, { madeBy }: { readonly madeBy: string }): string {
  const { job, units, pieces, merges, elbows, openings, stock, plates, masses, heat, fitUp } = table;
  const list = {
    format: CUT_LIST_FORMAT,
    version: CUT_LIST_VERSION,
    madeBy,
    job,
    units,
    pieces,
    merges,
    elbows,
    openings,
    stock,
    plates,
    masses,
    heat,
    fitUp,
  };
  return `${JSON.stringify(list, (_, value) => (typeof value === 'number' ? rounded(value) : value), 2)}\n`;
}

/** To a nanometer, so that a number does not wobble in its last bits; never minus zero. */
function rounded(x: number): number {
  if (!Number.isFinite(x)) throw new Error(`internal: ${x} in a cut list`);
  return Math.round(x * 1e6) / 1e6 + 0;
}
