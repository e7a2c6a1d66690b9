import { besideAt } from '../geometry/centerline.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Piece, Solution } from '../solve/solution.ts';
import { type PictureMesh, type PictureOptions, picture, pictureSpots } from './picture.ts';
import { PIECE_COLORS } from './picture-colors.ts';
import { pieceMesh } from './piece-mesh.ts';
import { pngBytes } from './png.ts';
import type { SheetDrawing } from './sheet-blocks.ts';
import type { Mark } from './sheet-paper.ts';

const VIEW = { from: [-0.6, -1, 0.75] } as const;
const PIXELS = { width: 1200, height: 800 } as const;

/** The drawing on paper: the picture with a column for item numbers on either side. */
const WIDE: Mm = 172;
const COLUMN: Mm = 11;
const BALLOON: Mm = 3.6;
/** So that the circle's line is not cut off. */
const EDGE: Mm = 0.3;
const TEXT: Mm = 4.2;
/** A leader's end this far from everything else cannot be mistaken. */
const CLEAR: Mm = 12;

/** All pieces as they will be welded, cut ends as solved, with an item number and leader for each (ISO 6433). */
export function assemblyDrawing(solution: Solution): SheetDrawing {
  const meshes = solution.pieces.map(
    (piece, i): PictureMesh => ({ mesh: pieceMesh(piece), color: PIECE_COLORS[i % PIECE_COLORS.length]! }),
  );
  const options: PictureOptions = { ...PIXELS, view: VIEW };
  const png = pngBytes(picture(meshes, options));
  const width = WIDE - 2 * COLUMN;
  const height = (width * PIXELS.height) / PIXELS.width;
  const ways = solution.pieces.map((piece) =>
    pictureSpots(
      meshes,
      options,
      PLACES.map((share) => pointAt(piece, share)),
    ).map(([x, y]): Vec2 => [COLUMN + (x / PIXELS.width) * width, (y / PIXELS.height) * height]),
  );
  const spots = ways.map((way, i) => freestSpot(way, ways.filter((_, k) => k !== i).flat()));
  return {
    kind: 'drawing',
    description: `assembly of ${solution.pieces.length} pieces, numbered as in the cut list`,
    width: WIDE,
    height,
    marks: [{ kind: 'image', at: [COLUMN, 0], width, height, png }, ...balloons(spots, height)],
  };
}

/** Size of the box round all pieces, along the job's x, y and z. */
export function overallSize(solution: Solution): Vec3 {
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = low.map((x) => -x);
  for (const piece of solution.pieces) {
    const { positions } = pieceMesh(piece);
    positions.forEach((x, i) => {
      low[i % 3] = Math.min(low[i % 3]!, x);
      high[i % 3] = Math.max(high[i % 3]!, x);
    });
  }
  return [high[0]! - low[0]!, high[1]! - low[1]!, high[2]! - low[2]!];
}

const pointAt = ({ member, from, to }: Piece, share: number): Vec3 =>
  besideAt(member.centerline, from + share * (to - from), 0, 0);

/** Shares of a piece's length that a leader may point to and that others are kept clear of, from its middle outward. */
const PLACES = [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9] as const;

/** Of the places on a piece the one farthest from all other pieces as they are seen; the one nearer the middle where two are as far. */
function freestSpot(way: readonly Vec2[], others: readonly Vec2[]): Vec2 {
  const room = (spot: Vec2): Mm => Math.min(CLEAR, ...others.map((p) => Math.hypot(p[0] - spot[0], p[1] - spot[1])));
  return way.reduce((best, spot) => (room(spot) > room(best) + 0.5 ? spot : best));
}

/** Numbers in a column on the nearer side, spread so that none covers another, with a leader to a dot on the piece. */
function balloons(spots: readonly Vec2[], height: Mm): readonly Mark[] {
  const sides = [0, 1].map((side) =>
    spots
      .map((spot, i) => ({ spot, i }))
      .filter(({ i }) => sideOf(spots, i) === side)
      .sort((p, q) => p.spot[1] - q.spot[1] || p.i - q.i),
  );
  return sides.flatMap((items, side) => {
    const ys = spread(
      items.map(({ spot }) => spot[1]),
      { height, room: 2 * BALLOON + 1 },
    );
    const x = side === 0 ? BALLOON + EDGE : WIDE - BALLOON - EDGE;
    return items.flatMap(({ spot, i }, k): readonly Mark[] => {
      const at: Vec2 = [x, ys[k]!];
      const edge: Vec2 = [x + (side === 0 ? BALLOON : -BALLOON), at[1]];
      return [
        { kind: 'line', type: 'thin', points: [edge, spot] },
        { kind: 'fill', gray: 0, points: circle(spot, 0.7) },
        { kind: 'line', type: 'thin', points: circle(at, BALLOON) },
        { kind: 'text', at: [x, at[1] + TEXT * 0.35], text: String(i + 1), size: TEXT, bold: true, anchor: 'middle' },
      ];
    });
  });
}

/** The left half of the pieces, by where they are seen, goes left. */
function sideOf(spots: readonly Vec2[], i: number): 0 | 1 {
  const order = spots.map((spot, k) => ({ x: spot[0], k })).sort((p, q) => p.x - q.x || p.k - q.k);
  return order.findIndex(({ k }) => k === i) < spots.length / 2 ? 0 : 1;
}

/** Wanted places down a column moved apart by `room`, as little as one pass down and one up does it. */
function spread(wanted: readonly Mm[], { height, room }: { readonly height: Mm; readonly room: Mm }): readonly Mm[] {
  const gap = Math.min(room, height / Math.max(1, wanted.length));
  const ys = [...wanted];
  for (let i = 0; i < ys.length; i++) ys[i] = Math.max(ys[i]!, gap / 2, (ys[i - 1] ?? Number.NEGATIVE_INFINITY) + gap);
  for (let i = ys.length - 1; i >= 0; i--) {
    ys[i] = Math.min(ys[i]!, height - gap / 2, (ys[i + 1] ?? Number.POSITIVE_INFINITY) - gap);
  }
  return ys;
}

const CORNERS = 32;
const circle = ([x, y]: Vec2, radius: Mm): readonly Vec2[] => {
  const points = Array.from({ length: CORNERS }, (_, i): Vec2 => {
    const turn = (2 * Math.PI * i) / CORNERS;
    return [x + radius * Math.cos(turn), y + radius * Math.sin(turn)];
  });
  return [...points, points[0]!];
};
