import { FOOT_CHAMFER, KEY_PLAY, LEAST_WALL, SPLIT_GAP } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import { between, type Columns, type Stretches } from './columns.ts';
import { type Border, bordersOf, KEY, KEY_ROOM, type KeySeat, type Rectangle, seatsOn } from './split.ts';

/** Hole for a dowel of 1.75 mm filament: radius, depth into either piece, and what a curved wall must be to hold one. */
export const DOWEL = { radius: 1.05, deep: 7, wall: 10 } as const;

/** One slice of a part between two heights, and the pieces it is parted into. */
export interface Level {
  readonly foot: Mm;
  readonly top: Mm;
  readonly cells: readonly Rectangle[];
}

/** A hole for a dowel across the plane that two pieces meet on. */
export interface DowelSeat {
  readonly axis: 0 | 1 | 2;
  /** In the plane. */
  readonly point: Vec3;
}

/** Two pieces that meet, by level and number on it: the first on the low side. Dovetails or dowels, never both. */
export interface Meeting {
  readonly first: readonly [number, number];
  readonly second: readonly [number, number];
  readonly axis: 0 | 1 | 2;
  readonly at: Mm;
  readonly dovetails: readonly KeySeat[];
  readonly dowels: readonly DowelSeat[];
}

/** What a dowel takes up: half its length with a wall past its end, and beside its axis. */
const LONG: Mm = DOWEL.deep + LEAST_WALL;
/** Lines through the part miss its sides by half their pitch. */
const BESIDE: Mm = DOWEL.radius + LEAST_WALL + 0.45;
/** Two dowels nearer than this do not keep pieces from turning against each other. */
const APART: Mm = 8;
/** Dowels of one face farther apart than this get another between them. */
const FAR: Mm = 110;
/** A key's flat top lies so far below a curved bore: farther than the bore itself may stand off the tube. */
const BELOW_BORE: Mm = 1.8;
/** A dovetail is at least and at most so tall: a taller one would bind on its way down. */
const KEY_TALL = { least: 6, most: 40 } as const;

type Room = readonly [readonly [Mm, Mm], readonly [Mm, Mm], readonly [Mm, Mm]];

/** Keys between all pieces of all levels: dovetails where every two pieces along a plane have stuff for them, else dowels. */
export function meetingsOf(columns: Columns, levels: readonly Level[]): readonly Meeting[] {
  const taken: Room[] = [];
  const sideways = levels.flatMap((level, l) => {
    const borders = bordersOf(level.cells);
    const planes = [...new Set(borders.map(({ axis, at }) => `${axis} ${at}`))];
    return planes.flatMap((plane) =>
      alongPlane(columns, {
        l,
        level,
        borders: borders.filter(({ axis, at }) => `${axis} ${at}` === plane),
        taken,
      }),
    );
  });
  const upward = levels.slice(1).flatMap((upper, l) =>
    levels[l]!.cells.flatMap((low, i) =>
      upper.cells.flatMap((high, j): readonly Meeting[] => {
        const dowels = dowelsUpward(columns, { low, high, at: upper.foot, taken });
        const meeting = { first: [l, i], second: [l + 1, j], axis: 2, at: upper.foot, dovetails: [], dowels } as const;
        return dowels.length > 0 ? [meeting] : [];
      }),
    ),
  );
  return [...sideways, ...upward];
}

function alongPlane(
  columns: Columns,
  of: { readonly l: number; readonly level: Level; readonly borders: readonly Border[]; readonly taken: Room[] },
): readonly Meeting[] {
  const { l, level, borders, taken } = of;
  const { cells } = level;
  const meeting = ({ first, second, axis, at }: Border) =>
    ({ first: [l, cells.indexOf(first)], second: [l, cells.indexOf(second)], axis, at }) as const;
  const touching = borders.filter((border) => touches(columns, border, level));
  const rooms: Room[] = [];
  const keyed = touching.map((border) => {
    const dovetails = dovetailsOn(columns, { border, level, taken: [...taken, ...rooms] });
    rooms.push(...dovetails.map((seat) => roomOf(seat, level)));
    return { border, dovetails };
  });
  if (keyed.length > 0 && keyed.every(({ dovetails }) => dovetails.length > 0)) {
    taken.push(...rooms);
    return keyed.map(({ border, dovetails }) => ({ ...meeting(border), dovetails, dowels: [] }));
  }
  return touching.flatMap((border): readonly Meeting[] => {
    const dowels = dowelsAcross(columns, { border, level, taken });
    return dowels.length > 0 ? [{ ...meeting(border), dovetails: [], dowels }] : [];
  });
}

const roomOf = ({ axis, at, along, open }: KeySeat, { foot }: Level): Room => {
  const across: readonly [Mm, Mm] = [at - LEAST_WALL, at + KEY_ROOM.beyond];
  const beside: readonly [Mm, Mm] = [along - KEY_ROOM.beside, along + KEY_ROOM.beside];
  const tall: readonly [Mm, Mm] = [foot, foot + (open ?? 0)];
  return axis === 0 ? [across, beside, tall] : [beside, across, tall];
};

/** Lines over a rectangle, each with its stretches in a level. */
function linesOver(columns: Columns, [xs, ys]: readonly [readonly [Mm, Mm], readonly [Mm, Mm]]): readonly Stretches[] {
  const { x0, y0, pitch, nx, ny, lines } = columns;
  // Half a pitch more on every side: the rectangle's rim lies between lines.
  const first = (low: Mm, from: Mm): number => Math.ceil((low - from) / pitch - 0.5);
  const last = (high: Mm, from: Mm): number => Math.floor((high - from) / pitch + 0.5);
  const out: Stretches[] = [];
  for (let j = first(ys[0], y0); j <= last(ys[1], y0); j++) {
    for (let i = first(xs[0], x0); i <= last(xs[1], x0); i++) {
      out.push(i < 0 || j < 0 || i >= nx || j >= ny ? [] : lines[j * nx + i]!);
    }
  }
  return out;
}

/** Heights at which all lines over a rectangle run through stuff. */
export function solidOver(columns: Columns, over: Parameters<typeof linesOver>[1], { foot, top }: Level): Stretches {
  let common: Stretches = [foot, top];
  for (const line of linesOver(columns, over)) {
    if (line.length === 0) return [];
    common = commonOf(common, line);
    if (common.length === 0) return [];
  }
  return common;
}

function commonOf(a: Stretches, b: Stretches): Stretches {
  // Nearly always one stretch of each, and asked for all over a part.
  if (a.length === 2 && b.length === 2) {
    if (b[0]! <= a[0]! && b[1]! >= a[1]!) return a;
    const [low, high] = [Math.max(a[0]!, b[0]!), Math.min(a[1]!, b[1]!)];
    return low < high ? [low, high] : [];
  }
  const out: Mm[] = [];
  for (let i = 0; i < a.length; i += 2) out.push(...between(b, a[i]!, a[i + 1]!));
  return out;
}

const spanAt = (axis: 0 | 1, across: readonly [Mm, Mm], beside: readonly [Mm, Mm]): Parameters<typeof linesOver>[1] =>
  axis === 0 ? [across, beside] : [beside, across];

/** Whether there is stuff on both sides of a border. */
function touches(columns: Columns, { axis, at, shared }: Border, level: Level): boolean {
  const { pitch } = columns;
  for (let a = shared.low + pitch; a < shared.high; a += pitch) {
    if (solidOver(columns, spanAt(axis, [at - 0.1, at + 0.1], [a, a]), level).length > 0) return true;
  }
  return false;
}

/** Dovetails on a border, heights from the foot of the level; the socket is open to the top of what stands over it. */
function dovetailsOn(
  columns: Columns,
  of: { readonly border: Border; readonly level: Level; readonly taken: readonly Room[] },
): readonly KeySeat[] {
  const { border, level, taken } = of;
  const { axis, at, second } = border;
  const { foot, top } = level;
  // The next piece goes on past the key.
  if (second[axis].high < at + KEY_ROOM.beyond + LEAST_WALL) return [];
  const room = (along: Mm, more: Mm): Parameters<typeof linesOver>[1] =>
    spanAt(
      axis,
      [at - 1 - more, at + KEY.long + KEY_PLAY + more],
      [along - KEY.head / 2 - KEY_PLAY - more, along + KEY.head / 2 + KEY_PLAY + more],
    );
  const heights = (along: Mm): readonly [Mm, Mm] | undefined => {
    const solid = solidOver(columns, room(along, LEAST_WALL + 0.5), level);
    if (solid.length < 2 || solid[0]! > foot + FOOT_CHAMFER / 2) return undefined;
    const own = linesOver(columns, room(along, 0)).map((line) => between(line, foot, top));
    const open = Math.max(...own.map((line) => line.at(-1) ?? foot));
    // Nothing may hang over the socket, or the key could not come down into it.
    if (own.some((line) => line.length !== 2)) return undefined;
    const flat = own.every((line) => Math.abs(line[1]! - open) < 1e-6);
    const high = Math.min(solid[1]! - (flat ? 0 : BELOW_BORE), top - SPLIT_GAP);
    return high - foot >= KEY_TALL.least ? [Math.min(high - foot, KEY_TALL.most), open - foot] : undefined;
  };
  const free = (along: Mm): boolean =>
    isFree(taken, roomOf({ axis, at, along, low: 0, high: top - foot, open: top - foot }, level)) &&
    heights(along) !== undefined;
  return seatsOn(border, { low: 0, high: 0, free }).map((seat) => {
    const [high, open] = heights(seat.along)!;
    return { ...seat, high, open };
  });
}

/** A place for a dowel: along the plane, and how high. */
interface Spot {
  readonly a: Mm;
  readonly b: Mm;
}

function dowelsAcross(
  columns: Columns,
  of: { readonly border: Border; readonly level: Level; readonly taken: Room[] },
): readonly DowelSeat[] {
  const { border, level, taken } = of;
  const { axis, at, shared } = border;
  const pointOf = ({ a, b }: Spot): Vec3 => (axis === 0 ? [at, a, b] : [a, at, b]);
  const groups: { at: Mm; low: Mm; high: Mm; spots: Spot[] }[] = [];
  for (let a = Math.ceil(shared.low + BESIDE); a <= shared.high - BESIDE; a += 0.5) {
    const solid = solidOver(columns, spanAt(axis, [at - LONG, at + LONG], [a - BESIDE, a + BESIDE]), level);
    for (let i = 0; i < solid.length; i += 2) {
      const [low, high] = [solid[i]! + BESIDE, solid[i + 1]! - BESIDE];
      if (high < low) continue;
      const heights = high - low > 6 ? [low + 2, (low + high) / 2, high - 2] : [(low + high) / 2];
      const spots = heights.map((b) => ({ a, b })).filter((spot) => isFree(taken, roomRound(axis, pointOf(spot))));
      const group = groups.find((one) => a - one.at <= 1 && one.low <= high && one.high >= low);
      if (group) {
        group.spots.push(...spots);
        [group.at, group.low, group.high] = [a, low, high];
      } else groups.push({ at: a, low, high, spots });
    }
  }
  const picked = chosen(groups.map(({ spots }) => spots));
  taken.push(...picked.map((spot) => roomRound(axis, pointOf(spot))));
  return picked.map((spot): DowelSeat => ({ axis, point: pointOf(spot) }));
}

const roomRound = (axis: 0 | 1 | 2, point: Vec3): Room => {
  const span = (k: 0 | 1 | 2): readonly [Mm, Mm] => {
    const half = k === axis ? LONG : BESIDE;
    return [point[k] - half, point[k] + half];
  };
  return [span(0), span(1), span(2)];
};

const isFree = (taken: readonly Room[], room: Room): boolean =>
  !taken.some((other) => ([0, 1, 2] as const).every((k) => other[k][0] < room[k][1] && other[k][1] > room[k][0]));

function dowelsUpward(
  columns: Columns,
  of: { readonly low: Rectangle; readonly high: Rectangle; readonly at: Mm; readonly taken: Room[] },
): readonly DowelSeat[] {
  const { low, high, at, taken } = of;
  const range = (k: 0 | 1): readonly [Mm, Mm] => [
    Math.max(low[k].low, high[k].low) + BESIDE,
    Math.min(low[k].high, high[k].high) - BESIDE,
  ];
  const [xs, ys] = [range(0), range(1)];
  const level: Level = { foot: at - LONG, top: at + LONG, cells: [] };
  const spots: Spot[] = [];
  for (let a = Math.ceil(xs[0]); a <= xs[1]; a += 2) {
    for (let b = Math.ceil(ys[0]); b <= ys[1]; b += 2) {
      const solid = solidOver(
        columns,
        [
          [a - BESIDE, a + BESIDE],
          [b - BESIDE, b + BESIDE],
        ],
        level,
      );
      if (solid.length !== 2 || solid[0]! > level.foot || solid[1]! < level.top) continue;
      if (isFree(taken, roomRound(2, [a, b, at]))) spots.push({ a, b });
    }
  }
  const seats = chosen([spots]).map((spot): DowelSeat => ({ axis: 2, point: [spot.a, spot.b, at] }));
  taken.push(...seats.map(({ point }) => roomRound(2, point)));
  return seats;
}

const apart = (p: Spot, q: Spot): Mm => Math.hypot(p.a - q.a, p.b - q.b);

/**
 * Of every group the two spots farthest apart, with one between where that is far, none nearer to another than two holes
 * with a wall between; none at all where those left together leave a turn.
 */
function chosen(groups: readonly (readonly Spot[])[]): readonly Spot[] {
  const picked: Spot[] = [];
  const take = (spot: Spot): void => {
    if (picked.every((other) => apart(other, spot) >= APART)) picked.push(spot);
  };
  for (const spots of groups) {
    const [first] = spots;
    if (!first) continue;
    const farthest = (from: Spot): Spot => spots.reduce((best, s) => (apart(s, from) > apart(best, from) ? s : best));
    const one = farthest(first);
    const other = farthest(one);
    if (apart(one, other) < APART) {
      take(spots[Math.floor(spots.length / 2)]!);
      continue;
    }
    take(one);
    take(other);
    const least = (s: Spot): Mm => Math.min(apart(s, one), apart(s, other));
    if (apart(one, other) > FAR) take(spots.reduce((best, s) => (least(s) > least(best) ? s : best)));
  }
  return picked.length > 1 ? picked : [];
}
