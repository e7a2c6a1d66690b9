import { acosd } from '../geometry/angle.ts';
import { frameAt, type Segment, segmentAt } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { type Placement, placementFrom, unplace } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL, LETTER_DEPTH } from '../geometry/tolerance.ts';
import {
  along,
  cross,
  distance,
  dot,
  length,
  type Mm,
  scale,
  sub,
  unit,
  type Vec2,
  type Vec3,
} from '../geometry/vector.ts';
import type { SpacerSpec } from '../job/bench-tools.ts';
import { figure, type Outcome, type Problem } from '../job/problem.ts';
import type { Member } from '../solve/solution.ts';
import { type OtherRequest, toolProblem } from './request.ts';
import { extentsAt, facetRoom } from './stations.ts';

/** One tube where it passes through the spacer. */
export interface SpacedTube {
  readonly member: Member;
  readonly s: Mm;
  readonly frame: Frame;
  /** Axis on the bed; out of the tool is +y. */
  readonly at: Vec2;
  /** Half sizes of the tube, without clearance. */
  readonly across: Mm;
  readonly up: Mm;
  /** Straight of the tube about s, as s. */
  readonly from: Mm;
  readonly to: Mm;
}

export interface SpacerPlan {
  readonly request: OtherRequest<SpacerSpec>;
  readonly tubes: readonly SpacedTube[];
  /** Print pose: z along the tubes, y the way they leave. */
  readonly pose: Placement;
  readonly thick: Mm;
  readonly room: Mm;
  /** Whether a strap has room inside the thickness. */
  readonly straps: boolean;
  /** Ends of the bar along x, and its edges along y: the flat back, and how far the bar reaches between the tubes. */
  readonly left: Mm;
  readonly right: Mm;
  readonly back: Mm;
  readonly front: Mm;
  /** How tall it is behind the tubes. */
  readonly bar: Mm;
}

/** Sine. Tubes nearer to parallel than this pass through a spacer alike: a tenth of a usual clearance over 30 mm. */
const PARALLEL = 1e-3;
/** Height of the bar behind the tubes. */
const BAR: Mm = 14;
/** The same where it is printed in pieces, for their dovetails; walls are thick there too. */
const KEYED_BAR = { from: 10, tall: 20 } as const;

/** Find every tube where it passes the plane of the spacer, and the side from which it drops onto all of them. */
export function planSpacer(request: OtherRequest<SpacerSpec>): Outcome<SpacerPlan> {
  const { spec, solution, shop } = request;
  const members = spec.members.map((name) => solution.members.find((member) => member.name === name)!);
  const twice = spec.members.find((name, i) => spec.members.indexOf(name) < i);
  if (twice !== undefined)
    return { problems: [problem(request, `${twice} stands twice among its members`, 'name it once')] };
  const first = members[0]!;
  const at = spec.at ?? first.centerline.length / 2;
  const needed = shop.strap.width + 1 + 2 * (LEAST_WALL + LETTER_DEPTH + FOOT_CHAMFER);
  const thick = spec.thick ?? Math.ceil(needed);
  const place = frameAt(first.centerline, at);
  const passed = members.map((member) =>
    passing(request, member, { place, thick, own: member === first ? at : undefined }),
  );
  const problems = passed.flatMap((x) => x.problems);
  // Where the first does not pass its own place, what the others do there says nothing.
  if (problems.length > 0) return { problems: passed[0]!.value ? problems : passed[0]!.problems };
  const found = passed.map((x) => x.value!);
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const pose = dropsOn(found, { place, room });
  if (!pose) {
    const hint = 'make one spacer for fewer of them, or a fit-up cradle';
    return {
      problems: [
        problem(
          request,
          "the tubes stand in each other's way: no side of them leaves every tube free",
          hint,
          'tool/cannot-insert',
        ),
      ],
    };
  }
  const tubes = found.map((tube): SpacedTube => {
    const [x, y] = unplace(pose, tube.frame.origin);
    const half = extentsAt(tube.member, tube.s, pose.y);
    return { ...tube, at: [x, y], across: half.across, up: half.out };
  });
  const side = room + shop.wall;
  const bar = shop.wall >= KEYED_BAR.from ? KEYED_BAR.tall : BAR;
  const back = Math.min(...tubes.map(({ at: [, y], up }) => y - up)) - room - bar;
  const plan: SpacerPlan = {
    request,
    tubes,
    pose,
    thick,
    room,
    straps: thick >= needed - 1e-9,
    left: Math.min(...tubes.map(({ at: [x], across }) => x - across)) - side,
    right: Math.max(...tubes.map(({ at: [x], across }) => x + across)) + side,
    back,
    front: back + bar + Math.min(4, shop.wall),
    bar,
  };
  return { value: plan, problems: [] };
}

type Passing = Omit<SpacedTube, 'at' | 'across' | 'up'>;

/** Where a straight of the member passes the plane of the spacer, square to it: of several the nearest. */
function passing(
  request: OtherRequest<SpacerSpec>,
  member: Member,
  { place, thick, own }: { readonly place: Frame; readonly thick: Mm; readonly own: Mm | undefined },
): Outcome<Passing> {
  const { segments, length: whole } = member.centerline;
  const crossings = segments.flatMap((segment): readonly (Passing & { readonly segment: Segment })[] => {
    if (segment.kind !== 'straight') return [];
    const speed = dot(segment.start.heading, place.heading);
    if (Math.abs(speed) < 0.01) return [];
    const s = segment.s0 + dot(sub(place.origin, segment.start.origin), place.heading) / speed;
    if (s < segment.s0 - 1e-9 || s > segment.s0 + segment.length + 1e-9) return [];
    const from = segment === segments[0] ? Number.NEGATIVE_INFINITY : segment.s0;
    const to = segment === segments.at(-1) ? Number.POSITIVE_INFINITY : segment.s0 + segment.length;
    return [{ member, s, frame: frameAt(member.centerline, s), from, to, segment }];
  });
  const near = [...crossings].sort(
    (p, q) => distance(p.frame.origin, place.origin) - distance(q.frame.origin, place.origin),
  );
  const nearest = own === undefined ? near[0] : near.find(({ s }) => Math.abs(s - own) < 1e-6);
  if (!nearest) {
    const message =
      own !== undefined
        ? own > whole
          ? `${member.name} is ${figure(whole)} mm long, and the spacer sits at ${figure(own)} mm`
          : `${member.name} ${segmentAt(member.centerline, own).kind === 'taper' ? 'tapers' : 'bends'} at ${figure(own)} mm, where the spacer sits`
        : `${member.name} does not pass the place of the spacer on a straight`;
    return { problems: [problem(request, message, 'choose another place with `at`', 'tool/crosses-bend')] };
  }
  const lean = length(cross(nearest.frame.heading, place.heading));
  if (lean > PARALLEL) {
    const deg = acosd(Math.abs(dot(nearest.frame.heading, place.heading)));
    const message = `${member.name} stands ${figure(deg)} deg to ${request.spec.members[0]} where the spacer sits, and a spacer holds parallel tubes`;
    const hint = 'hold them with a fit-up cradle, or draw them parallel';
    return { problems: [problem(request, message, hint)] };
  }
  if (nearest.s - thick / 2 < nearest.from - 1e-9 || nearest.s + thick / 2 > nearest.to + 1e-9) {
    const message = `the straight of ${member.name} does not reach over the ${figure(thick)} mm that the spacer covers`;
    return {
      problems: [
        problem(request, message, 'choose another place with `at`, or a smaller `thick`', 'tool/crosses-bend'),
      ],
    };
  }
  const { segment: _, ...found } = nearest;
  return { value: found, problems: [] };
}

/** The pose whose x leaves the widest gap between the tubes, seen from the side it drops on: from above where that is the same. */
function dropsOn(
  tubes: readonly Passing[],
  { place, room }: { readonly place: Frame; readonly room: Mm },
): Placement | undefined {
  const n = place.heading;
  const flat = (p: Vec3): Vec3 => along(p, n, -dot(p, n));
  const lines = tubes.flatMap((p, i) => tubes.slice(i + 1).map((q) => flat(sub(q.frame.origin, p.frame.origin))));
  const directions = lines.filter((line) => length(line) > 1e-6).map(unit);
  const gapAlong = (e: Vec3): Mm => {
    const out = cross(n, e);
    const spans = tubes
      .map(({ member, frame, s }) => {
        const { across } = extentsAt(member, s, out);
        const x = dot(sub(frame.origin, place.origin), e);
        return [x - across - room, x + across + room] as const;
      })
      .sort((p, q) => p[0] - q[0]);
    return Math.min(...spans.slice(1).map(([low], i) => low - spans[i]![1]));
  };
  const gaps = directions.map(gapAlong);
  const widest = Math.max(...gaps);
  const e = directions[gaps.findIndex((gap) => gap > widest - 1e-6)];
  if (!e || widest < LEAST_WALL) return undefined;
  const out = cross(n, e);
  // The tubes leave downward where there is an up and a down, so that the spacer drops on from above.
  const down = out[2] <= 1e-9;
  return down ? placementFrom(place.origin, n, e) : placementFrom(place.origin, scale(n, -1), e);
}

const problem = (
  request: OtherRequest<SpacerSpec>,
  message: string,
  hint: string,
  code: 'tool/cannot-build' | 'tool/cannot-insert' | 'tool/crosses-bend' = 'tool/cannot-build',
): Problem => toolProblem(request, { code, message, hint });
