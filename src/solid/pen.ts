import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { LetterStroke } from './letter-strokes.ts';

/** Cosine of the sharpest turn, 100 deg, at which a stroke's sides run on to one point; beyond it the corner is cut off. */
const SHARPEST = Math.cos((100 * Math.PI) / 180);

/**
 * What a pen with sharp corners covers along a stroke, as a convex polygon for each straight of it, counterclockwise; they
 * overlap at the corners. Free ends run on by up to half the pen's width, no farther either way than a square pen would.
 */
export function inkOf({ corners, closed, free }: LetterStroke, half: Mm): readonly (readonly Vec2[])[] {
  const points = corners.filter((p, i) => i === 0 || !same(p, corners[i - 1]!));
  if (points.length === 1) return [square(points[0]!, half)];
  const sides = points.flatMap((from, i): readonly Side[] => {
    const to = points[i + 1] ?? (closed ? points[0]! : undefined);
    if (!to) return [];
    const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
    return [{ from, to, way: [(to[0] - from[0]) / long, (to[1] - from[1]) / long] }];
  });
  return sides.map((side, i) => {
    const before = sides[i - 1] ?? (closed ? sides.at(-1) : undefined);
    const after = sides[i + 1] ?? (closed ? sides[0] : undefined);
    return [
      ...(before ? jointAtStart(before, side, half) : endOf(side.from, back(side.way), free[0] ? half : 0, half)),
      ...(after ? jointAtEnd(side, after, half) : endOf(side.to, side.way, free[1] ? half : 0, half)),
    ];
  });
}

interface Side {
  readonly from: Vec2;
  readonly to: Vec2;
  readonly way: Vec2;
}

const same = (p: Vec2, q: Vec2): boolean => p[0] === q[0] && p[1] === q[1];
const back = ([x, y]: Vec2): Vec2 => [-x, -y];

const square = ([x, y]: Vec2, half: Mm): readonly Vec2[] => [
  [x - half, y - half],
  [x + half, y - half],
  [x + half, y + half],
  [x - half, y + half],
];

/** The two corners of an end, from the right of its way out to the left, as far out as they stay within a square pen. */
function endOf([x, y]: Vec2, [wx, wy]: Vec2, most: Mm, half: Mm): readonly Vec2[] {
  const [ax, ay] = [Math.abs(wx), Math.abs(wy)];
  const room = Math.min(ax > 0 ? (1 - ay) / ax : 1, ay > 0 ? (1 - ax) / ay : 1);
  const out = Math.min(most, half * room);
  const [ox, oy] = [x + wx * out, y + wy * out];
  return [
    [ox + wy * half, oy - wx * half],
    [ox - wy * half, oy + wx * half],
  ];
}

/** Outer corners where one side turns into the next, the earlier first: one, or two where the turn is sharp. */
function tips({ way: [ax, ay], to: [x, y] }: Side, { way: [bx, by] }: Side, half: Mm): readonly Vec2[] {
  const out = ax * by - ay * bx > 0 ? 1 : -1;
  const [n, m]: [Vec2, Vec2] = [
    [out * ay, -out * ax],
    [out * by, -out * bx],
  ];
  const cosine = ax * bx + ay * by;
  if (cosine > SHARPEST) return [between([x, y], n, m, half)];
  const [hx, hy] = [ax - bx, ay - by];
  const long = Math.hypot(hx, hy);
  const ahead: Vec2 = [hx / long, hy / long];
  return [between([x, y], n, ahead, half), between([x, y], ahead, m, half)];
}

/** Where the two lines meet that lie half the pen's width out from a place, square to two directions. */
function between([x, y]: Vec2, [nx, ny]: Vec2, [mx, my]: Vec2, half: Mm): Vec2 {
  const k = half / (1 + nx * mx + ny * my);
  return [x + k * (nx + mx), y + k * (ny + my)];
}

/** Corners of a side where the one before turns into it, from its left to its right. */
function jointAtStart(before: Side, side: Side, half: Mm): readonly Vec2[] {
  const outer = tips(before, side, half).at(-1)!;
  const [x, y] = side.from;
  const [wx, wy] = side.way;
  const turnsLeft = before.way[0] * wy - before.way[1] * wx > 0;
  return turnsLeft ? [[x - wy * half, y + wx * half], outer] : [outer, [x + wy * half, y - wx * half]];
}

/** Corners of a side where it turns into the next, from its right to its left, the cut-off corner with it. */
function jointAtEnd(side: Side, after: Side, half: Mm): readonly Vec2[] {
  const outer = tips(side, after, half);
  const [x, y] = side.to;
  const [wx, wy] = side.way;
  const turnsLeft = wx * after.way[1] - wy * after.way[0] > 0;
  return turnsLeft
    ? [...outer, [x - wy * half, y + wx * half]]
    : [[x + wy * half, y - wx * half], ...[...outer].reverse()];
}
