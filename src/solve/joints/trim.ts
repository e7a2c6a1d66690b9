import { cosd, sind, toRadians } from '../../geometry/angle.ts';
import { type BendSegment, frameAt, sideOf } from '../../geometry/centerline.ts';
import { sectionHeight, sectionWidth } from '../../geometry/section.ts';
import { tapersOf } from '../../geometry/tube-shape.ts';
import { add, dot, type Mm, scale, sub } from '../../geometry/vector.ts';
import type { ButtJoint, TrimJoint } from '../../job/job.ts';
import { figure, type Problem } from '../../job/problem.ts';
import { type DrawnEnd, drawnEnd, endOf, flatEndOf, type JointOutcome, type MemberLookup } from './ends.ts';
import { facing } from './miter.ts';

/** One end cut off at a distance, part way round a bend, where a taper has a size, or on a plane; square to the centerline or at a miter angle. */
export function trimEnd(joint: TrimJoint, memberNamed: MemberLookup): JointOutcome {
  const drawn = drawnEnd(joint.end, memberNamed);
  if (!drawn) return { ends: [], problems: [] };
  if (joint.where.kind === 'plane') {
    const normal = facing(joint.where.plane.normal, drawn.out);
    if (!normal) return { ends: [], problems: [alongTube(joint, drawn)] };
    const { point } = joint.where.plane;
    const stop = { kind: 'plane', id: 'trim plane', point, normal } as const;
    // An end drawn past the plane is cut where it last comes through; one drawn short of it, where the body first meets it.
    const past = dot(sub(drawn.frame.origin, point), normal) > 0;
    const end = past ? flatEndOf(drawn, joint, { stop, near: drawn.s }) : endOf(drawn, joint, [stop]);
    return { ends: [end], problems: [] };
  }
  const place = trimPlace(joint, drawn);
  if ('problem' in place) return { ends: [], problems: [place.problem] };
  const stop = tiltedPlane(drawn, place.s, joint);
  return { ends: [flatEndOf(drawn, joint, { stop, near: place.s })], problems: [] };
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
    return {
      problem: outside(
        joint,
        `the trim lies at ${figure(s)} mm, but the centerline of "${name}" runs from 0 to ${figure(centerline.length)} mm`,
        centerline.length,
      ),
    };
  }
  if (joint.where.kind === 'plane') throw new Error('internal: a trim plane has no place along the tube');
  if (joint.where.kind === 'size') return sizePlace(joint, drawn, joint.where);
  const bends = centerline.segments.filter((segment): segment is BendSegment => segment.kind === 'bend');
  const index = joint.where.bend === undefined ? (drawn.end === 'end' ? bends.length - 1 : 0) : joint.where.bend - 1;
  const bend = bends[index];
  if (!bend)
    return {
      problem: outside(
        joint,
        `"${name}" has ${bends.length} bend${bends.length === 1 ? '' : 's'}; the trim asks for bend ${index + 1}`,
        bends.length,
      ),
    };
  const deg = joint.where.bendAngleDeg;
  if (!(deg > 0 && deg <= bend.bendAngleDeg)) {
    return {
      problem: outside(
        joint,
        `the trim lies ${figure(deg)} deg into a bend of ${figure(bend.bendAngleDeg)} deg`,
        bend.bendAngleDeg,
      ),
    };
  }
  const into = bend.clr * toRadians(deg);
  return { s: drawn.end === 'end' ? bend.s0 + into : bend.s0 + bend.length - into };
}

/**
 * Where a taper is so wide or high: both fall evenly along it, so the place is a share of its length. Of several tapers
 * that have the size, the one nearest the trimmed end.
 */
function sizePlace(
  joint: TrimJoint,
  drawn: DrawnEnd,
  { across, size }: { readonly across: 'width' | 'height'; readonly size: Mm },
): { s: Mm } | { problem: Problem } {
  const { name } = drawn.member;
  const measure = across === 'width' ? sectionWidth : sectionHeight;
  const tapers = tapersOf(drawn.member).map((taper) => ({
    taper,
    from: measure(taper.from),
    to: measure(taper.to),
  }));
  const places = tapers.flatMap(({ taper, from, to }) => {
    const share = (size - from) / (to - from);
    return share >= 0 && share <= 1 ? [taper.s0 + share * taper.length] : [];
  });
  const s = drawn.end === 'end' ? places.at(-1) : places[0];
  if (s !== undefined && s > 0) return { s };
  const told = tapers.map(({ from, to }) => `${figure(from)} to ${figure(to)} mm`);
  const why =
    tapers.length === 0
      ? 'has no taper'
      : `is ${told.join(', ')} ${across === 'width' ? 'wide' : 'high'} along its taper`;
  const limit = tapers.length === 0 ? 0 : Math.max(...tapers.flatMap(({ from, to }) => [from, to]));
  return {
    problem: {
      ...outside(joint, `the trim asks for ${across} ${figure(size)} mm, but "${name}" ${why}`, limit),
      hint:
        tapers.length === 0
          ? 'give its run a taper, or trim `at` a distance'
          : `ask for a ${across} the taper has between its ends`,
      measured: size,
    },
  };
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
    const stop = { kind: 'plane', id: 'butt plane', point, normal: drawn.out } as const;
    return [flatEndOf(drawn, joint, { stop, near: drawn.s })];
  });
  return { ends, problems: [] };
}
