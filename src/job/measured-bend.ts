import type { Deg, Mm } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** What one bend of a member came out as. */
export interface MeasuredBend {
  /** Counted from the start of the member, elbows left out. */
  readonly bend: number;
  readonly clr?: Mm;
  readonly bendAngleDeg?: Deg;
  readonly path: JobPath;
}
