import { SHARED_SURFACE } from '../../geometry/tolerance.ts';
import type { Mm } from '../../geometry/vector.ts';
import type { MergeJoint } from '../../job/job.ts';
import type { EndDefinition, Stop } from '../solution.ts';
import { drawnEnd, endOf, type JointOutcome, type MemberLookup } from './ends.ts';

/**
 * Several legs into one trunk: the outside of the union. A leg stops at every other leg and at the trunk (its start face
 * too: inside it the tube is open throat); the trunk stops at every leg, and at its own drawn start where no leg covers it.
 * A leg that fills the end of the trunk exactly shares its surface: the trunk counts as a hair larger, so that it ends there.
 * The legs give the gap. Were the trunk cut back by it too, it would lose its wall wherever a leg's surface runs in its own,
 * and that leg ends at the trunk: the seam would stand open as far as the leg is drawn.
 */
export function mergeEnds(joint: MergeJoint, memberNamed: MemberLookup): JointOutcome {
  const legs = joint.legs.map((ref) => drawnEnd(ref, memberNamed));
  const trunk = drawnEnd(joint.trunk, memberNamed);
  if (!trunk || legs.some((leg) => !leg)) return { ends: [], problems: [] };
  const all = legs.flatMap((leg) => leg ?? []);
  const bar = (drawn: (typeof all)[number], gap: Mm): Stop => ({
    kind: 'solid',
    id: drawn.member.name,
    solid: { section: drawn.member.section, centerline: drawn.member.centerline },
    gap,
  });
  const others = (leg: (typeof all)[number]): readonly Stop[] =>
    all.filter((other) => other !== leg).map((other) => bar(other, joint.gap));
  const face: Stop = { kind: 'plane', id: 'trunk start', point: trunk.frame.origin, normal: trunk.out };
  const ends: EndDefinition[] = all.map((leg) =>
    endOf(leg, joint, [bar(trunk, joint.gap + SHARED_SURFACE), ...others(leg)]),
  );
  const last = endOf(trunk, joint, [...all.map((leg) => bar(leg, 0)), face]);
  return { ends: [...ends, { ...last, outsideDecides: true }], problems: [] };
}
