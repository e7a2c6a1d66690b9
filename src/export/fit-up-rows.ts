import type { Mm } from '../geometry/vector.ts';
import type { Solution } from '../solve/solution.ts';
import { type FitUpCheck, fitUpChecks, type WorkPoint } from './fit-up-checks.ts';

/** What to measure when the pieces stand together, its work points by the names that the sheet gives them. */
export interface FitUpRows {
  readonly points: readonly FitUpPointRow[];
  readonly distances: readonly FitUpDistanceRow[];
}

/** A place to mark on the tubes. */
export interface FitUpPointRow extends WorkPoint {
  readonly name: string;
}

/** A straight distance from one of them to another. */
export interface FitUpDistanceRow {
  readonly what: 'diagonal' | 'free ends';
  readonly from: string;
  readonly to: string;
  readonly centers: Mm;
  /** Between outside corners of miters, where both have one. */
  readonly outsides?: Mm;
}

/** Rows for the sheet and for machines; none of a job of one member, which stands by itself. */
export function fitUpRows(solution: Solution): FitUpRows {
  if (solution.members.length < 2) return { points: [], distances: [] };
  const { points, diagonals, spans } = fitUpChecks(solution);
  const named = (i: number): string => `W${i + 1}`;
  const rowOf =
    (what: FitUpDistanceRow['what']) =>
    ({ from, to, ...distances }: FitUpCheck): FitUpDistanceRow => ({
      what,
      from: named(from),
      to: named(to),
      ...distances,
    });
  return {
    points: points.map((point, i) => ({ name: named(i), ...point })),
    distances: [...diagonals.map(rowOf('diagonal')), ...spans.map(rowOf('free ends'))],
  };
}
