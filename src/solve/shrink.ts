import { frameAt, moved } from '../geometry/centerline.ts';
import { add, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { JointSpec } from '../job/job.ts';
import type { EndDefinition, Stop } from './solution.ts';

/**
 * Ends made longer by what their weld will draw in: each cut, as it was solved, is carried outward along the axis of its own
 * drawn end. The branch of a cope and every leg of a merge by all of `shrink`; both ends of a miter or butt by half of it; a
 * trunk not at all. On a straight end every line of the tube gets longer by just that.
 */
export const lengthened = (ends: readonly EndDefinition[], joints: readonly JointSpec[]): readonly EndDefinition[] =>
  ends.map((end) => {
    const joint = joints.find(({ name }) => name === end.joint);
    const by = joint ? shareOf(joint, end) : 0;
    if (by === 0) return end;
    const { centerline } = end.member;
    const { heading } = frameAt(centerline, end.end === 'end' ? centerline.length : 0);
    const step = scale(heading, end.end === 'end' ? by : -by);
    return { ...end, shrink: by, stops: end.stops.map((stop) => movedStop(stop, step)) };
  });

function shareOf(joint: JointSpec, { member, end }: EndDefinition): Mm {
  const shrink = joint.shrink ?? 0;
  if (joint.kind === 'miter' || joint.kind === 'butt') return shrink / 2;
  const trunk = joint.kind === 'merge' && joint.trunk.member === member.name && joint.trunk.end === end;
  return trunk ? 0 : shrink;
}

function movedStop(stop: Stop, step: Vec3): Stop {
  if (stop.kind === 'plane') return { ...stop, point: add(stop.point, step) };
  const { centerline, clips } = stop.solid;
  const solid = {
    ...stop.solid,
    centerline: moved(centerline, step),
    ...(clips ? { clips: clips.map((clip) => ({ ...clip, point: add(clip.point, step) })) } : {}),
  };
  return { ...stop, solid };
}
