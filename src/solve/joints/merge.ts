import { SHARED_SURFACE } from '../../geometry/tolerance.ts';
import type { Mm } from '../../geometry/vector.ts';
import type { MergeJoint } from '../../job/job.ts';
import type { EndDefinition, Stop } from '../solution.ts';
import { drawnEnd, endOf, type JointOutcome, type MemberLookup } from './ends.ts';

/**
 * Several legs into one trunk: the outside of the union. A leg stops at every other leg and at the trunk (its start face
 * too: inside it the tube is open throat); the trunk stops at every leg, and at its own drawn start where no leg covers it.
 * A leg that fills the end of the trunk exactly shares its surface: the trunk counts as a hair larger, so that it ends there.
 */
export function mergeEnds(joint: MergeJoint, memberNamed: MemberLookup): JointOutcome {
  const legs = joint.legs.map((ref) => drawnEnd(ref, memberNamed));
  const trunk = drawnEnd(joint.trunk, memberNamed);
  if (!trunk || legs.some((leg) => !leg)) return { ends: [], problems: [] };
  const all = legs.flatMap((leg) => leg ?? []);
  const bar = (drawn: (typeof all)[number], grown: Mm = 0): Stop => ({
    kind: 'solid',
    id: drawn.member.name,
    solid: { section: drawn.member.section, centerline: drawn.member.centerline },
    gap: joint.gap + grown,
  });
  const others = (leg: (typeof all)[number]): readonly Stop[] =>
    all.filter((other) => other !== leg).map((other) => bar(other));
  const face: Stop = { kind: 'plane', id: 'trunk start', point: trunk.frame.origin, normal: trunk.out };
  const ends: EndDefinition[] = all.map((leg) => endOf(leg, joint, [bar(trunk, SHARED_SURFACE), ...others(leg)]));
  const last = endOf(trunk, joint, [...all.map((leg) => bar(leg)), face]);
  return { ends: [...ends, { ...last, outsideDecides: true }], problems: [] };
}
