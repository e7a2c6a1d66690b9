import { createRequire } from 'node:module';
import type { SingularValueDecomposition } from 'ml-matrix';
import { RANK } from '../../geometry/tolerance.ts';

/** Read when a job first has something to solve that way: most jobs never do, and reading it takes as long as they do. */
const library = (): typeof import('ml-matrix') => createRequire(import.meta.url)('ml-matrix');

/** A table of rates: a row for each thing left, a column for each unknown. */
export type Rows = readonly (readonly number[])[];

export interface Decomposed {
  /** How many directions of the unknowns the rows feel. */
  readonly rank: number;
  /** Largest and smallest stretch of a unit step. */
  readonly largest: number;
  readonly smallest: number;
  /** The step that takes away `left`, held back by a damping in the unit of the stretches. */
  readonly step: (left: readonly number[], damping: number) => readonly number[];
  /** Unit steps that the rows do not feel. */
  readonly free: readonly (readonly number[])[];
}

/** Singular values of the rates, and the steps that follow from them. */
export function decompose(rows: Rows, columns: number): Decomposed {
  if (columns === 0) return { rank: 0, largest: 0, smallest: 0, free: [], step: () => [] };
  const { Matrix, SVD } = library();
  // At least as many rows as columns, so that every direction of the unknowns is among the right vectors.
  const full = Array.from({ length: Math.max(rows.length, columns) }, (_, i) =>
    Array.from({ length: columns }, (_, j) => rows[i]?.[j] ?? 0),
  );
  const svd: SingularValueDecomposition = new SVD(new Matrix(full));
  const stretches = svd.diagonal;
  const [left, right] = [svd.leftSingularVectors, svd.rightSingularVectors];
  const largest = Math.max(0, ...stretches);
  // Rates are about 1 where a goal feels anything; when all are far smaller, they are rounding.
  const felt = (k: number): boolean => stretches[k]! > RANK * Math.max(1, largest);
  const indices = Array.from({ length: columns }, (_, k) => k);
  const column = (k: number): readonly number[] => indices.map((j) => right.get(j, k));
  return {
    rank: indices.filter(felt).length,
    largest,
    smallest: Math.min(...indices.map((k) => stretches[k]!)),
    free: indices.filter((k) => !felt(k)).map(column),
    step: (away, damping) => {
      const shares = indices.map((k) => {
        const s = stretches[k]!;
        if (damping === 0 && !felt(k)) return 0;
        const along = rows.reduce((sum, _, i) => sum + left.get(i, k) * away[i]!, 0);
        return (-along * s) / (s * s + damping * damping);
      });
      return indices.map((j) => indices.reduce((sum, k) => sum + right.get(j, k) * shares[k]!, 0));
    },
  };
}

/** Determinant of a small square table, by elimination with the largest pivot. */
export function determinant(table: Rows): number {
  const rows = table.map((row) => [...row]);
  let product = 1;
  for (let k = 0; k < rows.length; k++) {
    let pivot = k;
    for (let i = k + 1; i < rows.length; i++) if (Math.abs(rows[i]![k]!) > Math.abs(rows[pivot]![k]!)) pivot = i;
    if (rows[pivot]![k] === 0) return 0;
    if (pivot !== k) {
      [rows[k], rows[pivot]] = [rows[pivot]!, rows[k]!];
      product = -product;
    }
    product *= rows[k]![k]!;
    for (let i = k + 1; i < rows.length; i++) {
      const share = rows[i]![k]! / rows[k]![k]!;
      for (let j = k; j < rows.length; j++) rows[i]![j]! -= share * rows[k]![j]!;
    }
  }
  return product;
}
