import { frameAt } from '../geometry/centerline.ts';
import { unplace } from '../geometry/placement.ts';
import { FOOT_CHAMFER, KEY_PLAY, LEAST_WALL } from '../geometry/tolerance.ts';
import { along, cross, dot, type Mm, unit, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import {
  liesLevel,
  overTable,
  postSide,
  type Rise,
  roofOver,
  roomUnderTube,
  type Saddle,
  type Seating,
  undersideOf,
} from './fit-up-saddle.ts';

/** A printed post higher than this sways under its tube. */
export const MOST_TALL: Mm = 450;

/** Tenon on top of a piece of a post: how high, how far from the post's sides, and how wide at most. */
const TENON = { high: 12, back: 5, wide: 24, chamfer: 1 } as const;
/** Room over a tenon in its socket, below the roof. */
const OVER_TENON: Mm = 0.5;

/**
 * Heights of the pieces a post is printed in, from the bench up; one where the printer reaches. The top one has the tube's
 * room and the strap's tunnel whole; undefined where the printer is too low for that.
 */
export function stackOf(
  saddle: Saddle,
  { tall, keeping }: { readonly tall: Mm; readonly keeping: Seating },
): readonly Rise[] | undefined {
  const reach = keeping.shop.printer.bed[2];
  if (tall <= reach) return [{ low: 0, high: tall }];
  const { long } = tenonSize(saddle, keeping);
  if (long < LEAST_TENON) return undefined;
  const usable = reach - TENON.high;
  const places = [saddle.from, (saddle.from + saddle.to) / 2, saddle.to];
  const socket = TENON.high + OVER_TENON + roofOf(saddle, keeping) + LEAST_WALL;
  const most = undersideOf(saddle, places, keeping) - roomUnderTube(keeping.shop) - roofOver(saddle, keeping) - socket;
  const count = Math.ceil(tall / usable);
  for (let pieces = count; pieces <= count + 1; pieces++) {
    const last = Math.floor(Math.min((tall * (pieces - 1)) / pieces, most));
    if (tall - last > reach || last / (pieces - 1) > usable || last / (pieces - 1) < LEAST_PIECE) continue;
    const marks = [...Array.from({ length: pieces }, (_, i) => Math.round((last * i) / (pieces - 1))), tall];
    return marks.slice(1).map((high, i) => ({ low: marks[i]!, high }));
  }
  return undefined;
}

const LEAST_TENON: Mm = 5;
const LEAST_PIECE: Mm = 40;

interface TenonSize {
  /** Along the tube, and across it. */
  readonly long: Mm;
  readonly wide: Mm;
}

function tenonSize(saddle: Saddle, seating: Seating): TenonSize {
  const { flat } = overTable(saddle.held, (saddle.from + saddle.to) / 2, seating.table);
  const side = postSide(saddle.held, saddle, seating);
  return {
    long: Math.min(TENON.wide, (saddle.to - saddle.from) * flat * insideShare(saddle, seating) - 2 * TENON.back),
    wide: Math.min(TENON.wide, 2 * side - 2 * TENON.back),
  };
}

/** On a level bend a post is shorter on the inside, by what its width takes of the clr. */
function insideShare(saddle: Saddle, seating: Seating): number {
  if (!liesLevel(saddle.held, saddle, seating)) return 1;
  const { centerline } = saddle.held.member;
  const [p, q] = [saddle.from, saddle.to].map((s) => frameAt(centerline, s));
  const side = postSide(saddle.held, saddle, seating);
  const inner = [-1, 1].map((k) =>
    [p!, q!].map((frame) => along(frame.origin, unit(cross(seating.table.z, frame.heading)), k * side)),
  );
  const span = Math.min(...inner.map(([a, b]) => Math.hypot(b![0] - a![0], b![1] - a![1], b![2] - a![2])));
  return Math.min(1, span / (saddle.to - saddle.from));
}

/** Height of the socket's roof: it closes at 45 degrees over its narrow side. */
const roofOf = (saddle: Saddle, seating: Seating): Mm => {
  const { long, wide } = tenonSize(saddle, seating);
  return Math.min(long, wide) / 2 + KEY_PLAY;
};

/** Places of a block in the middle of a post, at a height: forward along the tube, and across. */
function ring(saddle: Saddle, seating: Seating, of: TenonSize & { readonly z: Mm }): readonly Vec3[] {
  const { table } = seating;
  const { origin, forward, across } = middleOf(saddle, seating);
  const [x, y] = unplace(table, origin);
  const turn = (way: Vec3): readonly [number, number] => [dot(way, table.x), dot(way, table.y)];
  const [f, a] = [turn(forward), turn(across)];
  return [-0.5, 0.5].flatMap((p) =>
    [-0.5, 0.5].map((q): Vec3 => {
      const [u, v] = [p * of.long, q * of.wide];
      return [x + f[0] * u + a[0] * v, y + f[1] * u + a[1] * v, of.z];
    }),
  );
}

/** The middle of a post in the job, and its level directions along the tube and across it. */
export function middleOf(saddle: Saddle, { table }: Seating) {
  const { origin, heading } = frameAt(saddle.held.member.centerline, (saddle.from + saddle.to) / 2);
  const forward = unit(along(heading, table.z, -dot(heading, table.z)));
  return { origin, forward, across: cross(table.z, forward) };
}

/** The tenon that stands on a piece of a post, from a little inside it. */
export function tenon(saddle: Saddle, seating: Seating, z: Mm): Solid {
  const size = tenonSize(saddle, seating);
  const less = { long: size.long - 2 * TENON.chamfer, wide: size.wide - 2 * TENON.chamfer };
  return {
    kind: 'hull',
    name: `tenon of post ${saddle.number}`,
    points: [
      ...ring(saddle, seating, { ...size, z: z - 1 }),
      ...ring(saddle, seating, { ...size, z: z + TENON.high - TENON.chamfer }),
      ...ring(saddle, seating, { ...less, z: z + TENON.high }),
    ],
  };
}

/** The room for that tenon in the next piece: flared at its foot, closed by a roof at 45 degrees. */
export function socket(saddle: Saddle, seating: Seating, z: Mm): readonly Solid[] {
  const size = tenonSize(saddle, seating);
  const grown = (by: Mm): TenonSize => ({ long: size.long + 2 * by, wide: size.wide + 2 * by });
  const room = grown(KEY_PLAY);
  const top = z + TENON.high + OVER_TENON;
  const narrow = Math.min(room.long, room.wide);
  const ridge = { long: room.long - narrow, wide: room.wide - narrow };
  const flared = FOOT_CHAMFER + 0.2;
  return [
    {
      kind: 'hull',
      name: `socket of post ${saddle.number}`,
      points: [
        ...ring(saddle, seating, { ...room, z: z - 1 }),
        ...ring(saddle, seating, { ...room, z: top }),
        ...ring(saddle, seating, { ...ridge, z: top + narrow / 2 }),
      ],
    },
    {
      kind: 'hull',
      name: `flare of the socket of post ${saddle.number}`,
      points: [
        ...ring(saddle, seating, { ...grown(KEY_PLAY + flared), z: z - 0.01 }),
        ...ring(saddle, seating, { ...grown(KEY_PLAY + 0.01), z: z + flared }),
      ],
    },
  ];
}

/** How high the socket of a piece reaches over its foot. */
export const socketHeight = (saddle: Saddle, seating: Seating): Mm => TENON.high + OVER_TENON + roofOf(saddle, seating);
