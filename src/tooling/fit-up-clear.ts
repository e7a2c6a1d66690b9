import { frameAt, segmentAt } from '../geometry/centerline.ts';
import { besideCenterline, solidDistance } from '../geometry/distance.ts';
import { unplace, unplaceDirection } from '../geometry/placement.ts';
import { sectionReach } from '../geometry/section.ts';
import { along, distance, type Mm, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Gathering, HeldPiece } from './fit-up-joints.ts';
import { headingAt } from './fit-up-joints.ts';
import { channelPast, leastSaddle, liesLevel, overTable, postTops, type Seating, sideReach } from './fit-up-saddle.ts';
import { leanOver, MOST_LEAN } from './fit-up-table.ts';

import type { Extent } from './split.ts';

/** What stands in the way of a saddle at a place. */
export type InTheWay = 'end' | 'lean' | 'bend' | 'seam' | 'tube';

/** What a saddle is kept clear of. */
export interface Keeping extends Seating {
  readonly gathering: Gathering;
  /** Points of the seams, near enough to each other, in the table's coordinates. */
  readonly seams: readonly Vec3[];
  readonly heat: Mm;
  /** Length of a post along its tube, over the table. */
  readonly saddle: Mm;
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
  return { from: s - half, to: s + half };
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

/** The first thing in the way of a post over a stretch of a tube; undefined where it can stand. */
export function inTheWay(
  held: HeldPiece,
  span: { readonly from: Mm; readonly to: Mm; readonly stop?: boolean },
  keeping: Keeping,
): InTheWay | undefined {
  const { from, to, stop } = span;
  const { table } = keeping;
  const middle = (from + to) / 2;
  if (!stop && (from < held.from + 1 || to > held.to - 1)) return 'end';
  const lean = Math.max(...[from, middle, to].map((s) => leanOver(headingAt(held.member, s), table.z)));
  if (lean > MOST_LEAN) return 'lean';
  const past = channelPast(held, middle, table);
  const whole = { from: from - past, to: to + past };
  if (!liesLevel(held, whole, keeping) && !onOneStraight(held, whole)) return 'bend';
  const tops = postTops(held, span, keeping);
  if (tooHot(tops, { heading: headingAt(held.member, middle), keeping })) return 'seam';
  return keeping.gathering.pieces.some((other) => standsInWay(tops, { held, other, middle, keeping }))
    ? 'tube'
    : undefined;
}

/** Whether a stretch lies on one straight, or on the straight that goes on past a drawn end. */
function onOneStraight({ member }: HeldPiece, { from, to }: { readonly from: Mm; readonly to: Mm }): boolean {
  const { segments } = member.centerline;
  return segments.some((segment, i) => {
    const low = i === 0 ? Number.NEGATIVE_INFINITY : segment.s0;
    const high = i === segments.length - 1 ? Number.POSITIVE_INFINITY : segment.s0 + segment.length;
    return segment.kind === 'straight' && from >= low && to <= high;
  });
}

/** Whether a seam comes near the post under these tops: a box along its tube from the table up. */
function tooHot(
  tops: readonly Vec3[],
  { heading, keeping }: { readonly heading: Vec3; readonly keeping: Keeping },
): boolean {
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
  const least = (heat + HEAT_MARGIN) ** 2;
  const out = ({ low, high }: Extent, x: Mm): Mm => Math.max(low - x, x - high, 0);
  return seams.some((p) => {
    const over = Math.max(0, p[2] - top);
    return out(box[0], forward(p)) ** 2 + out(box[1], across(p)) ** 2 + over ** 2 < least;
  });
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
  const own = other === held ? keeping.saddle + 2 * sectionReach(section) : 0;
  const up = keeping.table.z;
  if (isFarInPlan(tops, other, keeping)) return false;
  const lowest = lowestAxis(other, keeping) - 2 * sectionReach(section) - TUBE_MARGIN;
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
  const least = reach + sectionReach(other.member.section) + TUBE_MARGIN + PLAN_STEP;
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
