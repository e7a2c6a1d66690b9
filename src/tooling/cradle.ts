import { centerlineFrom, frameAt } from '../geometry/centerline.ts';
import { type Frame, moveFrame } from '../geometry/frame.ts';
import { type Placement, place, unplace, unplaceDirection } from '../geometry/placement.ts';
import { outlineAt } from '../geometry/section.ts';
import { FOOT_CHAMFER } from '../geometry/tolerance.ts';
import { generatorOf, isTapered, outlineOn } from '../geometry/tube-shape.ts';
import { kinkPoint, kinksBeside, uFacing } from '../geometry/tube-surface.ts';
import { add, along, cross, dot, type Mm, scale, unit, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { acrossOut, framesAt, outlineUs, stationsBetween } from './stations.ts';
import { convexHull, ringsMesh, welded } from './sweep.ts';
import type { HeldMember } from './tool.ts';

/** A stretch of tube seen from the table: `at.z` is up from the table, the tube lies level or tilted over it. */
export interface Bed {
  readonly member: HeldMember;
  /** Print pose: z up from the table, job coordinates outside. */
  readonly at: Placement;
  readonly chordTolerance: Mm;
  /** How much wider every other slice of a tilted channel is; unused where the tube lies level. */
  readonly tiltedStep: Mm;
}

/**
 * Room for the tube and its way out: the section grown by `room`, carried along the stretch and up by `lift`. Where every
 * heading is level this is one mesh of exact profiles (of the loft's own where it tapers); where the tube is tilted it is
 * the union of hulls of neighbors.
 */
export function channel(
  bed: Bed,
  span: {
    readonly from: Mm;
    readonly to: Mm;
    readonly room: Mm;
    readonly lift: Mm;
    /** Slices of a tilted channel reach so far into one another: where they only touch, a kernel may leave a skin between them. */
    readonly lap?: Mm;
  },
): Solid {
  const stations = stationsBetween(bed.member, span, bed.chordTolerance);
  const frames = framesAt(bed.member, stations);
  const us = outlineUs(bed.member, span.room, bed.chordTolerance);
  if (isLevel(bed, frames)) {
    if (isTapered(bed.member)) return taperedChannel(bed, { ...span, us, stations });
    const profile = liftedProfile(bed, frames[0]!, { us, room: span.room, lift: span.lift });
    const rings = frames.map((frame) => profile.map((p) => inProfile(bed, frame, p)));
    return { kind: 'mesh', name: 'channel', mesh: ringsMesh(rings, bed.at) };
  }
  const outline = (s: Mm, room: Mm): readonly Vec3[] =>
    us.map((u) => unplace(bed.at, generatorOf(bed.member, u, -room).pointAt(s)));
  // A slice of a tapered tube has its kinks' places, off the tube by the room from both its walls, besides its two ends.
  const kinksOf = (ends: readonly Mm[], room: Mm): readonly Vec3[] =>
    [...new Set(ends.flatMap((s) => kinksBeside(bed.member, s)))].flatMap((s) =>
      us.flatMap((u) => {
        const kink = kinkPoint(bed.member, { u, s, out: room });
        const within = kink.s > Math.min(...ends) && kink.s < Math.max(...ends);
        return within ? [unplace(bed.at, kink.point)] : [];
      }),
    );
  const slices = stations.slice(1).map((s, i): Solid => {
    // Every other slice is a hair wider and higher, so that no two neighbors have walls that all but coincide.
    const room = span.room + (i % 2) * bed.tiltedStep;
    const lift = span.lift + (i % 2);
    const lap = (span.lap ?? 0) * Math.sign(s - stations[i]!) * (i % 2);
    const rings = [
      ...outline(stations[i]! - lap, room),
      ...kinksOf([stations[i]!, s], room),
      ...outline(s + lap, room),
    ];
    return {
      kind: 'hull',
      name: `channel slice ${i + 1}`,
      points: [...rings, ...rings.map(([x, y, z]): Vec3 => [x, y, z + lift])],
    };
  });
  return { kind: 'union', name: 'channel', of: slices };
}

/**
 * The channel of a taper: its rulings below the widest places, which are the same all along, and upright walls above them.
 * Between its two flat ends every ring stands square to the surface, so that the room is as asked for on the slant too.
 */
function taperedChannel(
  bed: Bed,
  span: { readonly room: Mm; readonly lift: Mm; readonly us: readonly number[]; readonly stations: readonly Mm[] },
): Solid {
  const { member, at } = bed;
  const frame = frameAt(member.centerline, span.stations[0]!);
  const way: Vec2 = [dot(at.z, frame.right), dot(at.z, frame.up)];
  const sides = ([1, -1] as const).map((sign) => uFacing(member, [sign * way[1], -sign * way[0]]));
  const outOf = (u: number): number => {
    const [a, b] = outlineOn(member, 0, u).normal;
    return a * way[0] + b * way[1];
  };
  const all = [...new Set([...span.us, ...sides])].sort((p, q) => p - q);
  const top = all.findIndex((u) => outOf(u) > LEVEL);
  const below = [...all.slice(top), ...all.slice(0, top)].filter((u) => outOf(u) <= LEVEL);
  const [first, last] = [span.stations[0]!, span.stations.at(-1)!];
  const inner = span.stations.slice(1, -1);
  const dir = Math.sign(last - first);
  const kinks = [first, last].map((s) =>
    kinksBeside(member, s)
      .filter((kink) => !inner.includes(kink))
      .sort((p, q) => dir * (p - q)),
  );
  const endAt =
    (s: Mm) =>
    (u: number): Vec3 =>
      generatorOf(member, u, -span.room).pointAt(s);
  // A kink beside an end counts where the tube's room has it within the channel, and falls on the end where not.
  const kinkAt =
    (s: Mm) =>
    (u: number): Vec3 => {
      const kink = kinkPoint(member, { u, s, out: span.room });
      return kink.s <= Math.min(first, last)
        ? endAt(Math.min(first, last))(u)
        : kink.s >= Math.max(first, last)
          ? endAt(Math.max(first, last))(u)
          : kink.point;
    };
  const rings = [endAt(first), ...[...kinks[0]!, ...inner, ...kinks[1]!].map(kinkAt), endAt(last)].map((ringAt) => {
    const points = below.map(ringAt);
    return [...points, along(points.at(-1)!, at.z, span.lift), along(points[0]!, at.z, span.lift)];
  });
  return { kind: 'mesh', name: 'channel', mesh: welded(ringsMesh(rings, at)) };
}

/** Cosine. A normal counts as level within rounding. */
const LEVEL = 1e-9;

/** Whether the tube lies level over the table all along the frames. */
export const isLevel = (bed: Bed, frames: readonly Frame[]): boolean =>
  frames.every((frame) => Math.abs(dot(frame.heading, bed.at.z)) < 1e-9);

/** U-shaped profile in (across, out): the section and all places it passes on the way out. */
function liftedProfile(
  bed: Bed,
  frame: Frame,
  shape: { readonly us: readonly number[]; readonly room: Mm; readonly lift: Mm },
): readonly Vec2[] {
  const { turn } = acrossOut(frame, bed.at.z);
  const section = shape.us.map((u) => turn(outlineAt(bed.member.section, u, -shape.room).point));
  return convexHull([...section, ...section.map(([x, z]): Vec2 => [x, z + shape.lift])]);
}

function inProfile(bed: Bed, frame: Frame, [x, z]: Vec2): Vec3 {
  const across = unit(cross(bed.at.z, frame.heading));
  return along(along(frame.origin, across, x), unit(cross(frame.heading, across)), z);
}

/** A bed of one straight line through the axis at `about`: its sides do not go aside with an eccentric taper. */
export function straightBed(bed: Bed, { about, to }: { readonly about: Mm; readonly to: Mm }): Bed {
  const { member } = bed;
  const frame = frameAt(member.centerline, about);
  const start = moveFrame(frame, scale(frame.heading, -about));
  return { ...bed, member: { ...member, centerline: centerlineFrom(start, [{ kind: 'straight', length: to + 1 }]) } };
}

/** Bar with upright sides that follows the tube in plan, between two heights above the table; side reaches differ left and right. */
export function bar(
  bed: Bed,
  shape: {
    readonly name: string;
    readonly from: Mm;
    readonly to: Mm;
    readonly left: Mm;
    readonly right: Mm;
    readonly low: Mm;
    readonly high: Mm;
    readonly foot: boolean;
  },
): Solid {
  const ch = shape.foot ? FOOT_CHAMFER : 0;
  const dir = Math.sign(shape.to - shape.from) || 1;
  const stations = stationsBetween(bed.member, shape, bed.chordTolerance);
  const inner =
    ch > 0
      ? stations.filter((s) => Math.abs(s - shape.from) > ch + 1e-3 && Math.abs(s - shape.to) > ch + 1e-3)
      : stations.slice(1, -1);
  const profile = (low: Mm): readonly Vec2[] => [
    ...(ch > 0
      ? ([
          [-shape.left + ch, low],
          [shape.right - ch, low],
          [shape.right, low + ch],
        ] as const)
      : ([
          [-shape.left, low],
          [shape.right, low],
        ] as const)),
    [shape.right, shape.high],
    [-shape.left, shape.high],
    ...(ch > 0 ? ([[-shape.left, low + ch]] as const) : []),
  ];
  const ring = (s: Mm, low: Mm): readonly Vec3[] =>
    profile(low).map((p) => inPlan(bed, frameAt(bed.member.centerline, s), p));
  const body = ch > 0 ? [shape.from + dir * ch, ...inner, shape.to - dir * ch] : [shape.from, ...inner, shape.to];
  const rings = [
    ...(ch > 0 ? [ring(shape.from, shape.low + ch)] : []),
    ...body.map((s) => ring(s, shape.low)),
    ...(ch > 0 ? [ring(shape.to, shape.low + ch)] : []),
  ];
  return { kind: 'mesh', name: shape.name, mesh: ringsMesh(rings, bed.at) };
}

/** Point beside the centerline as seen from above: (across, height over the table). */
export function inPlan(bed: Bed, frame: Frame, [x, height]: Vec2): Vec3 {
  const flat = unit(along(frame.heading, bed.at.z, -dot(frame.heading, bed.at.z)));
  const across = cross(bed.at.z, flat);
  const [px, py] = unplace(bed.at, along(frame.origin, across, x));
  return add(bed.at.origin, add(add(scale(bed.at.x, px), scale(bed.at.y, py)), scale(bed.at.z, height)));
}

/** Placement, in print pose, of a flat side feature: origin at (across, height) beside s, x along the reader's line. */
export function sidePlacement(bed: Bed, s: Mm, side: { readonly across: Mm; readonly height: Mm }): Placement {
  const frame = frameAt(bed.member.centerline, s);
  const origin = unplace(bed.at, inPlan(bed, frame, [side.across, side.height]));
  const flat = unit(along(frame.heading, bed.at.z, -dot(frame.heading, bed.at.z)));
  const outwardSide = unplaceDirection(bed.at, scale(cross(bed.at.z, flat), Math.sign(side.across)));
  const up: Vec3 = [0, 0, 1];
  return { origin, x: cross(up, outwardSide), y: up, z: outwardSide };
}

/** Flare at the top of the walls, so that the tube finds its way in. */
export function flare(
  bed: Bed,
  shape: {
    readonly from: Mm;
    readonly to: Mm;
    readonly half: Mm | ((s: Mm) => Mm);
    readonly top: Mm;
    readonly more: Mm;
  },
): Solid {
  const { half, top, more } = shape;
  const halfAt = typeof half === 'number' ? () => half : half;
  // The 45 degree sides start inside the tube's room and end over the wall: nowhere do they all but lie on a wall.
  const inside = 0.4;
  const over = 0.1;
  const profile = (wide: Mm): readonly Vec2[] => [
    [-wide + inside, top - more - inside],
    [wide - inside, top - more - inside],
    [wide + more + over, top + over],
    [-wide - more - over, top + over],
  ];
  const rings = stationsBetween(bed.member, shape, bed.chordTolerance).map((s) =>
    profile(halfAt(s)).map((p) => inPlan(bed, frameAt(bed.member.centerline, s), p)),
  );
  return { kind: 'mesh', name: 'lead-in', mesh: ringsMesh(rings, bed.at) };
}

/** Box from ranges along three square directions at a place, all in print pose. */
export function box(
  name: string,
  at: Placement,
  ranges: readonly [readonly [Mm, Mm], readonly [Mm, Mm], readonly [Mm, Mm]],
): Solid {
  const [xs, ys, zs] = ranges;
  const points = xs.flatMap((x) => ys.flatMap((y) => zs.map((z) => place(at, [x, y, z]))));
  return { kind: 'hull', name, points };
}
