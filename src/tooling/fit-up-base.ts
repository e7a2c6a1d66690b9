import { frameAt } from '../geometry/centerline.ts';
import { IDENTITY, unplace } from '../geometry/placement.ts';
import { FOOT_CHAMFER } from '../geometry/tolerance.ts';
import { tubeReach } from '../geometry/tube-shape.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import type { Keeping } from './fit-up-clear.ts';
import { footprint, overTable, roomUnderTube, type Saddle, tubeRoom } from './fit-up-saddle.ts';
import { bordersOf, chooseSplit, type Extent, KEY_ROOM, type KeySeat, meet, type Rectangle, seatsOn } from './split.ts';

/** Thickness of the base, and width of its rails. */
export const BASE: Mm = 7;
export const RAIL: Mm = 18;
/** Base left round the posts; and between a post and a plane of a split: best with room for keys everywhere. */
const ROUND: Mm = 5;
const BESIDE_PLANE: readonly Mm[] = [KEY_ROOM.beyond + 0.5, 1.5];
/** Shortest side of a base, and of a piece of one. */
const LEAST_SIDE: Mm = 2 * RAIL + 20;
const LEAST_PIECE: Mm = 2 * RAIL + 4;
/** Windows narrower than this are not worth cutting. */
const LEAST_WINDOW: Mm = 12;

/** One base on the table: a rectangle along the table's axes, its saddles, and the planes it is parted on where it is too large. */
export interface Base {
  readonly size: Rectangle;
  readonly saddles: readonly Saddle[];
  readonly joints: readonly string[];
  /** The rectangles it is parted into; itself where it fits the bed. */
  readonly cells: readonly Rectangle[];
}

export interface Standing {
  readonly saddle: Saddle;
  readonly joints: readonly string[];
}

/** Saddles of joints whose bases would overlap share one. */
export function groupBases(standing: readonly Standing[], keeping: Keeping): readonly Omit<Base, 'cells'>[] {
  let groups = [...new Set(standing.flatMap(({ joints }) => joints))].map((joint) =>
    baseOf(
      standing.filter(({ joints }) => joints.includes(joint)),
      keeping,
    ),
  );
  for (;;) {
    const pair = groups.flatMap((p, i) =>
      groups.slice(i + 1).flatMap((q) => (meet(p.size, q.size, 2) ? [[p, q]] : [])),
    )[0];
    if (!pair) return groups;
    const [p, q] = pair as [Omit<Base, 'cells'>, Omit<Base, 'cells'>];
    const members = standing.filter(({ saddle }) => p.saddles.includes(saddle) || q.saddles.includes(saddle));
    groups = groups.flatMap((group) => (group === p ? [baseOf(members, keeping)] : group === q ? [] : [group]));
  }
}

function baseOf(standing: readonly Standing[], keeping: Keeping): Omit<Base, 'cells'> {
  const saddles = standing.map(({ saddle }) => saddle);
  const corners = saddles.flatMap((saddle) => footprint(saddle, keeping));
  const side = (k: 0 | 1): Extent => {
    const { low, high } = spanOf(corners, k);
    // Whole millimeters: a person measures from the edges.
    const [from, to] = [Math.floor(low - ROUND), Math.ceil(high + ROUND)];
    const short = Math.max(0, Math.ceil((LEAST_SIDE - (to - from)) / 2));
    return { low: from - short, high: to + short };
  };
  return { size: [side(0), side(1)], saddles, joints: [...new Set(standing.flatMap(({ joints }) => joints))] };
}

const spanOf = (points: readonly Vec2[], k: 0 | 1): Extent => ({
  low: Math.min(...points.map((p) => p[k])),
  high: Math.max(...points.map((p) => p[k])),
});

/**
 * The highest the bench may stand, on the table's upright axis: seams, straps and the tubes over these bases, or all tubes,
 * have their room.
 */
export function benchUnder(
  sizes: readonly Rectangle[] | undefined,
  keeping: Keeping,
): { readonly bench: Mm; readonly lowest: Mm } {
  const seams = keeping.seams.map((p) => p[2] - keeping.heat - 1 - BASE);
  const tubes = (sizes ?? [EVERYWHERE]).flatMap((size) =>
    keeping.gathering.pieces.flatMap((held) => undersidesOver(held, size, keeping)),
  );
  const lowest = Math.min(...tubes);
  return { bench: Math.min(...seams, lowest - tubeRoom(keeping.shop) - roomUnderTube(keeping.shop) - BASE), lowest };
}

const EVERYWHERE: Rectangle = [
  { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
  { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
];

/** Underside of a tube every few millimeters of what of it lies over a base. */
function undersidesOver(
  { member, piece, ...rest }: Keeping['gathering']['pieces'][number],
  size: Rectangle,
  { table }: Keeping,
): readonly Mm[] {
  const held = { member, piece, ...rest };
  const count = Math.max(1, Math.ceil((piece.to - piece.from) / 4));
  const reach = tubeReach(member);
  return Array.from({ length: count + 1 }, (_, i) => piece.from + ((piece.to - piece.from) * i) / count).flatMap(
    (s) => {
      const [x, y] = unplace(table, frameAt(member.centerline, s).origin);
      const over =
        x > size[0].low - reach && x < size[0].high + reach && y > size[1].low - reach && y < size[1].high + reach;
      if (!over) return [];
      const { axis, half, flat } = overTable(held, s, table);
      // A tube that stands up reaches down no farther than its own end.
      return [axis - (flat > 0.3 ? half : reach)];
    },
  );
}

/** A base parted into pieces that fit the bed and are keyed to one another; undefined where its posts leave no place for that. */
export function partedBase(base: Omit<Base, 'cells'>, keeping: Keeping): Base | undefined {
  const [x, y] = keeping.shop.printer.bed;
  for (const beside of BESIDE_PLANE) {
    const whole = base.saddles.map((saddle) => boxRound(saddle, keeping, beside));
    const cells = chooseSplit({ size: base.size, whole, bed: [x - 1, y - 1], least: LEAST_PIECE, round: ROUND - 1.5 });
    const parted = cells && { ...base, cells };
    if (parted && isKeyed(parted, keeping)) return withoutEmpty(parted, keeping);
  }
  return undefined;
}

/** Rectangle round a post. */
export function boxRound(saddle: Saddle, keeping: Keeping, more: Mm): Rectangle {
  const corners = footprint(saddle, keeping);
  return [grown(spanOf(corners, 0), more), grown(spanOf(corners, 1), more)];
}

const grown = ({ low, high }: Extent, more: Mm): Extent => ({ low: low - more, high: high + more });

/** Dovetails across the borders of a base's pieces, where no post stands. */
export function keySeats(base: Base, keeping: Keeping): readonly KeySeat[] {
  const borders = bordersOf(base.cells);
  if (borders.length === 0) return [];
  const posts = base.saddles.map((saddle) => boxRound(saddle, keeping, 0));
  return borders.flatMap((border) => {
    const other = border.axis === 0 ? 1 : 0;
    const free = (along: Mm): boolean =>
      posts.every((post) => {
        const near = post[border.axis].low < border.at + KEY_ROOM.beyond && post[border.axis].high > border.at - 1;
        return !near || along < post[other].low - KEY_ROOM.beside || along > post[other].high + KEY_ROOM.beside;
      });
    return seatsOn(border, { low: 0, high: BASE, free });
  });
}

/** Whether every piece is keyed to the others: by way of neighbors all hang together. */
function isKeyed(base: Base, keeping: Keeping): boolean {
  const borders = bordersOf(base.cells);
  const seats = keySeats(base, keeping);
  const held = borders.filter(({ axis, at, shared }) =>
    seats.some((seat) => seat.axis === axis && seat.at === at && seat.along > shared.low && seat.along < shared.high),
  );
  let together = new Set(base.cells.slice(0, 1));
  for (let before = 0; before < together.size; ) {
    before = together.size;
    together = new Set([
      ...together,
      ...held.flatMap(({ first, second }) => (together.has(first) || together.has(second) ? [first, second] : [])),
    ]);
  }
  return together.size === base.cells.length;
}

/** A base less the pieces that carry no post, where the others hang together without them. */
function withoutEmpty(base: Base, keeping: Keeping): Base {
  const used = cellsWithSaddles(base, keeping).flatMap(({ cell, saddles }) => (saddles.length > 0 ? [cell] : []));
  const less = { ...base, cells: used };
  return isKeyed(less, keeping) ? less : base;
}

/** The corner all is measured from: of the first piece, on the low side of both axes. */
export const cornerOf = ({ cells }: Base): Vec2 => [cells[0]![0].low, cells[0]![1].low];

/** Cells of a base with the saddles that stand in each. */
export function cellsWithSaddles(
  base: Base,
  keeping: Keeping,
): readonly { readonly cell: Rectangle; readonly saddles: readonly Saddle[] }[] {
  return base.cells.map((cell) => ({
    cell,
    saddles: base.saddles.filter((saddle) => {
      const corners = footprint(saddle, keeping);
      return ([0, 1] as const).every((k) => {
        const { low, high } = spanOf(corners, k);
        return low >= cell[k].low && high <= cell[k].high;
      });
    }),
  }));
}

/** The base under one cell: whole, or rails round it and under each post. Its foot is chamfered on the outside. */
export function basePlate(
  base: Base,
  of: {
    readonly cell: Rectangle;
    readonly saddles: readonly Saddle[];
    readonly keeping: Keeping;
    readonly kind: 'frame' | 'plate';
  },
): Solid {
  const { size } = base;
  const ring = (z: Mm, back: Mm): readonly Vec3[] =>
    [size[0].low + back, size[0].high - back].flatMap((x) =>
      [size[1].low + back, size[1].high - back].map((y): Vec3 => [x, y, z]),
    );
  const plate: Solid = {
    kind: 'hull',
    name: 'base',
    points: [...ring(0, FOOT_CHAMFER), ...ring(FOOT_CHAMFER, 0), ...ring(BASE, 0)],
  };
  const cuts = windows(of).map(
    ([x, y], i): Solid => ({
      kind: 'prism',
      name: `window ${i + 1}`,
      loops: [
        [
          [x.low, y.low],
          [x.high, y.low],
          [x.high, y.high],
          [x.low, y.high],
        ],
      ],
      height: BASE + 2,
      at: { ...IDENTITY, origin: [0, 0, -1] },
    }),
  );
  return cuts.length > 0 ? { kind: 'subtract', name: 'frame', from: plate, cuts } : plate;
}

/** Openings of a cell's frame: all of its inside, less a crossbar the short way under every post that stands on no rail. */
export function windows({
  cell,
  saddles,
  keeping,
  kind,
}: {
  readonly cell: Rectangle;
  readonly saddles: readonly Saddle[];
  readonly keeping: Keeping;
  readonly kind: 'frame' | 'plate';
}): readonly Rectangle[] {
  if (kind === 'plate') return [];
  const inside = ([0, 1] as const).map((k): Extent => ({ low: cell[k].low + RAIL, high: cell[k].high - RAIL }));
  const wide = inside.map(({ low, high }) => high - low);
  if (wide.some((x) => x < LEAST_WINDOW)) return [];
  const long = wide[0]! >= wide[1]! ? 0 : 1;
  const short = long === 0 ? 1 : 0;
  const bars = saddles.flatMap((saddle): readonly Extent[] => {
    const corners = footprint(saddle, keeping);
    const middle = ([0, 1] as const).map((k) => (spanOf(corners, k).low + spanOf(corners, k).high) / 2);
    const onRail = ([0, 1] as const).some((k) => middle[k]! < inside[k]!.low - 1 || middle[k]! > inside[k]!.high + 1);
    return onRail ? [] : [{ low: middle[long]! - RAIL / 2, high: middle[long]! + RAIL / 2 }];
  });
  return gaps(inside[long]!, bars).map(
    (gap): Rectangle => (long === 0 ? [gap, inside[short]!] : [inside[short]!, gap]),
  );
}

/** What is left of a stretch between bars, without slits. */
function gaps({ low, high }: Extent, bars: readonly Extent[]): readonly Extent[] {
  const sorted = [...bars].sort((p, q) => p.low - q.low);
  const free: Extent[] = [];
  let from = low;
  for (const bar of sorted) {
    if (bar.low - from >= LEAST_WINDOW) free.push({ low: from, high: bar.low });
    from = Math.max(from, bar.high);
  }
  if (high - from >= LEAST_WINDOW) free.push({ low: from, high });
  return free;
}
