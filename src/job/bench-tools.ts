import type { Mm } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** What the job says of a tool that belongs to no one cut end. */
interface BenchTool {
  readonly path: JobPath;
  /** File stem; made from what the tool is for and its kind when the file is silent. */
  readonly name?: string;
}

/** Ladder of gauges round one section at stepped clearances. */
export interface FitCouponSpec extends BenchTool {
  readonly kind: 'fit-coupon';
  readonly section: string;
  /** Radial clearances of its gauges; steps about the shop's own fit when the file is silent. */
  readonly clearances?: readonly Mm[];
  /** ring: goes round the tube; half: drops onto it. auto: rings where they all fit on one bed. */
  readonly shape: 'auto' | 'ring' | 'half';
}

export type BenchToolSpec = FitCouponSpec;
