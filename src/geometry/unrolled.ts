import { SAME_PLACE } from './tolerance.ts';
import { generatorOf, type TubeShape } from './tube-shape.ts';
import { distance, type Mm, type Vec2 } from './vector.ts';

/** One ruling of a taper's side laid flat. */
export interface FlatRuling {
  readonly foot: Vec2;
  /** Unit, from foot to top. */
  readonly way: Vec2;
  /** Length on it for each mm of the centerline. */
  readonly speed: number;
}

/**
 * The side of a taper between two s, unrolled flat without stretching: each ruling, at the given u in order (beyond 0 and 1
 * the turn goes on), is laid down beside the one before by its distances from it. Neighbors must lie near each other: chords
 * of a 300 mm girth in 1440 steps are 0.0003 mm short in all. x goes clockwise; the ruling at `upright` stands upright.
 */
export function unrolledRulings(
  tube: TubeShape,
  {
    us,
    base,
    top,
    upright,
  }: { readonly us: readonly number[]; readonly base: Mm; readonly top: Mm; readonly upright: number },
): readonly FlatRuling[] {
  const lines = us.map((u) => generatorOf(tube, ((u % 1) + 1) % 1));
  const ends = lines.map((line) => [line.pointAt(base), line.pointAt(top)] as const);
  const flat: [Vec2, Vec2][] = [
    [
      [0, 0],
      [0, distance(...ends[0]!)],
    ],
  ];
  for (let i = 1; i < us.length; i++) {
    const [before, here] = [ends[i - 1]!, ends[i]!];
    const [foot, head] = flat[i - 1]!;
    const next = beside(foot, head, [distance(before[0], here[0]), distance(before[1], here[0])]);
    flat.push([next, beside(next, head, [distance(here[0], here[1]), distance(before[1], here[1])])]);
  }
  const [foot, head] = flat[nearestOf(us, upright)]!;
  const turn = Math.atan2(head[0] - foot[0], head[1] - foot[1]);
  const [cos, sin] = [Math.cos(turn), Math.sin(turn)];
  const turned = ([x, y]: Vec2): Vec2 => [x * cos - y * sin, x * sin + y * cos];
  return flat.map(([p, q]): FlatRuling => {
    const [from, to] = [turned(p), turned(q)];
    const long = Math.hypot(to[0] - from[0], to[1] - from[1]);
    return {
      foot: from,
      way: [(to[0] - from[0]) / long, (to[1] - from[1]) / long],
      speed: long / Math.abs(top - base),
    };
  });
}

/** Number of the value nearest to one, of values in order. */
export function nearestOf(values: readonly number[], value: number): number {
  let [low, high] = [0, values.length - 1];
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (values[middle]! <= value) low = middle;
    else high = middle;
  }
  return value - values[low]! <= values[high]! - value ? low : high;
}

/** The point to the right of the way from p to q at given distances from both. */
function beside(p: Vec2, q: Vec2, [fromP, fromQ]: readonly [Mm, Mm]): Vec2 {
  // Where rulings meet in one place, rounding would part them again.
  if (fromP < SAME_PLACE) return p;
  if (fromQ < SAME_PLACE) return q;
  const long = Math.hypot(q[0] - p[0], q[1] - p[1]);
  const way: Vec2 = [(q[0] - p[0]) / long, (q[1] - p[1]) / long];
  const along = (fromP * fromP - fromQ * fromQ + long * long) / (2 * long);
  const off = Math.sqrt(Math.max(0, fromP * fromP - along * along));
  return [p[0] + way[0] * along + way[1] * off, p[1] + way[1] * along - way[0] * off];
}
