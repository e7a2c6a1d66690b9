import { atan2d, sind, tand, turnDeg } from '../geometry/angle.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import type { ClockingRingSpec } from '../job/bench-tools.ts';
import { figure, type Problem } from '../job/problem.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import { lengthText } from './revision.ts';

/** Half width of a flat where nothing cuts it shorter, and the least of it to either side of where the tube's weight stands. */
export const HALF_FLAT: Mm = 14;
export const LEAST_HALF: Mm = 2;
/** A flat farther from the tube than this is no handy ring. */
export const FARTHEST: Mm = 90;

/** One flat: the plane of its bends stands upright, and they turn up, when it lies on the table. */
export interface Flat {
  readonly bends: readonly number[];
  /** Where it faces, degrees clockwise from up looking along the heading: away from where its bends turn. */
  readonly deg: Deg;
}

/** In (-180, 180]. */
export const shortTurn = (deg: Deg): Deg => (turnDeg(deg) > 180 ? turnDeg(deg) - 360 : turnDeg(deg));

/** Why two bends find no place on one ring, with what to do instead. */
export function tooNear(request: OtherRequest<ClockingRingSpec>, [first, second]: readonly Flat[]): Problem {
  const turn = Math.abs(shortTurn(second!.deg - first!.deg));
  // Where one flat reaches no more than LEAST_HALF to the other's side, at the end of the longest arm.
  const least = 2 * atan2d(LEAST_HALF, FARTHEST);
  const near = Math.min(turn, 360 - turn) < least;
  const { units } = request.solution.job;
  const message = near
    ? `the planes of bends ${first!.bends[0]} and ${second!.bends[0]} stand ${figure(turn)} deg apart: two flats so near each other would stand ${figure(LEAST_HALF / tand(turn / 2))} mm from the tube, limit ${FARTHEST} mm (${figure(least)} deg)`
    : `the flats of bends ${first!.bends[0]} and ${second!.bends[0]} stand ${figure(turn)} deg apart and leave the tube no way out between them`;
  const shim = lengthText(2 * HALF_FLAT * sind(turn), units);
  return toolProblem(request, {
    code: 'tool/cannot-build',
    message,
    hint: near
      ? `make both bends on one flat, and for the second lay a shim of ${shim} under the edge of a flat ${lengthText(2 * HALF_FLAT, units)} wide; or check the bent tube with check: true`
      : 'set that turn with an angle block against a level instead',
    measured: turn,
    ...(near ? { limit: least } : {}),
  });
}
