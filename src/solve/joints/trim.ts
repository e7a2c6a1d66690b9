import { frameAt, sideOf, type BendSegment } from '../../geometry/centerline.ts';
import { cosd, sind, toRadians } from '../../geometry/angle.ts';
import { add, scale, type Mm } from '../../geometry/vector.ts';
import type { ButtJoint, TrimJoint } from '../../job/job.ts';
import { figure, type Problem } from '../../job/problem.ts';
import { drawnEnd, endOf, type DrawnEnd, type JointOutcome, type MemberLookup } from './ends.ts';
import { facing } from './miter.ts';

/** One end cut off at a distance, part way round a bend, or on a plane; square to the centerline or at a miter angle. */
export function trimEnd(joint: TrimJoint, memberNamed: MemberLookup): JointOutcome {
  const drawn = drawnEnd(joint.end, memberNamed);
  if (!drawn) return { ends: [], problems: [] };
  if (joint.where.kind === 'plane') {
    const normal = facing(joint.where.plane.normal, drawn.out);
    if (!normal) return { ends: [], problems: [alongTube(joint, drawn)] };
    return { ends: [endOf(drawn, joint, [{ kind: 'plane', id: 'trim plane', point: joint.where.plane.point, normal }])], problems: [] };
  }
  const place = trimPlace(joint, drawn);
  if ('problem' in place) return { ends: [], problems: [place.problem] };
  return { ends: [endOf(drawn, joint, [tiltedPlane(drawn, place.s, joint)])], problems: [] };
}

/** Plane through the centerline at s, tilted by the miter angle so that the named side is the long one. */
function tiltedPlane(drawn: DrawnEnd, s: Mm, joint: TrimJoint) {
  const frame = frameAt(drawn.member.centerline, s);
  const out = scale(frame.heading, drawn.end === 'end' ? 1 : -1);
  const long = sideOf(frame, joint.longPointDeg);
  const normal = add(scale(out, cosd(joint.miterDeg)), scale(long, -sind(joint.miterDeg)));
  return { kind: 'plane', id: 'trim plane', point: frame.origin, normal } as const;
}

function trimPlace(joint: TrimJoint, drawn: DrawnEnd): { s: Mm } | { problem: Problem } {
  const { centerline, name } = drawn.member;
  if (joint.where.kind === 'at') {
    const s = joint.where.distance;
    if (s > 0 && s <= centerline.length) return { s };
    return { problem: outside(joint, `the trim lies at ${figure(s)} mm, but the centerline of "${name}" runs from 0 to ${figure(centerline.length)} mm`, centerline.length) };
  }
  if (joint.where.kind === 'plane') throw new Error('internal: a trim plane has no place along the tube');
  const bends = centerline.segments.filter((segment): segment is BendSegment => segment.kind === 'bend');
  const index = joint.where.bend === undefined ? (drawn.end === 'end' ? bends.length - 1 : 0) : joint.where.bend - 1;
  const bend = bends[index];
  if (!bend) return { problem: outside(joint, `"${name}" has ${bends.length} bend${bends.length === 1 ? '' : 's'}; the trim asks for bend ${index + 1}`, bends.length) };
  const deg = joint.where.bendAngleDeg;
  if (!(deg > 0 && deg <= bend.bendAngleDeg)) {
    return { problem: outside(joint, `the trim lies ${figure(deg)} deg into a bend of ${figure(bend.bendAngleDeg)} deg`, bend.bendAngleDeg) };
  }
  const into = bend.clr * toRadians(deg);
  return { s: drawn.end === 'end' ? bend.s0 + into : bend.s0 + bend.length - into };
}

const outside = (joint: TrimJoint, message: string, limit: number): Problem => ({
  code: 'trim/outside',
  severity: 'error',
  path: joint.path,
  message,
  hint: 'trim inside the member, or lengthen the member',
  limit,
});

const alongTube = (joint: TrimJoint, drawn: DrawnEnd): Problem => ({
  code: 'trim/too-steep',
  severity: 'error',
  path: joint.path,
  message: `the plane of trim "${joint.name}" runs along "${drawn.member.name}" and never cuts it off`,
  hint: 'turn the plane so that it crosses the tube',
});

/** Two square ends set against each other, half the gap taken from each. */
export function buttEnds(joint: ButtJoint, memberNamed: MemberLookup): JointOutcome {
  const ends = joint.ends.flatMap((ref) => {
    const drawn = drawnEnd(ref, memberNamed);
    if (!drawn) return [];
    const point = add(drawn.frame.origin, scale(drawn.out, -joint.gap / 2));
    return [endOf(drawn, joint, [{ kind: 'plane', id: 'butt plane', point, normal: drawn.out } as const])];
  });
  return { ends, problems: [] };
}
