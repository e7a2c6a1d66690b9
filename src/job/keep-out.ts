import type { Shape } from '../geometry/shape-distance.ts';
import type { Mm } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** What the tubes must stay clear of. */
export interface KeepOut {
  readonly path: JobPath;
  readonly name: string;
  readonly shape: Shape;
  /** Least distance of any tube. */
  readonly clearance: Mm;
}
