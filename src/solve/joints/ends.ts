import { frameAt } from '../../geometry/centerline.ts';
import type { Frame } from '../../geometry/frame.ts';
import { type Mm, scale, type Vec3 } from '../../geometry/vector.ts';
import type { EndRef, JointSpec } from '../../job/job.ts';
import type { Problem } from '../../job/problem.ts';
import type { EndDefinition, EndName, Member } from '../solution.ts';

/** What a joint gives: the ends it defines and what is wrong with it. */
export interface JointOutcome {
  readonly ends: readonly EndDefinition[];
  readonly problems: readonly Problem[];
}

/** Finds a member by its name; the job loader has checked that every name exists. */
export type MemberLookup = (name: string) => Member | undefined;

/** Drawn end of a member: its place, and the direction that leads out of the body there. */
export interface DrawnEnd {
  readonly member: Member;
  readonly end: EndName;
  readonly ref: EndRef;
  readonly frame: Frame;
  readonly out: Vec3;
  /** Arc length of the drawn end. */
  readonly s: Mm;
}

export function drawnEnd(ref: EndRef, memberNamed: MemberLookup): DrawnEnd | undefined {
  const member = memberNamed(ref.member);
  if (!member) return undefined;
  const s = ref.end === 'end' ? member.centerline.length : 0;
  const frame = frameAt(member.centerline, s);
  return { member, end: ref.end, ref, frame, s, out: scale(frame.heading, ref.end === 'end' ? 1 : -1) };
}

/** The definition of a flat cut asked for at a place on the centerline. */
export const flatEndOf = (
  drawn: DrawnEnd,
  joint: JointSpec,
  flat: { readonly stop: EndDefinition['stops'][number]; readonly near: Mm },
): EndDefinition => ({ ...endOf(drawn, joint, [flat.stop]), near: flat.near });

/** The definition all joints share. */
export const endOf = (drawn: DrawnEnd, joint: JointSpec, stops: EndDefinition['stops']): EndDefinition => ({
  member: drawn.member,
  end: drawn.end,
  joint: joint.name,
  jointKind: joint.kind,
  gap: joint.gap,
  stops,
  path: drawn.ref.path,
});
