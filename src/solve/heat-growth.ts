import type { Mm } from '../geometry/vector.ts';

/** How much longer a piece gets by the rise in temperature that the job names. */
export interface HeatGrowth {
  readonly member: string;
  /** 1e-6 per degree C. */
  readonly expansion: number;
  /** Long point to long point: length * expansion * rise. */
  readonly growth: Mm;
}
