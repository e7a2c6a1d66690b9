import { acosd } from '../geometry/angle.ts';
import { frameAt, segmentAt } from '../geometry/centerline.ts';
import { besideCenterline, solidDistance } from '../geometry/distance.ts';
import { type Placement, unplace, unplaceDirection } from '../geometry/placement.ts';
import { tapersOf, tubeReach } from '../geometry/tube-shape.ts';
import { along, type Deg, distance, dot, type Mm, sub, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Gathering, HeldPiece } from './fit-up-joints.ts';
import { headingAt } from './fit-up-joints.ts';
import { channelSpan, leastSaddle, liesLevel, overTable, postTops, type Seating, sideReach } from './fit-up-saddle.ts';
import { leanOver, MOST_LEAN } from './fit-up-table.ts';

import { type Extent, meet, type Rectangle } from './split.ts';

/** What stands in the way of a saddle at a place. */
export type InTheWay = 'end' | 'lean' | 'bend' | 'taper' | 'seam' | 'tube';

/** What a saddle is kept clear of. */
export interface Keeping extends Seating {
  readonly gathering: Gathering;
  /** Points of the seams, near enough to each other, in the table's coordinates. */
  readonly seams: readonly Vec3[];
  readonly heat: Mm;
  /** Length of a post along its tube, over the table. */
  readonly saddle: Mm;
  /** Feet of posts that nothing may overlap: set where posts come in pieces, which are pushed on beside each other. */
  readonly feet?: readonly Rectangle[];
  /** Each held piece from above: places along it, close to each other. */
  readonly plans: ReadonlyMap<HeldPiece, readonly Vec2[]>;
}

/** Spacing of the places along a piece. */
const PLAN_STEP: Mm = 10;

/** Spacing of the seam points looked at, and what that may hide. */
const SEAM_STEP: Mm = 1;
const HEAT_MARGIN: Mm = 0.1;
/** Air between a post and the way of another tube. */
const TUBE_MARGIN: Mm = 3;
/** Least step down in search of a tube below. */
const DOWN_STEP: Mm = 1;

export function keepingOf(
  seating: Seating,
  of: { readonly gathering: Gathering; readonly heat: Mm; readonly saddle: Mm },
): Keeping {
  const seams = of.gathering.seams.flatMap(thinned).map((p) => unplace(seating.table, p));
  const plans = new Map(of.gathering.pieces.map((held) => [held, planOf(held, seating)]));
  return { ...seating, ...of, saddle: Math.max(of.saddle, leastSaddle(seating.shop)), seams, plans };
}

function planOf({ member, piece }: HeldPiece, { table }: Seating): readonly Vec2[] {
  const count = Math.max(1, Math.ceil((piece.to - piece.from) / PLAN_STEP));
  return Array.from({ length: count + 1 }, (_, i) => {
    const s = piece.from + ((piece.to - piece.from) * i) / count;
    const [x, y] = unplace(table, frameAt(member.centerline, s).origin);
    return [x, y];
  });
}

/** Points of a line at least a step apart. */
function thinned(points: readonly Vec3[]): readonly Vec3[] {
  const kept: Vec3[] = [];
  for (const p of points) if (kept.length === 0 || distance(kept.at(-1)!, p) >= SEAM_STEP) kept.push(p);
  return kept;
}

/** Post about a middle, as s: as long over the table as asked for, however the tube leans. */
export function postAbout(held: HeldPiece, s: Mm, keeping: Keeping): { readonly from: Mm; readonly to: Mm } {
  const flat = Math.max(0.5, overTable(held, s, keeping.table).flat);
  const plain = keeping.saddle / 2 / flat;
  const half = plain * Math.max(...[s - plain, s, s + plain].map((at) => insideOfBend(held, at, keeping)));
  if (liesLevel(held, { from: s - half, to: s + half }, keeping)) return { from: s - half, to: s + half };
  return { from: s - overPlan(held, { s, way: -1, keeping }), to: s + overPlan(held, { s, way: 1, keeping }) };
}

/** How far along a tube out of level half a post reaches: until it is as long as half of it in plan. */
function overPlan(
  held: HeldPiece,
  { s, way, keeping }: { readonly s: Mm; readonly way: 1 | -1; keeping: Keeping },
): Mm {
  const { table } = keeping;
  const frame = frameAt(held.member.centerline, s);
  const flat = unplaceDirection(table, frame.heading);
  const long = Math.hypot(flat[0], flat[1]);
  const wanted = keeping.saddle / 2;
  const reached = (far: Mm): Mm => {
    const [x, y] = unplaceDirection(table, sub(frameAt(held.member.centerline, s + way * far).origin, frame.origin));
    return (way * (x * flat[0] + y * flat[1])) / long;
  };
  const straight = wanted / Math.max(0.5, long);
  if (Math.abs(reached(straight) - wanted) < 1e-9) return straight;
  let [low, high] = [wanted, 2 * wanted];
  for (let i = 0; i < 40; i++) {
    const middle = (low + high) / 2;
    if (reached(middle) < wanted) low = middle;
    else high = middle;
  }
  return high;
}

/** How much longer a post is along the centerline of a bend, so that it is as long as asked for on its inside. */
function insideOfBend(held: HeldPiece, s: Mm, keeping: Keeping): number {
  const { centerline } = held.member;
  const segment = segmentAt(centerline, Math.max(0, Math.min(centerline.length, s)));
  if (segment.kind !== 'bend') return 1;
  return 1 / Math.max(TIGHTEST, 1 - sideReach(held, s, keeping) / segment.clr);
}

/** Share of a bend's length that its inside is taken to have at the least; tighter ones have no room for posts anyway. */
const TIGHTEST = 0.3;

/** What stands in the way of a post, and how far along a straight tube it does so at the least. */
export interface Block {
  readonly why: InTheWay;
  readonly past: Mm;
}

/** The first thing in the way of a post over a stretch of a tube; undefined where it can stand. */
export function inTheWay(
  held: HeldPiece,
  span: { readonly from: Mm; readonly to: Mm; readonly stop?: boolean },
  keeping: Keeping,
): Block | undefined {
  const block = (why: InTheWay, past: Mm = 0): Block => ({ why, past });
  const { from, to, stop } = span;
  const { table } = keeping;
  const middle = (from + to) / 2;
  if (!stop && (from < held.from + 1 || to > held.to - 1)) return block('end');
  // A leaning tube touches the post with what lies lower along it.
  const room = channelSpan(held, span, table);
  const lean = Math.max(
    ...[room.from, from, middle, to, room.to].map((s) => leanOver(headingAt(held.member, s), table.z)),
  );
  if (lean > MOST_LEAN) return block('lean');
  if (turnWithin(held, span, keeping) > MOST_TURN) return block('bend');
  if (!liesLevel(held, span, keeping) && tapersWithin(held, room)) return block('taper');
  const tops = postTops(held, span, keeping);
  const tooNear = heatMissing(tops, { heading: headingAt(held.member, middle), keeping });
  if (tooNear > 0) return block('seam', tooNear);
  if (keeping.feet?.some((foot) => meet(foot, spanInPlan(tops, keeping.table), POST_GAP))) return block('tube');
  if (!keeping.gathering.pieces.some((other) => standsInWay(tops, { held, other, middle, keeping }))) return undefined;
  return block('tube');
}

/** Whether a stretch touches a taper; a saddle of slices, as a leaning tube has, would not lie on one evenly. */
const tapersWithin = ({ member }: HeldPiece, { from, to }: { readonly from: Mm; readonly to: Mm }): boolean =>
  tapersOf(member).some(({ s0, length }) => s0 < to && s0 + length > from);

/** Air between posts that stand side by side: a strap is threaded there. */
const POST_GAP: Mm = 3;

/** Rectangle round places seen from above. */
export function spanInPlan(places: readonly Vec3[], table: Placement): Rectangle {
  const plan = places.map((p) => unplace(table, p));
  const side = (k: 0 | 1): Extent => ({
    low: Math.min(...plan.map((p) => p[k])),
    high: Math.max(...plan.map((p) => p[k])),
  });
  return [side(0), side(1)];
}

/** A post over a tube that turns more than this within it would be no straight post. */
export const MOST_TURN: Deg = 45;

/** Turn of the tube from one end of a post to the other; a level bend's post follows it in plan, however far. */
function turnWithin(held: HeldPiece, span: { readonly from: Mm; readonly to: Mm }, keeping: Keeping): Deg {
  if (liesLevel(held, span, keeping)) return 0;
  const middle = headingAt(held.member, (span.from + span.to) / 2);
  return 2 * Math.max(...[span.from, span.to].map((s) => acosd(dot(headingAt(held.member, s), middle))));
}

/** By how much a seam is too near the post under these tops: a box along its tube from the table up. */
function heatMissing(
  tops: readonly Vec3[],
  { heading, keeping }: { readonly heading: Vec3; readonly keeping: Keeping },
): Mm {
  const { table, seams, heat } = keeping;
  const columns = tops.map((p) => unplace(table, p));
  const [hx, hy] = unplaceDirection(table, heading);
  const flat = Math.hypot(hx, hy);
  const forward = ([x, y]: Vec3): Mm => (x * hx + y * hy) / flat;
  const across = ([x, y]: Vec3): Mm => (x * hy - y * hx) / flat;
  const box = [forward, across].map((way) => {
    const values = columns.map(way);
    return { low: Math.min(...values), high: Math.max(...values) };
  }) as [Extent, Extent];
  const top = Math.max(...columns.map((p) => p[2]));
  const out = ({ low, high }: Extent, x: Mm): Mm => Math.max(low - x, x - high, 0);
  let least = (heat + HEAT_MARGIN) ** 2;
  for (const p of seams) {
    const over = Math.max(0, p[2] - top);
    const near = out(box[0], forward(p)) ** 2 + out(box[1], across(p)) ** 2 + over ** 2;
    if (near < least) least = near;
  }
  return heat + HEAT_MARGIN - Math.sqrt(least);
}

interface Standing {
  readonly held: HeldPiece;
  readonly other: HeldPiece;
  readonly middle: Mm;
  readonly keeping: Keeping;
}

/** Whether a post stands where another tube lies or comes down; of its own tube only what comes back to it counts. */
function standsInWay(tops: readonly Vec3[], { held, other, middle, keeping }: Standing): boolean {
  const { section, centerline } = other.member;
  const solid = { section, centerline };
  const reach = tubeReach(other.member);
  const own = other === held ? keeping.saddle + 2 * reach : 0;
  const up = keeping.table.z;
  if (isFarInPlan(tops, other, keeping)) return false;
  const lowest = lowestAxis(other, keeping) - 2 * reach - TUBE_MARGIN;
  return tops.some((top) => {
    let height = unplace(keeping.table, top)[2];
    let p = top;
    while (height > lowest) {
      const d = solidDistance(solid, p);
      if (d < TUBE_MARGIN) {
        const { s } = besideCenterline(centerline, section, p);
        if (s > other.piece.from && s < other.piece.to && Math.abs(s - middle) >= own) return true;
      }
      const step = Math.max(DOWN_STEP, d - TUBE_MARGIN);
      p = along(p, up, -step);
      height -= step;
    }
    return false;
  });
}

/** Whether a tube passes a post by, seen from above. */
function isFarInPlan(tops: readonly Vec3[], other: HeldPiece, { table, plans }: Keeping): boolean {
  const columns = tops.map((p) => unplace(table, p));
  const x = columns.reduce((sum, p) => sum + p[0], 0) / columns.length;
  const y = columns.reduce((sum, p) => sum + p[1], 0) / columns.length;
  const reach = Math.max(...columns.map((p) => Math.hypot(p[0] - x, p[1] - y)));
  const least = reach + tubeReach(other.member) + TUBE_MARGIN + PLAN_STEP;
  return (plans.get(other) ?? []).every((p) => Math.hypot(p[0] - x, p[1] - y) > least);
}

/** Lowest place of a centerline over the table: of its ends and of its bends' circles. */
function lowestAxis({ member }: HeldPiece, { table }: Keeping): Mm {
  return Math.min(
    ...member.centerline.segments.flatMap((segment) => {
      const ends = [segment.start, segment.end].map(({ origin }) => unplace(table, origin)[2]);
      return segment.kind === 'bend' ? [...ends, unplace(table, segment.center)[2] - segment.clr] : ends;
    }),
  );
}
