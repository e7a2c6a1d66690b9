import type { Mm } from '../geometry/vector.ts';
import type { Problem } from '../job/problem.ts';

/** What was measured on one part, from the bytes that are written, read back. */
export interface PartProof {
  readonly part: string;
  readonly triangles: number;
  readonly vertices: number;
  readonly closed: boolean;
  readonly shells: number;
  /** mm^3, and the largest difference between the STL's, the 3MF's and the built mesh's. */
  readonly volume: number;
  readonly volumeDifference: number;
  /** Largest distance between the same corner in the STL and in the 3MF. */
  readonly fileDifference: Mm;
  readonly size: readonly [Mm, Mm, Mm];
  /** Flat area that lies on the bed, mm^2. */
  readonly bedArea: number;
  /** Overlap with the tubes in place and on their way in, mm^3; of a part that holds none, left out. */
  readonly overlap?: number;
  /** Of all tubes: least anywhere, most in a fitted bore; and the least share of a tube's outline that a fitted bore holds. */
  readonly clearance?: { readonly least: Mm; readonly most: Mm; readonly cover: number };
  /** Largest distance of the working edge from the solved curve, on the unrolled tube, and the share of the turn it was found on. */
  readonly edgeDeviation?: Mm;
  readonly edgeCover?: number;
  /** Largest distance of the slot's faces from where they should be, and its measured width. */
  readonly slotDeviation?: Mm;
  readonly slotWidth?: Mm;
  /** Largest distance of the datum face from its plane. */
  readonly datumDeviation?: Mm;
  /** Largest distance of a face that is laid against something from its plane. */
  readonly faceDeviation?: Mm;
  /** Largest distance of a drilled guide's hole from its axis and radius. */
  readonly boreDeviation?: Mm;
  /** Largest distance of an outside that stands in for a tube from the tube's, of its ends from their curves, and the least share of it that was found. */
  readonly skinDeviation?: Mm;
  readonly skinCover?: number;
  /** Least distance from any seam. */
  readonly seamDistance?: Mm;
  /** Kept tube inside the blade's sweep, mm^3. */
  readonly keptSideOverlap?: number;
  readonly thinnestWall: Mm;
  /** Faces that overhang by more than 45 degrees, mm^2, without those on the bed; and the widest of them. */
  readonly overhangArea: number;
  readonly widestOverhang: Mm;
}

/** What was measured on all parts of a tool at once, as they stand together in use; of several bodies in pieces the worst. */
export interface JoinedProof
  extends Pick<
    PartProof,
    | 'overlap'
    | 'clearance'
    | 'edgeDeviation'
    | 'edgeCover'
    | 'slotDeviation'
    | 'slotWidth'
    | 'keptSideOverlap'
    | 'datumDeviation'
    | 'faceDeviation'
    | 'boreDeviation'
    | 'seamDistance'
  > {
  /** mm^3 that parts share where they stand. */
  readonly partsOverlap: number;
  /** Farthest any two keyed parts move against each other before they touch. */
  readonly keyPlay?: Mm;
}

/** Parts whose meshes are no closed bodies have no numbers, only problems. */
export interface ToolProof {
  readonly tool: string;
  readonly parts: readonly PartProof[];
  /** Of a tool whose parts stand together. */
  readonly joined?: JoinedProof;
  readonly problems: readonly Problem[];
}
