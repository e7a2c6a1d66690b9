import { toDegrees } from '../geometry/angle.ts';
import { add, type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import { type Mark, textWidth } from './sheet-paper.ts';

/**
 * A dimension in a pictorial view (ISO 129-1; ISO 5456-3 for its axes): extension lines and dimension line parallel to the
 * axes of the work, filled arrowheads, the figure above its line, read from below or from the right.
 */
export interface Dimension {
  /** What is measured, from one to the other. */
  readonly from: Vec3;
  readonly to: Vec3;
  /** The way the extension lines go, a unit axis. */
  readonly aside: Vec3;
  readonly text: string;
}

/** On paper. */
const DIMENSION_OFFSET: Mm = 9;
const GAP: Mm = 1.5;
const PAST: Mm = 1.5;
const ARROW: Mm = 3;
/** Half the opening of an arrowhead, of its length: 15 degrees in all. */
const ARROW_HALF = 0.13;
const TEXT: Mm = 4.6;
const ABOVE: Mm = 1;
/** Sine of the lean up to which a line counts as upright: half a degree. */
const UPRIGHT = 0.01;

export interface DimensionView {
  /** Where a point of the work lies on paper. */
  readonly toPaper: (point: Vec3) => Vec2;
  /** mm of the work in a mm of paper. */
  readonly perPaper: number;
}

export function dimensionMarks(
  { from, to, aside, text }: Dimension,
  { toPaper, perPaper }: DimensionView,
): readonly Mark[] {
  const off = (p: Vec3, paper: Mm): Vec2 => toPaper(add(p, scale(aside, paper * perPaper)));
  const [a, b] = [off(from, DIMENSION_OFFSET), off(to, DIMENSION_OFFSET)];
  const long = Math.hypot(b[0] - a[0], b[1] - a[1]);
  if (!(long > 0)) return [];
  const way: Vec2 = [(b[0] - a[0]) / long, (b[1] - a[1]) / long];
  const extension = (p: Vec3): Mark => ({
    kind: 'line',
    type: 'thin',
    points: [off(p, GAP), off(p, DIMENSION_OFFSET + PAST)],
  });
  // Where arrowheads have no room between the extension lines they stand outside and point in.
  const outside = long < 3 * ARROW;
  const tail = outside ? 2 * ARROW : 0;
  const figure = figureMarks(text, { a, b, way, long, tail });
  return [
    extension(from),
    extension(to),
    { kind: 'line', type: 'thin', points: [along(a, way, -tail), along(b, way, tail)] },
    arrow(a, outside ? [-way[0], -way[1]] : way),
    arrow(b, outside ? way : [-way[0], -way[1]]),
    ...figure,
  ];
}

const along = (p: Vec2, way: Vec2, by: Mm): Vec2 => [p[0] + way[0] * by, p[1] + way[1] * by];

/** With its tip at p; its body lies the given way from it. */
function arrow(p: Vec2, way: Vec2): Mark {
  const foot = along(p, way, ARROW);
  const side: Vec2 = [-way[1] * ARROW * ARROW_HALF, way[0] * ARROW * ARROW_HALF];
  return { kind: 'fill', gray: 0, points: [p, along(foot, side, 1), along(foot, side, -1), p] };
}

/** Above the middle of its line; where the line is shorter than the figure, above the line carried on past its lower end. */
function figureMarks(
  text: string,
  line: { readonly a: Vec2; readonly b: Vec2; readonly way: Vec2; readonly long: Mm; readonly tail: Mm },
): readonly Mark[] {
  const { a, way, long, tail } = line;
  const wide = textWidth(text, TEXT);
  // Read from below or from the right: never upside down.
  const flip = Math.abs(way[0]) < UPRIGHT ? way[1] > 0 : way[0] < 0;
  const reading: Vec2 = flip ? [-way[0], -way[1]] : way;
  const middle = wide + 1 <= long ? long / 2 : long + tail + wide / 2 + 1;
  const above: Vec2 = [reading[1], -reading[0]];
  const at = along(along(a, way, middle), above, ABOVE);
  const turnDeg = toDegrees(Math.atan2(reading[1], reading[0]));
  const corner = (right: Mm, up: Mm): Vec2 => along(along(at, reading, right), above, up);
  const [half, top] = [wide / 2 + 0.5, 0.75 * TEXT];
  const [low, high] = [-ABOVE / 2, top + 0.5];
  return [
    // No line may run through a figure.
    {
      kind: 'fill',
      gray: 255,
      points: [corner(-half, low), corner(half, low), corner(half, high), corner(-half, high)],
    },
    { kind: 'text', at, text, size: TEXT, anchor: 'middle', turnDeg },
  ];
}
