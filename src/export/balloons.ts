import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Mark } from './sheet-paper.ts';

const BALLOON: Mm = 3.8;
/** So that the circle's line is not cut off. */
const EDGE: Mm = 0.3;
const TEXT: Mm = 4.8;
/** Width of the column that the numbers stand in, on either side of a picture. */
export const BALLOON_COLUMN: Mm = 11;

/** Numbers in a column on the nearer side, spread so that none covers another, with a leader to a dot on the piece. */
export function balloons(
  spots: readonly Vec2[],
  { width, height }: { readonly width: Mm; readonly height: Mm },
): readonly Mark[] {
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
    const x = side === 0 ? BALLOON + EDGE : width - BALLOON - EDGE;
    return items.flatMap(({ spot, i }, k): readonly Mark[] => {
      const at: Vec2 = [x, ys[k]!];
      const edge: Vec2 = [x + (side === 0 ? BALLOON : -BALLOON), at[1]];
      return [
        { kind: 'line', type: 'thin', points: [edge, spot] },
        { kind: 'fill', gray: 0, points: circle(spot, 0.7) },
        { kind: 'fill', gray: 255, points: circle(at, BALLOON) },
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
