import type { Deg, Mm } from '../../geometry/vector.ts';

/** How the pieces of one section come out of what is bought of it. */
export interface StockPlan {
  readonly section: string;
  readonly saw: string;
  readonly kerf: Mm;
  readonly squareEnd: Mm;
  readonly trim: Mm;
  readonly grip: Mm;
  /** Grip is what each bent end is short of the shop's bender, the longest told; else the same at each end. */
  readonly gripByBender: boolean;
  readonly sticks: readonly Stick[];
  /** No other plan buys less length, nor as little in fewer sticks. */
  readonly sticksProved: boolean;
  readonly bends: readonly CutBend[];
  readonly bendsProved: boolean;
  /** What every piece that lies in one bend needs, and the least bought bend that holds it. */
  readonly needs: readonly BendNeed[];
}

/** A bought length and what is sawn from it, from its datum end on. */
export interface Stick {
  readonly length: Mm;
  /** From the rack, not to be bought. */
  readonly onHand: boolean;
  readonly pieces: readonly StickPart[];
  /** What stays behind the last cut, raw end included. */
  readonly left: Mm;
}

export interface StickPart {
  readonly member: string;
  /** Kept length on the stick, long point to long point; with the trim left on, and a bent member with its grips. */
  readonly from: Mm;
  readonly to: Mm;
  /** Laid with the member's end toward the datum. */
  readonly turned: boolean;
  /** Sawn straight and bent afterwards. */
  readonly bent: boolean;
  /** The two ends as they lie, nearer the datum first. */
  readonly ends: readonly [StickCut, StickCut];
}

export interface StickCut {
  /** From a square cut; where an end is cut after parting, or curved, it is parted square. */
  readonly miterDeg: Deg;
  /** How far the short point lies back from the long point. */
  readonly reach: Mm;
  /** Made by the same pass of the saw as the cut of the neighbor. */
  readonly shared: boolean;
  /** Of two mitered ends: both long points on one side of the tube, as in a frame. */
  readonly sameSide: boolean;
}

/** A bought bend and what is cut from it, in degrees from the tangent point of its first leg. */
export interface CutBend {
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  readonly legs: readonly [Mm, Mm];
  readonly pieces: readonly BendPart[];
  /** What stays of the bend's arc, widest first, kerfs taken off. */
  readonly left: readonly { readonly fromDeg: Deg; readonly toDeg: Deg; readonly arcLength: Mm }[];
}

export interface BendPart {
  readonly member: string;
  readonly fromDeg: Deg;
  readonly toDeg: Deg;
  /** Straight that goes with it, before the first tangent point and behind the last. */
  readonly legs: readonly [Mm, Mm];
  /** Laid with the member's end toward the first leg. */
  readonly turned: boolean;
}

/** Part of a bend that a piece takes. */
export interface BendNeed {
  readonly member: string;
  readonly clr: Mm;
  /** Least turn of bend that holds all of the piece. */
  readonly arcDeg: Deg;
  /** Straights it needs beyond the tangent points, at the member's start and end. */
  readonly legs: readonly [Mm, Mm];
  /** Bought bend of least turn, then least length, that will do; none where it must be bent or bought specially. */
  readonly stock?: { readonly bendAngleDeg: Deg; readonly legs: readonly [Mm, Mm] };
}
