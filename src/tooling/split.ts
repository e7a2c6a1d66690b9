import { type Placement, placementFrom } from '../geometry/placement.ts';
import { FOOT_CHAMFER, KEY_PLAY, LEAST_WALL, SPLIT_GAP } from '../geometry/tolerance.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';

/** From one coordinate to another. */
export interface Extent {
  readonly low: Mm;
  readonly high: Mm;
}

/** Seen from above in print pose: along x, along y. */
export type Rectangle = readonly [Extent, Extent];

/** Whether two rectangles meet, or come nearer than a gap both ways. */
export const meet = (p: Rectangle, q: Rectangle, gap: Mm): boolean =>
  ([0, 1] as const).every((k) => p[k].low < q[k].high + gap && q[k].low < p[k].high + gap);

/** A part seen from above in its print pose, and what parting it has to respect. */
export interface Splittable {
  readonly size: Rectangle;
  /** What no plane may pass through: posts, saddles, slots, bores, letters. */
  readonly whole: readonly Rectangle[];
  /** Room on the bed, x and y. */
  readonly bed: readonly [Mm, Mm];
  /** Shortest side of a piece worth having. */
  readonly least: Mm;
  /** A slab may be made as narrow as what must stay whole in it with this much round it; without it nothing is left off. */
  readonly round?: Mm;
}

/** Two cells that meet on an upright plane: square to which axis, where, and from where to where along it. The first lies on its low side. */
export interface Border {
  readonly first: Rectangle;
  readonly second: Rectangle;
  readonly axis: 0 | 1;
  readonly at: Mm;
  readonly shared: Extent;
}

/** A dovetail across a border: on which axis and where the plane stands, where along it, and from which height to which. */
export interface KeySeat {
  readonly axis: 0 | 1;
  readonly at: Mm;
  readonly along: Mm;
  readonly low: Mm;
  readonly high: Mm;
  /** Stuff over the socket's piece of the key reaches up to here: the socket is open through it. */
  readonly open?: Mm;
}

/** Dovetail seen from above: width at the plane, at its head, and how far it reaches into the next piece. */
export const KEY = { neck: 5, head: 11, long: 5 } as const;
/** Solid stuff that a key needs on either side of its middle along the plane, and beyond the plane. */
export const KEY_ROOM = {
  beside: KEY.head / 2 + KEY_PLAY + LEAST_WALL,
  beyond: KEY.long + KEY_PLAY + LEAST_WALL,
} as const;
/** A shared border this long is keyed at two places. */
const TWO_KEYS: Mm = 70;

/**
 * The cells of the fewest pieces that all fit the bed with their keys: slabs one way, each parted by itself the other
 * way, as evenly as what must stay whole allows. One cell where the part fits as it is; undefined where no planes do.
 */
export function chooseSplit(part: Splittable): readonly Rectangle[] | undefined {
  const ways = ([0, 1] as const).flatMap((axis) =>
    ([0, 1] as const).map((turned) => slabs(part, { axis, bed: turned ? [part.bed[1], part.bed[0]] : part.bed })),
  );
  return ways.reduce((best, way) => (best && (!way || best.length <= way.length) ? best : way), undefined);
}

/** Slabs across one axis, each parted along the other; more slabs where fewer cannot all be parted. */
function slabs(
  { size, whole, least, round }: Splittable,
  { axis, bed }: { readonly axis: 0 | 1; readonly bed: readonly [Mm, Mm] },
): readonly Rectangle[] | undefined {
  const other = axis === 0 ? 1 : 0;
  const partedAt = (cuts: readonly Mm[]): readonly Rectangle[] | undefined => {
    const rows = spans(size[axis], cuts).map((slab) => {
      const inSlab = whole.filter((kept) => kept[axis].low < slab.high && kept[axis].high > slab.low);
      const part = (width: Extent): readonly Extent[] | undefined => {
        const [across] = waysAlong(width, { whole: inSlab.map((kept) => kept[other]), most: bed[other], least });
        return across && spans(width, across);
      };
      const full = part(size[other]);
      const narrow =
        full?.length === 1 || round === undefined
          ? undefined
          : part(narrowed(size[other], { inSlab, axis: other, least, round }));
      const cells = narrow && (!full || narrow.length < full.length) ? narrow : full;
      return cells?.map((x): Rectangle => (axis === 0 ? [slab, x] : [x, slab]));
    });
    return rows.every((row) => row !== undefined) ? rows.flat() : undefined;
  };
  const ways = waysAlong(size[axis], { whole: whole.map((kept) => kept[axis]), most: bed[axis], least });
  return ways.map(partedAt).find((cells) => cells !== undefined);
}

/** As wide as what a slab holds. */
function narrowed(
  size: Extent,
  of: { readonly inSlab: readonly Rectangle[]; readonly axis: 0 | 1; readonly least: Mm; readonly round: Mm },
): Extent {
  if (of.inSlab.length === 0) return size;
  const low = Math.max(size.low, Math.floor(Math.min(...of.inSlab.map((kept) => kept[of.axis].low)) - of.round));
  const high = Math.min(size.high, Math.ceil(Math.max(...of.inSlab.map((kept) => kept[of.axis].high)) + of.round));
  return high - low >= of.least ? { low, high } : size;
}

const spans = ({ low, high }: Extent, cuts: readonly Mm[]): readonly Extent[] => {
  const marks = [low, ...cuts, high];
  return marks.slice(1).map((to, i) => ({ low: marks[i]!, high: to }));
};

interface Along {
  readonly whole: readonly Extent[];
  readonly most: Mm;
  readonly least: Mm;
}

/** Ways to cut a stretch into pieces that fit, the fewest pieces first. */
function waysAlong({ low, high }: Extent, { whole, most, least }: Along): readonly (readonly Mm[])[] {
  const longest = most - KEY.long - SPLIT_GAP;
  const free = (at: Mm): boolean => whole.every((kept) => at <= kept.low || at >= kept.high);
  const places = [...whole.flatMap((kept) => [kept.low, kept.high]), ...steps(low, high)].filter(free);
  const fewest = Math.max(2, Math.ceil((high - low) / longest));
  const counts = Array.from({ length: MORE_PIECES + 1 }, (_, i) => fewest + i);
  const parted = counts.flatMap((pieces) => {
    const cuts = evenCuts({ low, high }, { places, pieces, longest, least });
    return cuts ? [cuts] : [];
  });
  return high - low <= most ? [[], ...parted] : parted;
}

/** So many more pieces than the fewest are tried. */
const MORE_PIECES = 3;

/** Every whole millimeter strictly inside. */
const steps = (low: Mm, high: Mm): readonly Mm[] =>
  Array.from({ length: Math.max(0, Math.ceil(high - low) - 1) }, (_, i) => low + i + 1);

function evenCuts(
  { low, high }: Extent,
  of: { readonly places: readonly Mm[]; readonly pieces: number; readonly longest: Mm; readonly least: Mm },
): readonly Mm[] | undefined {
  const cuts: Mm[] = [];
  for (let i = 1; i < of.pieces; i++) {
    const before = cuts.at(-1) ?? low;
    const wanted = before + (high - before) / (of.pieces - i + 1);
    const left = of.pieces - i;
    const fits = of.places.filter(
      (at) =>
        at - before <= of.longest &&
        at - before >= of.least &&
        high - at <= left * of.longest &&
        high - at >= left * of.least,
    );
    const [first, ...others] = fits;
    if (first === undefined) return undefined;
    cuts.push(others.reduce((best, at) => (Math.abs(at - wanted) < Math.abs(best - wanted) ? at : best), first));
  }
  return cuts;
}

/** Every two cells that meet, the one on the low side first. */
export function bordersOf(cells: readonly Rectangle[]): readonly Border[] {
  return cells.flatMap((first) =>
    cells.flatMap((second) =>
      ([0, 1] as const).flatMap((axis): readonly Border[] => {
        const other = axis === 0 ? 1 : 0;
        const low = Math.max(first[other].low, second[other].low);
        const high = Math.min(first[other].high, second[other].high);
        if (first[axis].high !== second[axis].low || high - low <= 0) return [];
        return [{ first, second, axis, at: first[axis].high, shared: { low, high } }];
      }),
    ),
  );
}

/** Places of keys along a border where `free` says that there is stuff enough: two toward the ends of a long one, one on a short one. */
export function seatsOn(
  { axis, at, shared }: Border,
  { low, high, free }: { readonly low: Mm; readonly high: Mm; readonly free: (along: Mm) => boolean },
): readonly KeySeat[] {
  const places = steps(shared.low + KEY_ROOM.beside, shared.high - KEY_ROOM.beside).filter(free);
  const shares = shared.high - shared.low >= TWO_KEYS ? [0.22, 0.78] : [0.5];
  const wanted = shares.map((share) => shared.low + share * (shared.high - shared.low));
  const chosen = wanted.flatMap((place) => {
    const [first, ...others] = places;
    return first === undefined
      ? []
      : [others.reduce((best, other) => (Math.abs(other - place) < Math.abs(best - place) ? other : best), first)];
  });
  const apart = chosen.filter((along, i) => i === 0 || along - chosen[0]! >= 2 * KEY_ROOM.beside);
  return apart.map((along) => ({ axis, at, along, low, high }));
}

/** An edge of a cell. */
export interface CellEdge {
  readonly axis: 0 | 1;
  readonly edge: 'low' | 'high';
}

export const CELL_EDGES: readonly CellEdge[] = ([0, 1] as const).flatMap((axis) =>
  (['low', 'high'] as const).map((edge) => ({ axis, edge })),
);

/** Whether an edge of a cell lies on no plane that parts it from others, also not on one that parts its neighbors. */
export const isOuter = (cell: Rectangle, { axis, edge }: CellEdge, borders: readonly Border[]): boolean =>
  !borders.some((border) => border.axis === axis && border.at === cell[axis][edge]);

/**
 * What lies in one cell, with the dovetails it has of its own and the sockets for its neighbors'. Keys are upright prisms:
 * pieces come together from above. The tail belongs to the piece on the low side of the plane.
 */
export function pieceIn(
  solid: Solid,
  of: {
    readonly cell: Rectangle;
    readonly cells: readonly Rectangle[];
    readonly seats: readonly KeySeat[];
    /** Height it is cut off at. */
    readonly top?: Mm;
  },
): Solid {
  const { cell, cells, seats, top } = of;
  const borders = bordersOf(cells);
  const mine = (seat: KeySeat, edge: 'low' | 'high'): boolean => {
    const other = cell[seat.axis === 0 ? 1 : 0];
    return seat.at === cell[seat.axis][edge] && seat.along > other.low && seat.along < other.high;
  };
  const tails = seats.filter((seat) => mine(seat, 'high')).map(tail);
  const sockets = seats.filter((seat) => mine(seat, 'low')).flatMap(socket);
  const made = (whole: Solid): Solid => {
    const inside: Solid = {
      kind: 'intersect',
      name: 'piece',
      of: [whole, cellRoom(cell, { borders, top: top ?? TALL })],
    };
    const body: Solid = tails.length > 0 ? { kind: 'union', name: 'piece and keys', of: [inside, ...tails] } : inside;
    return sockets.length > 0 ? { kind: 'subtract', name: 'piece', from: body, cuts: sockets } : body;
  };
  const [first, ...others] = solid.kind === 'either' ? solid.of : [solid];
  return others.length > 0 ? { kind: 'either', name: solid.name, of: [made(first), ...others.map(made)] } : made(first);
}

/** Taller than any print, mm. */
const TALL = 3000;

/** The cell's room: set back where it meets a neighbor, and at its foot once more by the chamfer. */
function cellRoom(cell: Rectangle, { borders, top }: { readonly borders: readonly Border[]; readonly top: Mm }): Solid {
  const back = (edge: CellEdge): Mm => (isOuter(cell, edge, borders) ? 0 : SPLIT_GAP / 2);
  const side = (axis: 0 | 1, more: Mm): readonly [Mm, Mm] => [
    cell[axis].low + back({ axis, edge: 'low' }) + more,
    cell[axis].high - back({ axis, edge: 'high' }) - more,
  ];
  const ring = (z: Mm, more: Mm): readonly Vec3[] =>
    side(0, more).flatMap((x) => side(1, more).map((y): Vec3 => [x, y, z]));
  return {
    kind: 'hull',
    name: 'room of the piece',
    points: [...ring(0, FOOT_CHAMFER), ...ring(FOOT_CHAMFER, 0), ...ring(top, 0)],
  };
}

/** Axes of a key: x across the plane into the piece on its high side, y along the plane. */
const seatAt = ({ axis, at, along }: KeySeat): Placement =>
  axis === 0
    ? placementFrom([at, along, 0], [0, 0, 1], [1, 0, 0])
    : placementFrom([along, at, 0], [0, 0, 1], [0, 1, 0]);

/** Corners of the key grown by `more`, from `root` before the plane on. */
function outline(more: Mm, root: Mm): readonly Vec2[] {
  const { neck, head, long } = KEY;
  const slope = (head - neck) / 2 / long;
  // Flanks moved out square to themselves.
  const wide = (x: Mm): Mm => neck / 2 + slope * x + more * Math.hypot(1, slope);
  const end = long + more;
  return [
    [-root, -wide(0)],
    [0, -wide(0)],
    [end, -wide(end)],
    [end, wide(end)],
    [0, wide(0)],
    [-root, wide(0)],
  ];
}

function tail(seat: KeySeat): Solid {
  const chamfered = seat.low === 0;
  return key('key', seat, [
    ...(chamfered ? [[0, outlineOf(-FOOT_CHAMFER)] as const] : []),
    [seat.low + (chamfered ? FOOT_CHAMFER : 0), outlineOf(0)],
    [seat.high, outlineOf(0)],
  ]);
}

const outlineOf = (more: Mm): readonly Vec2[] => outline(more, 1);

function socket(seat: KeySeat): readonly Solid[] {
  const room = outline(KEY_PLAY, 1);
  const through = key('key socket', seat, [
    [seat.low - 1, room],
    [(seat.open ?? seat.high) + 1, room],
  ]);
  if (seat.low !== 0) return [through];
  // Flared at its foot, where the first layers squeeze inward.
  const flare = outline(KEY_PLAY + FOOT_CHAMFER + 0.2, 1);
  return [
    through,
    key('flare of the key socket', seat, [
      [-1, flare],
      [0.2, flare],
      [FOOT_CHAMFER + 0.2, outline(KEY_PLAY + 0.01, 1)],
    ]),
  ];
}

/** Hulls of the key's two halves would be one only where it is convex: neck and head are hulled apart. */
function key(name: string, seat: KeySeat, layers: readonly (readonly [Mm, readonly Vec2[]])[]): Solid {
  const at = seatAt(seat);
  const points = (keep: (x: Mm) => boolean): readonly Vec3[] =>
    layers.flatMap(([z, corners]) =>
      corners
        .filter(([x]) => keep(x))
        .map(([x, y]): Vec3 => [at.origin[0] + at.x[0] * x + at.y[0] * y, at.origin[1] + at.x[1] * x + at.y[1] * y, z]),
    );
  return {
    kind: 'union',
    name,
    of: [
      { kind: 'hull', name: `${name} at the plane`, points: points((x) => x <= 0) },
      { kind: 'hull', name: `${name} head`, points: points((x) => x >= 0) },
    ],
  };
}
