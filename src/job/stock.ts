import type { Deg, Mm } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** What is bought of one section, and how it is cut up. */
export interface StockSpec {
  readonly path: JobPath;
  readonly section: string;
  readonly lengths: readonly Mm[];
  /** Lengths and offcuts in the rack, used before any is bought; undefined where the file says nothing of them. */
  readonly onHand?: readonly StockOnHand[];
  readonly bends: readonly StockBend[];
  /** Sawn off each raw end, kerf included. */
  readonly squareEnd: Mm;
  /** Left on each cut end, to be sawn to the line afterwards. */
  readonly trim: Mm;
  /** Added at each end of a member that is bent from a length; what the shop's bender needs beyond its straights where the file is silent. */
  readonly grip?: Mm;
  /** Saw that parts it; the shop's own where it is absent. */
  readonly saw?: string;
}

export interface StockBend {
  readonly path: JobPath;
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  /** Straights before and after it. */
  readonly legs: readonly [Mm, Mm];
  /** How many are in the rack; undefined where the file does not say. */
  readonly onHand?: number;
}

export interface StockOnHand {
  readonly length: Mm;
  readonly count: number;
}
