import type { Section } from '../geometry/section.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** A ruled loft from the section before it to another; the run goes on with that one. */
export interface TaperItem {
  readonly kind: 'taper';
  /** Along the heading: as measured where calipers said so. */
  readonly length: Mm;
  /** Name of the section it leads to. */
  readonly to: string;
  /** Its end sections as the tools follow them. */
  readonly sections: { readonly from: Section; readonly to: Section };
  /** Where its end's axis lies beside the start's: right and up. */
  readonly shift: Vec2;
  readonly path: JobPath;
}
