import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** Saddles on a flat base that hold the members of joints in place for tacking. */
export interface FitUpCradleSpec {
  readonly kind: 'fit-up-cradle';
  readonly path: JobPath;
  /** File stem; made from what it holds and its kind when the file is silent. */
  readonly name?: string;
  /** Joints by name; or every joint between these members; or all of the job. */
  readonly holds:
    | { readonly kind: 'joints'; readonly joints: readonly { readonly path: JobPath; readonly joint: string }[] }
    | { readonly kind: 'members'; readonly members: readonly { readonly path: JobPath; readonly member: string }[] }
    | { readonly kind: 'all' };
  /** Up from the bench, in the job's coordinates; chosen when the file is silent. */
  readonly up?: Vec3;
  /** Least distance of the print from every seam. */
  readonly heat: Mm;
  /** Length of a saddle along its tube. */
  readonly saddle: Mm;
  readonly base: 'frame' | 'plate';
  /** From the bench to the lowest tube over the base; chosen when the file is silent. */
  readonly height?: Mm;
  /** Middles of the saddles of a member, as distances along its centerline from its start; chosen where the file is silent. */
  readonly stations: readonly { readonly path: JobPath; readonly member: string; readonly at: readonly Mm[] }[];
}
