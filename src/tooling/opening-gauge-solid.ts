import { frameAt } from '../geometry/centerline.ts';
import { type Placement, unplace, unplaceDirection } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAD_IN, LETTER_DEPTH, TILTED_STEPS } from '../geometry/tolerance.ts';
import { isTapered, outlineOn, tapersOf } from '../geometry/tube-shape.ts';
import { cross, dot, type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { type Bed, box, channel, flare, inPlan, isLevel, sidePlacement, straightBed } from './cradle.ts';
import { sunkLines, type Wordings } from './label.ts';
import type { OpeningGaugePlan } from './opening-gauge-plan.ts';
import { recentered } from './print-pose.ts';
import { stationsBetween } from './stations.ts';
import { ringsMesh } from './sweep.ts';

/** mm. Width of the lines that are set to scribed ones. */
const MARK: Mm = 1;
/** Neighbors of the window's outline nearer than this fall together in the files. */
const LEAST_STEP: Mm = 0.01;

/** The gauge in print pose: a trough on the table with the hole through its floor, and where that pose stands in the job. */
export function gaugeSolid(
  plan: OpeningGaugePlan,
  lines: readonly Wordings[],
): { readonly solid: Solid; readonly pose: Placement } {
  const { bed } = plan;
  const made = (tiltedStep: Mm): Solid => gaugeOf({ ...plan, bed: { ...bed, tiltedStep } }, lines);
  const [first, ...others] = levelAll(plan) ? [bed.tiltedStep] : TILTED_STEPS;
  const solid: Solid =
    others.length === 0
      ? made(first!)
      : { kind: 'either', name: 'opening gauge', of: [made(first!), ...others.map(made)] };
  const middle = unplace(bed.at, frameAt(bed.member.centerline, (plan.from + plan.to) / 2).origin);
  return recentered(solid, bed.at, [middle[0], middle[1], 0]);
}

const levelAll = ({ bed, from, to }: OpeningGaugePlan): boolean =>
  isLevel(
    bed,
    stationsBetween(bed.member, { from, to }, bed.chordTolerance).map((s) => frameAt(bed.member.centerline, s)),
  );

function gaugeOf(plan: OpeningGaugePlan, lines: readonly Wordings[]): Solid {
  const level = levelAll(plan);
  const cuts: readonly Solid[] = [
    tubeRoom(plan, level),
    ...(level ? [leadIn(plan)] : []),
    window(plan),
    ...grooves(plan),
    ...lineMarks(plan),
    ...ringMarks(plan),
    ...letters(plan, lines),
  ];
  return { kind: 'subtract', name: 'opening gauge', from: block(plan), cuts };
}

/** The line the outside follows: the tube's, or straight where an eccentric taper would take it aside. */
const outsideBed = ({ bed, opening: { center }, from, to }: OpeningGaugePlan): Bed =>
  tapersOf(bed.member).some(({ s0, length }) => s0 < to && s0 + length > from)
    ? straightBed(bed, { about: center.s, to })
    : bed;

/** Block with upright sides, sloping in toward the table where that leaves the wall as thick; its foot set back. */
function block(plan: OpeningGaugePlan): Solid {
  const { from, to, sideReach, wallTop, flanks } = plan;
  const bed = outsideBed(plan);
  const side = (i: 0 | 1): readonly Vec2[] => {
    const flat = flanks?.[i] ?? sideReach;
    return flat < sideReach - 0.5
      ? [
          [flat, 0],
          [sideReach, sideReach - flat],
        ]
      : [
          [sideReach - FOOT_CHAMFER, 0],
          [sideReach, FOOT_CHAMFER],
        ];
  };
  // Right of the heading first, then up that side, over and down the other.
  const profile: readonly Vec2[] = [
    ...side(0),
    [sideReach, wallTop],
    [-sideReach, wallTop],
    ...side(1)
      .map(([x, z]): Vec2 => [-x, z])
      .reverse(),
  ];
  const { centerline } = bed.member;
  const ring = (s: Mm, low: Mm): readonly Vec3[] =>
    profile.map(([x, z]) => inPlan(bed, frameAt(centerline, s), [x, Math.max(z, low)]));
  const stations = stationsBetween(bed.member, { from, to }, bed.chordTolerance).filter(
    (s) => s > from + FOOT_CHAMFER + 1e-3 && s < to - FOOT_CHAMFER - 1e-3,
  );
  const rings = [
    raised(ring, from, FOOT_CHAMFER),
    ring(from + FOOT_CHAMFER, 0),
    ...stations.map((s) => ring(s, 0)),
    ring(to - FOOT_CHAMFER, 0),
    raised(ring, to, FOOT_CHAMFER),
  ];
  return { kind: 'mesh', name: 'block', mesh: ringsMesh(rings, bed.at) };
}

/** The end of the block, its lowest edge lifted off the table. */
const raised = (ring: (s: Mm, low: Mm) => readonly Vec3[], s: Mm, by: Mm): readonly Vec3[] => ring(s, by);

function tubeRoom({ bed, from, to, room, wallTop, datum, stopAt }: OpeningGaugePlan, level: boolean): Solid {
  const past = level ? 0.5 : 0.5 + wallTop / 2;
  const span = { from: stopAt === 'start' ? datum.s : from - past, to: stopAt === 'end' ? datum.s : to + past };
  return channel(bed, { ...span, room, lift: wallTop * 3 });
}

function leadIn({ bed, from, to, sideReach, wall, wallTop, datum, stopAt }: OpeningGaugePlan): Solid {
  const span = { from: stopAt === 'start' ? datum.s : from - 0.2, to: stopAt === 'end' ? datum.s : to + 0.2 };
  return flare(bed, { ...span, half: sideReach - wall, top: wallTop, more: LEAD_IN });
}

/** The hole's edge carried straight out of the gauge: its walls stand square to the table, whatever way the branch leans. */
function window({ bed, edge, axis }: OpeningGaugePlan): Solid {
  const flat = edge.map((p): Vec2 => {
    const [x, y] = unplace(bed.at, p);
    return [x, y];
  });
  const loop = flat.filter((p, i) => {
    const q = flat[(i + 1) % flat.length]!;
    return Math.hypot(q[0] - p[0], q[1] - p[1]) > LEAST_STEP;
  });
  const turns = loop.reduce((sum, p, i) => {
    const q = loop[(i + 1) % loop.length]!;
    return sum + p[0] * q[1] - q[0] * p[1];
  }, 0);
  const at: Placement = { origin: [0, 0, -1], x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
  return {
    kind: 'prism',
    name: 'window',
    loops: [turns > 0 ? loop : [...loop].reverse()],
    height: axis + 1,
    at,
  };
}

/** Strap grooves across the outside, one at each end of the block. */
const grooves = (plan: OpeningGaugePlan): readonly Solid[] =>
  plan.groovesAt.map((s) => {
    const { groove, sideReach } = plan;
    const bed = outsideBed(plan);
    const frame = frameAt(bed.member.centerline, s);
    const flat = unplaceDirection(bed.at, frame.heading);
    const forward = scale([flat[0], flat[1], 0], 1 / Math.hypot(flat[0], flat[1]));
    const profile: readonly Vec2[] = [
      [-groove.half, -1],
      [groove.half, -1],
      [groove.half, groove.upright],
      [groove.roofHalf, groove.depth],
      [-groove.roofHalf, groove.depth],
      [-groove.half, groove.upright],
    ];
    const points = [-sideReach - 2, sideReach + 2].flatMap((across) => {
      const [x, y] = unplace(bed.at, inPlan(bed, frame, [across, 0]));
      return profile.map(([t, z]): Vec3 => [x + forward[0] * t, y + forward[1] * t, z]);
    });
    return { kind: 'hull', name: 'strap groove', points };
  });

/** A line in each open end face, from the table to the tube, for the line scribed along the tube. */
function lineMarks({ bed, from, to, stopAt, axis, line }: OpeningGaugePlan): readonly Solid[] {
  const { member } = bed;
  const acrossAt = (s: Mm): Mm => {
    if (!isTapered(member)) return line.across;
    const { right, up, heading } = frameAt(member.centerline, s);
    const { point } = outlineOn(member, s, line.u);
    const across = cross(bed.at.z, heading);
    return point[0] * dot(right, across) + point[1] * dot(up, across);
  };
  const ends = [
    ...(stopAt === 'start' ? [] : [{ s: from, dir: -1 }]),
    ...(stopAt === 'end' ? [] : [{ s: to, dir: 1 }]),
  ];
  return ends.map(({ s, dir }) => {
    const frame = frameAt(bed.member.centerline, s);
    const [x, y] = unplace(bed.at, inPlan(bed, frame, [acrossAt(s), 0]));
    const heading = unplaceDirection(bed.at, frame.heading);
    const flat = 1 / Math.hypot(heading[0], heading[1]);
    const out: Vec3 = [heading[0] * flat * dir, heading[1] * flat * dir, 0];
    const up: Vec3 = [0, 0, 1];
    return box('line mark', { origin: [x, y, 0], x: out, y: cross(up, out), z: up }, [
      [-LETTER_DEPTH, 2],
      [-MARK / 2, MARK / 2],
      [-1, axis],
    ]);
  });
}

/** A line down both sides at the axis of the hole, for the line scribed round the tube. */
const ringMarks = (plan: OpeningGaugePlan): readonly Solid[] =>
  ([1, -1] as const).map((side) => {
    const { opening, sideReach, wallTop } = plan;
    const at = sidePlacement(outsideBed(plan), opening.center.s, { across: side * sideReach, height: wallTop });
    return box('ring mark', at, [
      [-MARK / 2, MARK / 2],
      [-(wallTop - sideFoot(plan, side)) + 0.5, 2],
      [-LETTER_DEPTH, 2],
    ]);
  });

/** Height where the upright part of a side begins. */
const sideFoot = ({ sideReach, flanks }: OpeningGaugePlan, side: 1 | -1): Mm =>
  sideReach - (flanks?.[side > 0 ? 0 : 1] ?? sideReach);

/** Narrower than this no revision mark fits. */
const LEAST_LABEL: Mm = 22;

/** Letters on one side, before or behind the mark, wherever there is more room. */
function letters(plan: OpeningGaugePlan, lines: readonly Wordings[]): readonly Solid[] {
  const { request, bed, opening, from, to, wallTop, sideReach } = plan;
  if (!request.shop.labels) return [];
  const { s } = opening.center;
  const [low, high] = s - from > to - s ? [from + 1.5, s - 2] : [s + 2, to - 1.5];
  const bends = bed.member.centerline.segments.some(
    (segment) => segment.kind === 'bend' && segment.s0 < to && segment.s0 + segment.length > from,
  );
  const side = -1;
  const foot = sideFoot(plan, side) + 1;
  const tall = wallTop - LEAD_IN - 1 - foot;
  // Over a bend the side is no flat that letters could be sunk into evenly.
  if (high - low < LEAST_LABEL || tall < 4 || bends) return [];
  const at = sidePlacement(outsideBed(plan), (low + high) / 2, { across: side * sideReach, height: foot + tall / 2 });
  const heading = unplaceDirection(bed.at, frameAt(bed.member.centerline, s).heading);
  const arrow = dot(at.x, heading) >= 0 ? '→' : '←';
  return [
    sunkLines(
      lines.map((line) => line.map((words) => words.map((text) => text.replace('>', arrow)))),
      { at, box: [high - low, tall], letter: 6 },
    ),
  ];
}
