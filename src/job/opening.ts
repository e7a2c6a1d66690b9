import type { Deg, Mm } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** Surface of a branch that makes its hole in the run. */
export type OpeningEdge = 'bore' | 'outside';

/** A hole in a member, its axis through the centerline. */
export interface OpeningSpec {
  readonly path: JobPath;
  readonly name: string;
  readonly on: string;
  /** Where its axis meets the centerline, from the member's start. */
  readonly at: Mm;
  /** Side of the tube, degrees clockwise from up, looking along the heading. */
  readonly towardDeg: Deg;
  /** Lean of its axis from square, toward the member's end. */
  readonly leanDeg: Deg;
  readonly shape: OpeningShape;
}

/** Sizes across its axis: along the tube, and square to that. */
export type OpeningShape =
  | { readonly kind: 'round'; readonly od: Mm }
  | { readonly kind: 'slot'; readonly along: Mm; readonly around: Mm }
  | { readonly kind: 'rectangle'; readonly along: Mm; readonly around: Mm; readonly cornerRadius: Mm };

/** Saddle with a window for one hole. */
export interface OpeningGaugeSpec {
  readonly kind: 'opening-gauge';
  readonly path: JobPath;
  readonly name?: string;
  /** Its own name, or the end of the branch that makes it. */
  readonly opening: string;
  /** end: a square end of the tube; mark: scribed lines. */
  readonly datum: 'auto' | 'end' | 'mark';
}
