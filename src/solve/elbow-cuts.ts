import { cosd } from '../geometry/angle.ts';
import { elbowMiterDeg } from '../geometry/elbow.ts';
import type { Mm } from '../geometry/vector.ts';
import { elbowLengths } from './elbows.ts';
import type { Elbow } from './solution.ts';

/** One cut of the middle pieces, all taken off one straight tube. */
export interface ElbowCut {
  /** From 1, which makes the first miter and frees a stub of scrap. */
  readonly number: number;
  /** How the tube lies: turned over between cuts, about its own axis. */
  readonly rollDeg: 0 | 180;
  /** The middle piece that comes off; none at the first cut. */
  readonly piece?: string;
  /** From the tube's raw end to the kept edge of the cut, on two lines opposite each other: `a` is the heel of the first piece. */
  readonly a: Mm;
  readonly b: Mm;
}

export interface ElbowCutting {
  readonly cuts: readonly ElbowCut[];
  /** Shortest side of the stub that the first cut frees: one throat, so that the raw end may stand where the pieces will. */
  readonly stub: Mm;
  /** From the raw end to the long point of the miter that is left on the tube, which is the start of an end piece. */
  readonly used: Mm;
}

/**
 * Middle pieces flipped and repeated: with the saw left at the miter, the tube is turned by 180 degrees before each cut, so
 * that heel and throat change sides and one cut ends a piece and begins the next. The kerf lies behind each piece. None
 * where the elbow has no middle pieces.
 */
export function elbowCutting(elbow: Elbow, kerf: Mm): ElbowCutting | undefined {
  if (elbow.welds < 2) return undefined;
  const { middle } = elbowLengths(elbow);
  const behind = kerf / cosd(elbowMiterDeg(elbow));
  const slant = (middle.heel - middle.throat) / 4;
  const stub = middle.throat;
  const cuts = Array.from({ length: elbow.welds }, (_, i): ElbowCut => {
    const center = stub + slant + i * (middle.center + behind);
    const lean = i % 2 === 0 ? -slant : slant;
    const piece = elbow.pieces[i];
    return {
      number: i + 1,
      rollDeg: i % 2 === 0 ? 0 : 180,
      ...(i > 0 && piece !== undefined ? { piece } : {}),
      a: center + lean,
      b: center - lean,
    };
  });
  const last = cuts[cuts.length - 1]!;
  return { cuts, stub, used: Math.min(last.a, last.b) + behind };
}
