import { shapeDistance } from '../geometry/shape-distance.ts';
import { MEMBERS_LAP } from '../geometry/tolerance.ts';
import type { Job } from '../job/job.ts';
import type { KeepOut } from '../job/keep-out.ts';
import type { Problem } from '../job/problem.ts';
import { lengthText } from '../job/wording.ts';
import { middleOf } from './kept-tube.ts';
import { type KeptPiece, placeText } from './members-touch.ts';
import { type NearestPlace, nearestPlace, type Target } from './nearest-place.ts';
import type { KeepOutReport } from './solution.ts';

/** The nearest member of each keep-out, and every member that comes nearer than it allows. */
export function keepOutReports(
  job: Job,
  kept: readonly KeptPiece[],
): { readonly reports: readonly KeepOutReport[]; readonly problems: readonly Problem[] } {
  const found = (job.keepOut ?? []).map((keepOut) => ({ keepOut, ...nearestTo(keepOut, kept) }));
  return {
    reports: found.flatMap(({ keepOut: { name, clearance: wanted }, nearest }) =>
      nearest ? [{ name, wanted, nearest }] : [],
    ),
    problems: found.flatMap(({ keepOut, within }) =>
      within.map(({ place, of }) => tooNear(job, { keepOut, place, member: of.tube.name })),
    ),
  };
}

interface Within {
  readonly place: NearestPlace;
  readonly of: KeptPiece;
}

function nearestTo(
  keepOut: KeepOut,
  kept: readonly KeptPiece[],
): { readonly nearest?: KeepOutReport['nearest']; readonly within: readonly Within[] } {
  const target = shapeTarget(keepOut);
  const limit = keepOut.clearance > 0 ? keepOut.clearance - MEMBERS_LAP : -MEMBERS_LAP;
  const within: Within[] = [];
  let nearest: KeepOutReport['nearest'] | undefined;
  for (const of of kept) {
    const below = Math.max(limit, nearest?.distance ?? Number.POSITIVE_INFINITY);
    const place = nearestPlace(of.tube, { target, below, layers: [0, 1] });
    if (!place) continue;
    if (place.distance < limit) within.push({ place, of });
    if (!nearest || place.distance < nearest.distance)
      nearest = { member: of.tube.name, distance: place.distance, at: place.at };
  }
  return { ...(nearest ? { nearest } : {}), within };
}

/** A signed distance grows no faster than one moves. */
const shapeTarget = ({ shape }: KeepOut): Target => ({
  atLeast: (chunk) => {
    const { at, reach } = middleOf(chunk);
    return shapeDistance(shape, at) - reach;
  },
  distanceAt: (p) => shapeDistance(shape, p),
});

function tooNear(
  { units }: Job,
  { keepOut, place, member }: { readonly keepOut: KeepOut; readonly place: NearestPlace; readonly member: string },
): Problem {
  const { distance, at } = place;
  const { name, clearance } = keepOut;
  const how =
    distance < 0
      ? `reaches ${lengthText(-distance, units)} into keep-out ${name}`
      : `comes within ${lengthText(distance, units)} of keep-out ${name}`;
  const wanted = clearance > 0 ? `; it wants ${lengthText(clearance, units)}` : '';
  return {
    code: 'layout/keep-out',
    severity: 'error',
    path: keepOut.path,
    message: `${member} ${how} near ${placeText(at, units)}${wanted}`,
    hint: `move ${member} ${lengthText(clearance - distance, units)} away there`,
    measured: distance,
    limit: clearance,
  };
}
