import { cosd, sind, tand } from '../geometry/angle.ts';
import { frameAt, sideOf } from '../geometry/centerline.ts';
import { placementFrom } from '../geometry/placement.ts';
import { sectionDistance, sectionReach } from '../geometry/section.ts';
import { HOLE_ROOM, LEAST_WALL, LETTER_DEPTH } from '../geometry/tolerance.ts';
import { isTapered, sectionAt, sectionMarks } from '../geometry/tube-shape.ts';
import { steepest } from '../geometry/tube-surface.ts';
import { add, along, cross, dot, type Mm, scale, sub, type Vec3 } from '../geometry/vector.ts';
import type { DrillGuideSpec } from '../job/bench-tools.ts';
import { figure, type Outcome } from '../job/problem.ts';
import type { Member } from '../solve/solution.ts';
import type { Bed } from './cradle.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import { extentsAt, facetRoom } from './stations.ts';
import type { Datum } from './tool.ts';

/** Least length of the hole's wall, and as a multiple of its diameter: what keeps a drill straight (common practice, from memory). */
const LEAST_GUIDE: Mm = 14;
const GUIDE_RATIO = 1.5;
/** Tube held to either side of the hole's rim. */
const HOLD: Mm = 14;
/** Farthest end of the tube that a stop reaches. */
const STOP_REACH: Mm = 120;
const SHOULDER = 0.35;

/** Everything that fixes a drill guide before its solids are made. */
export interface GuidePlan {
  readonly request: OtherRequest<DrillGuideSpec>;
  readonly member: Member;
  readonly bed: Bed;
  /** Block along the tube, as s. */
  readonly from: Mm;
  readonly to: Mm;
  readonly datum: Datum;
  /** Where the axis of the hole meets the outside of the tube, and which way it leads out. */
  readonly mouth: Vec3;
  readonly axis: Vec3;
  readonly radius: Mm;
  readonly room: Mm;
  readonly half: Mm;
  /** Heights over the bed: underside of the tube's room, top of the walls, of the tube. */
  readonly under: Mm;
  readonly wallTop: Mm;
  readonly tubeTop: Mm;
}

/** Letters are sunk into the walls beside the tube. */
export const wallOf = ({ shop }: OtherRequest<DrillGuideSpec>): Mm =>
  Math.max(shop.wall, LEAST_WALL + LETTER_DEPTH + 0.1);

/** Least length of the hole's wall. */
export const guideLength = ({ hole }: DrillGuideSpec): Mm => Math.max(LEAST_GUIDE, GUIDE_RATIO * hole.diameter);

/** Choose the block, the stop or line it is set to, and how deep the tube lies in it. */
export function planDrill(request: OtherRequest<DrillGuideSpec>): Outcome<GuidePlan> {
  const { spec, solution, shop } = request;
  const member = solution.members.find(({ name }) => name === spec.member);
  if (!member) throw new Error(`internal: drill guide on unknown member ${spec.member}`);
  const { centerline } = member;
  const frame = frameAt(centerline, spec.at);
  const dir = sideOf(frame, spec.towardDeg);
  const width = 2 * extentsAt(member, spec.at, dir).across;
  if (spec.hole.diameter > width - 2) {
    const message = `the hole is ${figure(spec.hole.diameter)} mm, the tube ${figure(width)} mm across there`;
    return {
      problems: [
        toolProblem(request, {
          code: 'tool/cannot-build',
          message,
          hint: 'give a smaller `drill` or `bush`',
          measured: spec.hole.diameter,
          limit: width,
        }),
      ],
    };
  }
  const radius = spec.hole.diameter / 2 + HOLE_ROOM[spec.hole.kind];
  const surface = outsideAlong(member, spec);
  const rim = radius / cosd(spec.leanDeg) + Math.max(HOLD, LEAST_WALL + 2);
  const spanAt = (flat: Mm): Span => {
    const shift = (flat - surface) * tand(spec.leanDeg);
    return { from: spec.at + Math.min(0, shift) - rim, to: spec.at + Math.max(0, shift) + rim };
  };
  // On a taper the block is as thick as the tube under all of it needs, and as long as it is thick where the hole leans.
  let seat = seatOf({ request, member, dir, surface }, { from: spec.at, to: spec.at });
  for (let i = 0; i < 3; i++) seat = seatOf({ request, member, dir, surface }, spanAt(seat.flat));
  const { from: low, to: high } = spanAt(seat.flat);
  const datum = datumOf(request, member, { low, high });
  if (!datum) return { problems: [noEnd(request)] };
  const stop = shop.wall + 2;
  const [from, to] =
    datum.kind === 'mark' ? [datum.s, high] : datum.s <= spec.at ? [datum.s - stop, high] : [low, datum.s + stop];
  if (spec.at > centerline.length || !headsOneWay(member, { from, to }))
    return { problems: [offStraight(request, member, { from, to })] };
  const { flat, ...sizes } = seatOf({ request, member, dir, surface }, { from, to });
  const bed: Bed = {
    member,
    at: placementFrom(along(frame.origin, dir, flat), scale(dir, -1), frame.heading),
    chordTolerance: shop.chordTolerance,
    tiltedStep: 0,
  };
  const plan: GuidePlan = {
    request,
    member,
    bed,
    from,
    to,
    datum,
    mouth: along(frame.origin, dir, surface),
    axis: add(scale(dir, cosd(spec.leanDeg)), scale(frame.heading, sind(spec.leanDeg))),
    radius,
    ...sizes,
  };
  return { value: plan, problems: [] };
}

interface Span {
  readonly from: Mm;
  readonly to: Mm;
}

interface Seating {
  readonly request: OtherRequest<DrillGuideSpec>;
  readonly member: Member;
  readonly dir: Vec3;
  /** From the axis at the hole out to the tube's outside. */
  readonly surface: Mm;
}

type Seat = Pick<GuidePlan, 'room' | 'half' | 'under' | 'wallTop' | 'tubeTop'> & {
  /** Height of the axis at the hole over the bed. */
  readonly flat: Mm;
};

/** How high the tube lies in a block over a stretch of it, and how wide that is: from its ends, and where tapers begin and end. */
function seatOf({ request, member, dir, surface }: Seating, { from, to }: Span): Seat {
  const { spec, shop } = request;
  const { origin: at, heading } = frameAt(member.centerline, spec.at);
  const across = cross(heading, dir);
  const places = [from, spec.at, to, ...sectionMarks(member).filter((s) => s > from && s < to)];
  const tubes = places.map((s) => {
    // An eccentric taper rises toward the hole or falls away from it.
    const moved = sub(frameAt(member.centerline, s).origin, at);
    return { ...extentsAt(member, s, dir), rise: dot(moved, dir), aside: Math.abs(dot(moved, across)) };
  });
  const most = (of: (tube: (typeof tubes)[number]) => Mm): Mm => Math.max(...tubes.map(of));
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const clear = isTapered(member) ? room * steepest(member) : room;
  const radius = spec.hole.diameter / 2 + HOLE_ROOM[spec.hole.kind];
  const out = most((tube) => tube.out + tube.rise);
  // The flat lies so far out that the hole's wall is as long as it must be between its broken rims.
  const flat =
    out +
    clear +
    (guideLength(spec) + 1.5) * cosd(spec.leanDeg) +
    radius * Math.abs(sind(spec.leanDeg)) +
    (out - surface);
  return {
    room,
    flat,
    half: most((tube) => tube.across + tube.aside) + clear + wallOf(request),
    under: flat - out - clear,
    wallTop: flat + most((tube) => SHOULDER * tube.out - tube.rise),
    tubeTop: flat + most((tube) => tube.out - tube.rise),
  };
}

/** Whether a stretch lies on straights and tapers only; past a drawn end stock goes on straight, a bought taper does not. */
function headsOneWay({ centerline }: Member, { from, to }: Span): boolean {
  const { segments, length } = centerline;
  const [head, tail] = [segments[0]!, segments.at(-1)!];
  if (from < -1e-9 && head.kind !== 'straight' && from < -MORE) return false;
  if (to > length + 1e-9 && tail.kind !== 'straight' && to > length + MORE) return false;
  return !segments.some((x) => x.kind === 'bend' && x.s0 < to - 1e-9 && x.s0 + x.length > from + 1e-9);
}

/** A stop reaches past the end of a bought taper by no more than this. */
const MORE: Mm = 20;

/** From the axis of the tube to its outside, on the side that is drilled. */
function outsideAlong(member: Member, { at, towardDeg }: DrillGuideSpec): Mm {
  const section = sectionAt(member, at);
  let [low, high] = [0, sectionReach(section) + 1];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (sectionDistance(section, middle * sind(towardDeg), middle * cosd(towardDeg)) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The nearer end of the tube where it is square and near enough; else a whole 5 mm before the hole. */
function datumOf(
  request: OtherRequest<DrillGuideSpec>,
  member: Member,
  { low, high }: { readonly low: Mm; readonly high: Mm },
): Datum | undefined {
  const { spec, solution } = request;
  const ends = (['start', 'end'] as const).flatMap((end) => {
    const cut = solution.ends.find((x) => x.member.name === member.name && x.end === end);
    if (cut && cut.flat?.miterDeg !== 0) return [];
    const s = cut?.longPoint ?? (end === 'start' ? 0 : member.centerline.length);
    const distance = Math.abs(spec.at - s);
    const clear = end === 'start' ? s <= low : s >= high;
    return clear && distance <= STOP_REACH ? [{ kind: 'end' as const, s, distance }] : [];
  });
  const nearest = ends.sort((p, q) => p.distance - q.distance)[0];
  if (spec.datum !== 'mark' && nearest) return nearest;
  if (spec.datum === 'end') return undefined;
  const s = 5 * Math.floor(low / 5);
  return { kind: 'mark', s, distance: spec.at - s };
}

const noEnd = (request: OtherRequest<DrillGuideSpec>) =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `no square end of the tube lies within ${STOP_REACH} mm of the hole, and clear of it`,
    hint: 'leave `datum` out, or ask for mark',
    limit: STOP_REACH,
  });

const offStraight = (
  request: OtherRequest<DrillGuideSpec>,
  { name }: Member,
  { from, to }: { readonly from: Mm; readonly to: Mm },
) =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the guide needs a straight from ${figure(from)} mm to ${figure(to)} mm of ${name}`,
    hint: 'move the hole away from the bend, or lean it less',
    measured: to - from,
  });
