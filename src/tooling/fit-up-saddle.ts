import { frameAt } from '../geometry/centerline.ts';
import { type Placement, unplace } from '../geometry/placement.ts';
import { reachToward, sectionReach } from '../geometry/section.ts';
import { FOOT_CHAMFER, LEAD_IN, LEAST_WALL, LETTER_DEPTH, TILTED_STEPS } from '../geometry/tolerance.ts';
import { isTapered, sectionAt, sectionMarks, tubeReach } from '../geometry/tube-shape.ts';
import { steepest } from '../geometry/tube-surface.ts';
import { along, cross, dot, type Mm, scale, sub, unit, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Shop } from '../job/job.ts';
import type { Solid } from '../solid/expression.ts';
import type { EndName } from '../solve/solution.ts';
import { type Bed, bar, channel, flare, inPlan, isLevel } from './cradle.ts';
import type { HeldPiece } from './fit-up-joints.ts';
import { tunnelHeight } from './saw-guide-plan.ts';
import { facetRoom, framesAt, stationsBetween } from './stations.ts';

/** A post with a channel that a tube lies in. */
export interface Saddle {
  readonly held: HeldPiece;
  /** As it is marked. */
  readonly number: number;
  /** The post along the tube, as s; past a stop it goes on by the stop's thickness. */
  readonly from: Mm;
  readonly to: Mm;
  readonly stop?: EndName;
}

/** Of half the tube's height, how far above its axis the walls of a saddle reach: past the widest place, so that it is guided in. */
const SHOULDER = 0.35;
/** Sine. A tube this near to upright lies in no saddle; how wide it is over the table does not matter. */
const STANDING = 0.05;
/** Thickness of a stop beyond the printed wall. */
const STOP_MORE: Mm = 2;

export const stopThickness = ({ wall }: Shop): Mm => wall + STOP_MORE;
export const tubeRoom = ({ fit, chordTolerance }: Shop): Mm => fit.slide + facetRoom(chordTolerance);

/** A tube at one place, seen from the table: height of its axis, half its height over the table, and half its width. */
export function overTable(held: HeldPiece, s: Mm, table: Placement) {
  const section = sectionAt(held.member, s);
  const frame = frameAt(held.member.centerline, s);
  const flat = Math.sqrt(Math.max(0, 1 - dot(frame.heading, table.z) ** 2));
  const axis = dot(table.z, sub(frame.origin, table.origin));
  const reachAll = sectionReach(section);
  if (flat < STANDING) return { axis, half: reachAll, across: reachAll, flat };
  const across = unit(cross(table.z, frame.heading));
  const out = cross(frame.heading, across);
  const reach = (way: Vec3): Mm => reachToward(section, [dot(way, frame.right), dot(way, frame.up)]);
  return { axis, half: reach(out) / flat, across: reach(across), flat };
}

/** Half width of a post at s. */
export const sideReach = (held: HeldPiece, s: Mm, { table, shop }: Seating): Mm =>
  overTable(held, s, table).across + roomAcross(held, shop) + shop.wall;

/** Room in the plane square to the tube: on a taper more than square to its slant. */
const roomAcross = ({ member }: HeldPiece, shop: Shop): Mm =>
  isTapered(member) ? tubeRoom(shop) * steepest(member) : tubeRoom(shop);

/** Ends and middle of a stretch, and where tapers begin and end in it: along straights nothing between is wider, higher or lower. */
const placesOn = ({ member }: HeldPiece, { from, to }: Stretch): readonly Mm[] => [
  from,
  (from + to) / 2,
  to,
  ...(isTapered(member) ? sectionMarks(member).filter((s) => s > from && s < to) : []),
];

interface Stretch {
  readonly from: Mm;
  readonly to: Mm;
}

/** What saddles stand on and are made with. */
export interface Seating {
  readonly table: Placement;
  readonly shop: Shop;
}

/** Height of the post's top beside the tube at s. */
export const shoulderAt = (held: HeldPiece, s: Mm, table: Placement): Mm => {
  const { axis, half } = overTable(held, s, table);
  return axis + SHOULDER * half;
};

export const bedOf = ({ held }: Pick<Saddle, 'held'>, { table, shop }: Seating): Bed => ({
  member: held.member,
  at: table,
  chordTolerance: shop.chordTolerance,
  tiltedStep: TILTED_STEPS[0]!,
});

/** Whether the tube lies level from s to s. */
export function liesLevel(held: HeldPiece, span: { readonly from: Mm; readonly to: Mm }, seating: Seating): boolean {
  const bed = bedOf({ held }, seating);
  return isLevel(bed, framesAt(held.member, stationsBetween(held.member, span, seating.shop.chordTolerance)));
}

/**
 * The stretch of tube whose room a post gives, as s: a hair past the post where its ends are square to the tube, by the
 * lean where it leans, and on a bend out of level until the tube has left the post's ends behind.
 */
export function channelSpan(held: HeldPiece, span: { readonly from: Mm; readonly to: Mm }, table: Placement) {
  const { flat } = overTable(held, (span.from + span.to) / 2, table);
  const lean = Math.sqrt(Math.max(0, 1 - flat * flat)) / flat;
  const past = 0.5 + 2 * tubeReach(held.member) * lean;
  const plain = { from: span.from - past, to: span.to + past };
  const ends = [plain.from, plain.to].map((s) => frameAt(held.member.centerline, s).heading);
  if (Math.abs(dot(ends[0]!, table.z) - dot(ends[1]!, table.z)) < 1e-9) return plain;
  return {
    from: span.from - leaving(held, { s: span.from, way: -1, table }),
    to: span.to + leaving(held, { s: span.to, way: 1, table }),
  };
}

/** How far on from the end of a post none of the tube lies over it any more, in plan along the tube. */
function leaving(held: HeldPiece, { s, way, table }: { readonly s: Mm; readonly way: 1 | -1; table: Placement }): Mm {
  const { centerline } = held.member;
  const reach = tubeReach(held.member);
  const end = frameAt(centerline, s);
  const forward = unit(along(end.heading, table.z, -dot(end.heading, table.z)));
  for (let far = 0.5; far < MOST_LEAVING * reach; far += 0.5) {
    const { origin, heading } = frameAt(centerline, s + way * far);
    const on = way * dot(sub(origin, end.origin), forward);
    if (on > 0.5 + reach * Math.sqrt(Math.max(0, 1 - dot(heading, forward) ** 2))) return far;
  }
  return MOST_LEAVING * reach;
}

/** Of the tube's half size: a tube that has not left its post by then stands nearly upright. */
const MOST_LEAVING = 8;

/** Places round and inside the foot of a post, on its top: job coordinates. */
export function postTops(
  held: HeldPiece,
  span: { readonly from: Mm; readonly to: Mm },
  seating: Seating,
): readonly Vec3[] {
  const { table } = seating;
  const bed = bedOf({ held }, seating);
  const count = Math.max(2, Math.ceil((span.to - span.from) / 5));
  const side = postSide(held, span, seating);
  const level = topOver(held, span, seating);
  return Array.from({ length: count + 1 }, (_, i) => span.from + ((span.to - span.from) * i) / count).flatMap((s) => {
    const frame = frameAt(held.member.centerline, s);
    const top = level ?? shoulderAt(held, s, table);
    return [-1, -0.5, 0, 0.5, 1].map((k) => inPlan(bed, frame, [k * side, top]));
  });
}

/** Corners of the post's foot on the table. */
export function footprint(saddle: Saddle, seating: Seating): readonly Vec2[] {
  return postTops(saddle.held, saddle, seating).map((p) => {
    const [x, y] = unplace(seating.table, p);
    return [x, y];
  });
}

/** From the table to where a post ends, or the stretch of its height that one printed piece of it is. */
export interface Rise {
  readonly low: Mm;
  readonly high: Mm;
}

/** Half width of a post: past the tube's room, and on a bend out of level, whose post is straight, by its bow in plan. */
export function postSide(held: HeldPiece, span: { readonly from: Mm; readonly to: Mm }, seating: Seating): Mm {
  const reach = Math.max(...placesOn(held, span).map((s) => sideReach(held, s, seating)));
  if (liesLevel(held, span, seating)) return reach;
  const places = [span.from, (span.from + span.to) / 2, span.to];
  const [p, q, r] = places.map((s) => unplace(seating.table, frameAt(held.member.centerline, s).origin)) as [
    Vec3,
    Vec3,
    Vec3,
  ];
  const [x, y] = [r[0] - p[0], r[1] - p[1]];
  const long = Math.hypot(x, y);
  return long > 0 ? reach + Math.abs((q[0] - p[0]) * y - (q[1] - p[1]) * x) / long : reach;
}

/** Height of the flat top of a post under a tube that lies level; undefined where it leans and the post follows it. */
function topOver(held: HeldPiece, span: Stretch, seating: Seating): Mm | undefined {
  if (!liesLevel(held, span, seating)) return undefined;
  const places = isTapered(held.member) ? placesOn(held, span) : [(span.from + span.to) / 2];
  return Math.max(...places.map((s) => shoulderAt(held, s, seating.table)));
}

/** The post without its channel, or what of it lies between two heights; its top follows a tube that leans. */
export function postSolid(saddle: Saddle, seating: Seating, rise?: Rise): Solid {
  const { held, from, to } = saddle;
  const { table } = seating;
  const bed = bedOf(saddle, seating);
  const side = postSide(held, saddle, seating);
  const middle = (from + to) / 2;
  const low = rise?.low ?? 0;
  const most = rise?.high ?? Number.POSITIVE_INFINITY;
  const high = (s: Mm): Mm => Math.min(most, shoulderAt(held, s, table));
  const name = `post ${saddle.number}`;
  const level = topOver(held, saddle, seating);
  if (level !== undefined)
    return bar(bed, { name, from, to, left: side, right: side, low, high: Math.min(most, level), foot: true });
  const ring = (s: Mm, heights: readonly Mm[], across: Mm): readonly Vec3[] =>
    [-across, across].flatMap((x) =>
      heights.map((z) => unplace(table, inPlan(bed, frameAt(held.member.centerline, s), [x, z]))),
    );
  const { flat } = overTable(held, middle, table);
  const ch = FOOT_CHAMFER / flat;
  const points = [from, middle, to].flatMap((s) => ring(s, [low + FOOT_CHAMFER, high(s)], side));
  const foot = [from + ch, middle, to - ch].flatMap((s) => ring(s, [low], side - FOOT_CHAMFER));
  return { kind: 'hull', name, points: [...points, ...foot] };
}

/** The tube's room in a post, the flare it enters by, and the tunnel for a strap under it, which goes so far past the post's sides. */
export function saddleCuts(saddle: Saddle, seating: Seating, past: Mm): readonly Solid[] {
  const { held, stop } = saddle;
  const { table, shop } = seating;
  const bed = bedOf(saddle, seating);
  const span = channelSpan(held, saddle, table);
  const from = stop === 'start' ? saddle.from + stopThickness(shop) : span.from;
  const to = stop === 'end' ? saddle.to - stopThickness(shop) : span.to;
  const tallest = Math.max(...placesOn(held, saddle).map((s) => overTable(held, s, table).half));
  const lift = 4 * tallest + 2 * (to - from);
  const room = channel(bed, { from, to, room: tubeRoom(shop), lift, lap: SLICE_LAP });
  const top = topOver(held, saddle, seating);
  if (top === undefined) return [room, tunnel(saddle, seating, past)];
  const lead = flare(bed, {
    from: stop === 'start' ? from : saddle.from - 0.2,
    to: stop === 'end' ? to : saddle.to + 0.2,
    half: (s) => overTable(held, s, table).across + roomAcross(held, shop),
    top,
    more: LEAD_IN,
  });
  return [room, lead, tunnel(saddle, seating, past)];
}

/** Slices of the room on a bend out of level lap by this: far above the grid of files, and no step that shows. */
const SLICE_LAP: Mm = 0.003;

/** Underside of the tube's room over a stretch of a post: the lowest of its ends and middle. */
export function undersideOf(saddle: Pick<Saddle, 'held'>, places: readonly Mm[], { table, shop }: Seating): Mm {
  return Math.min(
    ...places.map((s) => {
      const { axis, half, flat } = overTable(saddle.held, s, table);
      const room = roomAcross(saddle.held, shop) / flat;
      const straight = axis - half - room;
      return bendsNear(saddle.held, s, table) ? Math.min(straight, underBend(saddle.held, s, table) - room) : straight;
    }),
  );
}

/** Whether a leaning tube bends within the stretch that lies over one place. */
function bendsNear({ member }: HeldPiece, s: Mm, table: Placement): boolean {
  const { centerline } = member;
  const reach = 2 * tubeReach(member);
  const [p, q] = [s - reach, s + reach].map((at) => frameAt(centerline, at).heading) as [Vec3, Vec3];
  return Math.abs(dot(p, table.z) - dot(q, table.z)) > 1e-9;
}

/** Places along a tube that tell where its underside runs. */
const UNDER_PLACES = 40;

/** Sine of the lean from which a tube counts as upright. */
const UPRIGHT = 0.999;

/** Height of a bend's underside straight below its axis at s: it belongs to a place farther along, which leans otherwise. */
function underBend(held: HeldPiece, s: Mm, table: Placement): Mm {
  const { member } = held;
  const { centerline } = member;
  const here = frameAt(centerline, s);
  const forward = along(here.heading, table.z, -dot(here.heading, table.z));
  const reach = 3 * tubeReach(member);
  const frames = Array.from({ length: UNDER_PLACES + 1 }, (_, i) => {
    const at = s + reach * ((2 * i) / UNDER_PLACES - 1);
    return { ...frameAt(centerline, at), section: sectionAt(member, at) };
  });
  // What stands upright has no underside.
  const leaning = frames.filter(({ heading }) => Math.abs(dot(heading, table.z)) < UPRIGHT);
  const under = leaning.map((frame) => {
    const across = unit(cross(table.z, frame.heading));
    const down = scale(cross(frame.heading, across), -1);
    const depth = reachToward(frame.section, [dot(down, frame.right), dot(down, frame.up)]);
    const p = sub(along(frame.origin, down, depth), here.origin);
    return { on: dot(p, forward), z: dot(sub(along(frame.origin, down, depth), table.origin), table.z) };
  });
  const heights = under.slice(1).flatMap((q, i) => {
    const p = under[i]!;
    return Math.min(p.on, q.on) <= 0 && Math.max(p.on, q.on) >= 0 ? [Math.min(p.z, q.z)] : [];
  });
  return heights.length > 0 ? Math.min(...heights) : Number.POSITIVE_INFINITY;
}

/** Height of stuff over the strap's tunnel: on a bend its room is as steep as it leans most, and a wall is measured square to it. */
export function roofOver({ held, from, to }: Pick<Saddle, 'held' | 'from' | 'to'>, { table }: Seating): Mm {
  const middle = (from + to) / 2;
  if (!bendsNear(held, middle, table)) return LEAST_WALL;
  return LEAST_WALL / Math.max(0.4, Math.min(...[from, middle, to].map((s) => overTable(held, s, table).flat)));
}

/** Height from the table that a post needs below the tube's room: a floor, the strap's tunnel and a wall over it. */
export const roomUnderTube = ({ strap }: Shop): Mm => 2 * LEAST_WALL + tunnelHeight(strap);

/** Shortest post that a strap goes through, with letters on both end faces. */
export const leastSaddle = ({ strap }: Shop): Mm => strap.width + 1 + 2 * (LEAST_WALL + LETTER_DEPTH);

/** Tunnel through the post under the tube: flat floor, roof at 45 degrees. */
function tunnel(saddle: Saddle, seating: Seating, past: Mm): Solid {
  const { held } = saddle;
  const { shop, table } = seating;
  const { strap } = shop;
  const bed = bedOf(saddle, seating);
  const stop = saddle.stop ? stopThickness(shop) : 0;
  const s = (saddle.from + saddle.to + (saddle.stop === 'start' ? stop : -stop)) / 2;
  const { flat } = overTable(held, s, table);
  const half = (strap.width + 1) / 2;
  const over = placesOn(held, { from: s - half / flat, to: s + half / flat });
  const apex = undersideOf(saddle, over, seating) - LEAST_WALL;
  const floor = apex - tunnelHeight(strap);
  const profile: readonly Vec2[] = [
    [-half, floor],
    [half, floor],
    [half, floor + strap.thickness + 0.5],
    [0, apex],
    [-half, floor + strap.thickness + 0.5],
  ];
  const frame = frameAt(held.member.centerline, s);
  const forward = unit(along(frame.heading, table.z, -dot(frame.heading, table.z)));
  const wide = postSide(held, saddle, seating) + past;
  const points = [-wide, wide].flatMap((x) =>
    profile.map(([y, z]) => unplace(table, along(inPlan(bed, frame, [x, z]), forward, y))),
  );
  return { kind: 'hull', name: `strap tunnel ${saddle.number}`, points };
}

/** The end face of a post that looks to the tube's start or end: where on the tube, its outward normal in the job, its half width, and whether it stands square to the tube. */
export function endFace(saddle: Saddle, to: EndName, seating: Seating) {
  const { held } = saddle;
  const { table } = seating;
  const s = to === 'start' ? saddle.from : saddle.to;
  const frame = frameAt(held.member.centerline, s);
  const forward = unit(along(frame.heading, table.z, -dot(frame.heading, table.z)));
  const out = to === 'start' ? scale(forward, -1) : forward;
  const level = liesLevel(held, saddle, seating);
  return {
    s,
    frame,
    out,
    side: isTapered(held.member) ? postSide(held, saddle, seating) : sideReach(held, s, seating),
    level,
  };
}
