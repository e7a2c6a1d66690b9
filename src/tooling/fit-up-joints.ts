import { frameAt } from '../geometry/centerline.ts';
import { besideCenterline } from '../geometry/distance.ts';
import { add, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { FitUpCradleSpec } from '../job/fit-up.ts';
import type { JointSpec } from '../job/job.ts';
import { jointEnds } from '../job/joint-spec.ts';
import type { Outcome } from '../job/problem.ts';
import type { CutEnd, Member, Piece, Solution } from '../solve/solution.ts';
import { type OtherRequest, toolProblem } from './request.ts';

/** A member as a cradle holds it. */
export interface HeldPiece {
  readonly member: Member;
  readonly piece: Piece;
  /** Where the tube is whole all round, as s: between the short points of its cuts. */
  readonly from: Mm;
  readonly to: Mm;
}

/** A joint that is held for tacking. */
export interface HeldJoint {
  readonly name: string;
  readonly members: readonly string[];
  /** The middle of its seams. */
  readonly middle: Vec3;
}

/** What a cradle holds, and the seams it keeps clear of. */
export interface Gathering {
  readonly joints: readonly HeldJoint[];
  readonly pieces: readonly HeldPiece[];
  /** Cut edges, outside and bore, of every seam on these members, as closed lines of points. */
  readonly seams: readonly (readonly Vec3[])[];
}

/** Joints that are welded: a trim only shortens a tube. */
const isWelded = ({ kind }: JointSpec): boolean => kind !== 'trim';

export function jointMembers(joint: JointSpec): readonly string[] {
  const runs = joint.kind === 'cope' ? joint.runs.map(({ member }) => member) : [];
  return [...new Set([...jointEnds(joint).map(({ member }) => member), ...runs])];
}

/** The joints a cradle is asked for, their members, and every seam on those members. */
export function gather(request: OtherRequest<FitUpCradleSpec>): Outcome<Gathering> {
  const { solution, spec } = request;
  const { joints } = solution.job;
  const asked = joints.filter((joint) => isAsked(joint, spec));
  const held = asked.filter(isWelded);
  if (held.length === 0) return { problems: [noJoint(request)] };
  const names = new Set(held.flatMap(jointMembers));
  const pieces = solution.pieces.filter(({ member }) => names.has(member.name)).map(heldPiece);
  const welded = solution.ends.filter((end) => {
    const joint = joints.find(({ name }) => name === end.joint);
    return joint !== undefined && isWelded(joint) && jointMembers(joint).some((name) => names.has(name));
  });
  return {
    value: {
      joints: held.map((joint) => heldJoint(joint, solution)),
      pieces,
      seams: welded.flatMap(seamsOf),
    },
    problems: [],
  };
}

function isAsked(joint: JointSpec, { holds }: FitUpCradleSpec): boolean {
  if (holds.kind === 'joints') return holds.joints.some(({ joint: name }) => name === joint.name);
  if (holds.kind === 'all') return true;
  return jointMembers(joint).every((name) => holds.members.some(({ member }) => member === name));
}

function heldPiece(piece: Piece): HeldPiece {
  const { member, startEnd, finishEnd } = piece;
  return { member, piece, from: startEnd?.shortPoint ?? 0, to: finishEnd?.shortPoint ?? member.centerline.length };
}

function heldJoint(joint: JointSpec, { ends }: Solution): HeldJoint {
  const points = ends.filter((end) => end.joint === joint.name).flatMap((end) => seamsOf(end)[0] ?? []);
  const sum = points.reduce(add, [0, 0, 0]);
  return { name: joint.name, members: jointMembers(joint), middle: scale(sum, 1 / points.length) };
}

function seamsOf({ curves, outsideDecides }: CutEnd): readonly (readonly Vec3[])[] {
  const edges = outsideDecides ? [curves.outer] : [curves.outer, curves.inner];
  return edges.map(({ samples }) => [...samples, samples[0]!].map(({ point }) => point));
}

/** Where a joint lies along a member: the arc length nearest to the middle of its seams. */
export const placeOn = (member: Member, joint: HeldJoint): Mm =>
  Math.max(0, Math.min(member.centerline.length, besideCenterline(member.centerline, member.section, joint.middle).s));

export const headingAt = (member: Member, s: Mm): Vec3 => frameAt(member.centerline, s).heading;

function noJoint(request: OtherRequest<FitUpCradleSpec>) {
  const { holds } = request.spec;
  const trims =
    holds.kind === 'joints' && request.solution.job.joints.some(({ name }) => name === holds.joints[0]?.joint);
  const message = trims
    ? `${holds.joints.map(({ joint }) => `"${joint}"`).join(', ')} is a trim: nothing is welded there`
    : holds.kind === 'members'
      ? `no joint is welded between ${holds.members.map(({ member }) => `"${member}"`).join(', ')}`
      : 'the job has no joint that is welded';
  return toolProblem(request, {
    code: 'tool/no-cut',
    message,
    hint: 'name a miter, cope, merge or butt, or members that one of these joins',
  });
}
