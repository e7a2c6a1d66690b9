import { frameAt } from '../geometry/centerline.ts';
import { unplace } from '../geometry/placement.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { outlineOn } from '../geometry/tube-shape.ts';
import { add, along, cross, dot, type Mm, scale, sub, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import type { Bed } from './cradle.ts';

/** A notch in the lip of a cradle's end face, on the line of the tube so many degrees clockwise from its witness line. */
export interface WitnessNotch {
  readonly cut: Solid;
  readonly turnDeg: 0 | 90 | 180 | 270;
}

const LINES = [0, 90, 270, 180] as const;
/** Half width at the lip, length along the tube; cut a little into the tube's room so that it is open there. */
const HALF: Mm = 1.2;
const LONG: Mm = 1.8;
const OVER: Mm = 0.5;
/** Depth where the cradle is thick; beside the tube it is what the wall can spare, if that is enough to see. */
const DEEP: Mm = 2.2;
const LEAST_DEEP: Mm = 0.6;
/** How far below the wall's top a notch must lie to be whole. */
const BELOW_TOP: Mm = 2.2;

/**
 * Notch to set the tube's roll by, at the end face at s: on the witness line where the cradle holds that side of the tube,
 * else on the nearest of the lines a quarter and half a turn from it; of four at least one lies within a cradle.
 */
export function witnessNotch(
  bed: Bed,
  face: { readonly s: Mm; readonly inward: 1 | -1; readonly room: Mm; readonly top: Mm; readonly wall: Mm },
): WitnessNotch | undefined {
  const { origin, right, up, heading } = frameAt(bed.member.centerline, face.s);
  for (const turnDeg of LINES) {
    const { point, normal } = outlineOn(bed.member, face.s, turnDeg / 360, -face.room);
    const lip = along(along(origin, right, point[0]), up, point[1]);
    const out = add(scale(right, normal[0]), scale(up, normal[1]));
    const height = dot(sub(lip, bed.at.origin), bed.at.z);
    // Only the under side of the tube lies against the cradle: above, the way in leaves it free.
    if (dot(out, bed.at.z) > 0.01 || height > face.top - BELOW_TOP) continue;
    // The wall is thin beside the tube, and thick under it.
    const deep = dot(out, bed.at.z) > -Math.SQRT1_2 ? Math.min(DEEP, face.wall - LEAST_WALL) : DEEP;
    if (deep < LEAST_DEEP) continue;
    const side = cross(heading, out);
    const wide = HALF * (1 + OVER / deep);
    const at = (t: Mm, far: Mm, aside: Mm): Vec3 =>
      unplace(bed.at, along(along(along(lip, heading, face.inward * t), out, far), side, aside));
    const points = [-0.5, LONG].flatMap((t) => [at(t, -OVER, -wide), at(t, -OVER, wide), at(t, deep, 0)]);
    return { cut: { kind: 'hull', name: 'witness notch', points }, turnDeg };
  }
  return undefined;
}

/** Which line of the tube the notch is for, in words. */
export const lineText = (turnDeg: WitnessNotch['turnDeg']): string =>
  turnDeg === 0 ? 'the witness line' : `the line ${turnDeg} deg clockwise from the witness line, seen from the start`;
