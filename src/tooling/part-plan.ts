import { SPLIT_GAP } from '../geometry/tolerance.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { type Box, boxOf, type Columns, columnsOf } from './columns.ts';
import { type Level, type Meeting, meetingsOf } from './part-keys.ts';
import { lettersAt, type Region, wholeOf } from './part-regions.ts';
import { leavesThinWalls } from './part-thin.ts';
import { chooseSplit, type Extent, type Rectangle } from './split.ts';
import { convexHull } from './sweep.ts';

/** How a part is parted: levels from the bed up, the pieces of each, and what keys them to one another. */
export interface Parting {
  readonly columns: Columns;
  readonly levels: readonly Level[];
  readonly meetings: readonly Meeting[];
  /** Where nothing may be sunk into the foot: the way of a blade, a hole or a window. */
  readonly kept: readonly Rectangle[];
}

/** Lines through a part stand this far apart. */
const PITCH: Mm = 1;
/** No piece is worth having that is narrower, or holds less, mm^3. */
const LEAST_SIDE: Mm = 18;
const LEAST_VOLUME = 600;
/** mm^2. Less of a foot holds no piece on the bed. */
const LEAST_FOOT = 60;
/** More pieces than letters of the alphabet have no names. */
export const MOST_PIECES = 26;
/** Where planes at their first places leave a piece in two or a joint without room for keys: shares of the bed to try. */
const BEDS = [1, 0.96, 0.9, 0.84, 0.78, 0.7, 0.6, 0.5] as const;
/** More ways than this of parting a part are not looked at. */
const MOST_TRIES = 18;
/** Shares of a level's height by which its top is moved likewise. */
const LIFTS = [0, -0.12, 0.12, -0.24] as const;
/** Levels more than the fewest are tried. */
const MORE_LEVELS = [0, 1] as const;

/** Size on the bed as lines tell it, which cuts at its ends have made less than its box. */
export function tightBox(solid: Solid, columns: Columns): Box {
  const { min, max } = boxOf(solid);
  const { x0, y0, pitch, nx, lines } = columns;
  const low: [Mm, Mm, Mm] = [Infinity, Infinity, Infinity];
  const high: [Mm, Mm, Mm] = [-Infinity, -Infinity, -Infinity];
  lines.forEach((line, k) => {
    if (line.length === 0) return;
    const at: Vec3 = [x0 + (k % nx) * pitch, y0 + Math.floor(k / nx) * pitch, 0];
    for (const axis of [0, 1] as const) {
      low[axis] = Math.min(low[axis], at[axis] - pitch);
      high[axis] = Math.max(high[axis], at[axis] + pitch);
    }
    low[2] = Math.min(low[2], line[0]!);
    high[2] = Math.max(high[2], line.at(-1)! + 0.5);
  });
  const pick = (k: 0 | 1 | 2): readonly [Mm, Mm] => [Math.max(min[k], low[k]), Math.min(max[k], high[k])];
  const [x, y, z] = [pick(0), pick(1), pick(2)];
  return { min: [x[0], y[0], Math.min(0, z[0])], max: [x[1], y[1], z[1]] };
}

/** How many lines may still be looked at before a part is given up: planning ends in seconds, whatever the part's size. */
export interface Patience {
  left: number;
}

/** About three seconds of planning. Most parts need a twentieth of it. */
export const newPatience = (): Patience => ({ left: 1e7 });

/** Lines through a part; undefined where they are more than patience is left for. */
export function linesThrough(solid: Solid, patience: Patience): Columns | undefined {
  const { min, max } = boxOf(solid);
  patience.left -= ((max[0] - min[0]) / PITCH) * ((max[1] - min[1]) / PITCH) * LINE_MADE;
  return patience.left > 0 ? columnsOf(solid, PITCH) : undefined;
}

/** Making a line takes as long as looking at it so many times. */
const LINE_MADE = 12;

/**
 * The fewest pieces that fit the bed, each of one body and keyed to the rest, with planes clear of what must stay whole:
 * first of all of it, then of letters and cuts, then of letters and of a cut's narrow side. Undefined where
 * none do.
 */
export function planParting(
  solid: Solid,
  of: {
    readonly columns: Columns;
    readonly regions: readonly Region[];
    readonly bed: readonly [Mm, Mm, Mm];
    /** Cells that were tried in vain. */
    readonly tried: Set<string>;
    readonly patience: Patience;
  },
): Parting | undefined {
  const { columns, regions, bed, tried, patience } = of;
  const box = tightBox(solid, columns);
  const hardOf = (...kinds: readonly Region['kind'][]): readonly Rectangle[] =>
    regions.filter(({ kind }) => kinds.includes(kind)).flatMap(hard);
  const cuts = wholeOf(
    regions.filter(({ kind }) => kind === 'cut'),
    box,
  );
  // What runs along a rim would leave a sliver of it; what crosses it does not.
  const rims = wholeOf(
    regions.filter(({ kind }) => kind === 'rim'),
    box,
  );
  const kept = [
    [...hardOf('letters', 'cut', 'window', 'detail'), ...rims],
    [...hardOf('letters', 'cut', 'window'), ...rims],
    [...hardOf('letters', 'window'), ...cuts, ...rims],
  ];
  const single = box.max[2] - box.min[2] <= bed[2];
  for (const whole of kept) {
    for (const share of BEDS) {
      const cells = cellsOf(box, { whole, bed, share });
      const key = JSON.stringify(cells);
      if (!cells || tried.has(key) || tried.size >= MOST_TRIES) continue;
      tried.add(key);
      for (const more of single ? [0] : MORE_LEVELS) {
        for (const lift of single ? [0] : LIFTS) {
          patience.left -= columns.lines.length;
          if (patience.left < 0) return undefined;
          const levels = levelsOf(columns, { box, cells, tall: bed[2], more, lift, letters: lettersAt(regions) });
          const meetings = levels && keyedTogether(columns, levels);
          if (meetings) return { columns, levels, meetings, kept: hardOf('cut', 'window') };
        }
      }
    }
  }
  return undefined;
}

const hard = (region: Region): readonly Rectangle[] => [
  [
    { low: region.box.min[0], high: region.box.max[0] },
    { low: region.box.min[1], high: region.box.max[1] },
  ],
];

function cellsOf(
  { min, max }: Box,
  of: { readonly whole: readonly Rectangle[]; readonly bed: readonly [Mm, Mm, Mm]; readonly share: number },
): readonly Rectangle[] | undefined {
  const size: Rectangle = [
    { low: min[0], high: max[0] },
    { low: min[1], high: max[1] },
  ];
  const bed = [of.bed[0] * of.share, of.bed[1] * of.share] as const;
  return chooseSplit({ size, whole: of.whole, bed, least: LEAST_SIDE });
}

/** Heights the part is cut at, and what of each cell is in each level, a rectangle for every body. */
function levelsOf(
  columns: Columns,
  of: {
    readonly box: Box;
    readonly cells: readonly Rectangle[];
    readonly tall: Mm;
    readonly more: number;
    readonly lift: number;
    readonly letters: readonly Extent[];
  },
): readonly Level[] | undefined {
  const { min, max } = of.box;
  const whole = max[2] - min[2];
  const count = whole <= of.tall ? 1 : Math.ceil(whole / (of.tall - SPLIT_GAP)) + of.more;
  const step = whole / count;
  const marks = Array.from({ length: count - 1 }, (_, i) => {
    const wanted = min[2] + step * (i + 1) + of.lift * step;
    const inside = of.letters.find(({ low, high }) => low < wanted && high > wanted);
    return inside ? (wanted - inside.low < inside.high - wanted ? inside.low : inside.high) : wanted;
  });
  const heights = [min[2], ...marks, max[2]];
  const levels = heights.slice(1).map((top, i) => {
    const foot = heights[i]!;
    if (top - foot > of.tall || (count > 1 && top - foot < LEAST_SIDE / 2)) return undefined;
    const cells = of.cells.map((cell) => bodiesIn(columns, { cell, foot, top }));
    return cells.includes(undefined) ? undefined : { foot, top, cells: cells.flatMap((one) => one ?? []) };
  });
  if (levels.some((level) => level === undefined || level.cells.length === 0)) return undefined;
  const pieces = levels.reduce((sum, level) => sum + level!.cells.length, 0);
  return pieces > 1 && pieces <= MOST_PIECES ? (levels as readonly Level[]) : undefined;
}

/** Rectangles round every body in a cell; none where the cell is empty, undefined where bodies cannot be told apart or one is too small. */
function bodiesIn(columns: Columns, of: CellSlice): readonly Rectangle[] | undefined {
  const { cell } = of;
  const bodies = bodiesOf(columns, of);
  if (bodies.some(({ volume, stands }) => volume < LEAST_VOLUME || !stands)) return undefined;
  // Between two bodies an edge lies in the middle of what parts them.
  const rectangles = bodies.map((body): Rectangle => {
    const side = (k: 0 | 1): Extent => {
      const before = bodies.map(({ high }) => high[k]).filter((high) => high < body.low[k]);
      const after = bodies.map(({ low }) => low[k]).filter((low) => low > body.high[k]);
      return {
        low: before.length > 0 ? (Math.max(...before) + body.low[k]) / 2 : cell[k].low,
        high: after.length > 0 ? (Math.min(...after) + body.high[k]) / 2 : cell[k].high,
      };
    };
    return [side(0), side(1)];
  });
  return rectangles.some((p, i) => rectangles.slice(i + 1).some((q) => lap(p, q))) ? undefined : rectangles;
}

interface CellSlice {
  readonly cell: Rectangle;
  readonly foot: Mm;
  readonly top: Mm;
}

interface Body {
  readonly low: readonly [Mm, Mm];
  readonly high: readonly [Mm, Mm];
  readonly volume: number;
  /** Whether its weight lies over what it stands on. */
  readonly stands: boolean;
}

/** What hangs together in a cell: stretches of neighboring lines that run beside each other are of one body. */
function bodiesOf({ x0, y0, pitch, nx, ny, lines }: Columns, { cell, foot, top }: CellSlice): readonly Body[] {
  const range = (k: 0 | 1, from: Mm): readonly [number, number] => [
    Math.max(0, Math.ceil((cell[k].low - from) / pitch)),
    Math.min((k === 0 ? nx : ny) - 1, Math.floor((cell[k].high - from) / pitch)),
  ];
  const [[i0, i1], [j0, j1]] = [range(0, x0), range(1, y0)];
  const [clipLow, clipHigh] = [foot + SPLIT_GAP / 2, top - SPLIT_GAP / 2];
  const parent: number[] = [];
  const bits: Bit[] = [];
  const rootOf = (node: number): number => {
    let root = node;
    while (parent[root] !== root) root = parent[root]!;
    for (let at = node; parent[at] !== root; ) [at, parent[at]] = [parent[at]!, root];
    return root;
  };
  const meet = (node: number, [from, to]: readonly [number, number]): void => {
    for (let other = from; other < to; other++) {
      if (bits[other]!.low < bits[node]!.high && bits[other]!.high > bits[node]!.low)
        parent[rootOf(other)] = rootOf(node);
    }
  };
  // Numbers of the stretches of each line in the row before, and of the line before.
  let rowBefore: (readonly [number, number])[] = [];
  for (let j = j0; j <= j1; j++) {
    const row: (readonly [number, number])[] = [];
    for (let i = i0; i <= i1; i++) {
      const line = lines[j * nx + i]!;
      const first = bits.length;
      for (let k = 0; k < line.length; k += 2) {
        const [low, high] = [Math.max(clipLow, line[k]!), Math.min(clipHigh, line[k + 1]!)];
        if (high <= low) continue;
        const node = parent.length;
        parent.push(node);
        bits.push({ x: x0 + i * pitch, y: y0 + j * pitch, low, high });
        const [beside, behind] = [row.at(-1), rowBefore[i - i0]];
        if (beside) meet(node, beside);
        if (behind) meet(node, behind);
      }
      row.push([first, bits.length]);
    }
    rowBefore = row;
  }
  const bodies = new Map<number, Bit[]>();
  bits.forEach((bit, node) => {
    const root = rootOf(node);
    const own = bodies.get(root);
    if (own) own.push(bit);
    else bodies.set(root, [bit]);
  });
  return [...bodies.values()].map((own) => bodyOf(own, { foot: clipLow, pitch }));
}

/** A stretch of a line, with where the line stands. */
interface Bit {
  readonly x: Mm;
  readonly y: Mm;
  readonly low: Mm;
  readonly high: Mm;
}

function bodyOf(bits: readonly Bit[], { foot, pitch }: { readonly foot: Mm; readonly pitch: Mm }): Body {
  let [x0, x1, y0, y1] = [Infinity, -Infinity, Infinity, -Infinity];
  let [long, x, y] = [0, 0, 0];
  const feet: Vec2[] = [];
  for (const bit of bits) {
    [x0, x1, y0, y1] = [Math.min(x0, bit.x), Math.max(x1, bit.x), Math.min(y0, bit.y), Math.max(y1, bit.y)];
    const tall = bit.high - bit.low;
    [long, x, y] = [long + tall, x + tall * bit.x, y + tall * bit.y];
    if (bit.low <= foot) feet.push([bit.x, bit.y]);
  }
  const hull = convexHull(feet);
  const inside = hull.every(([px, py], i) => {
    const [qx, qy] = hull[(i + 1) % hull.length]!;
    return (qx - px) * (y / long - py) - (qy - py) * (x / long - px) > pitch * Math.hypot(qx - px, qy - py);
  });
  const stands = hull.length > 2 && inside && feet.length * pitch * pitch > LEAST_FOOT;
  return { low: [x0, y0], high: [x1, y1], volume: long * pitch * pitch, stands };
}

const lap = (p: Rectangle, q: Rectangle): boolean =>
  ([0, 1] as const).every((k) => p[k].low < q[k].high && p[k].high > q[k].low);

/** Keys for all pieces, if they hold every piece to all others. */
function keyedTogether(columns: Columns, levels: readonly Level[]): readonly Meeting[] | undefined {
  if (leavesThinWalls(columns, levels)) return undefined;
  const meetings = meetingsOf(columns, levels);
  const names = levels.flatMap((level, l) => level.cells.map((_, i) => `${l} ${i}`));
  const reached = new Set([names[0]]);
  for (let grew = true; grew; ) {
    grew = false;
    for (const { first, second } of meetings) {
      const [p, q] = [first.join(' '), second.join(' ')];
      if (reached.has(p) === reached.has(q)) continue;
      reached.add(p).add(q);
      grew = true;
    }
  }
  return names.every((name) => reached.has(name)) ? meetings : undefined;
}
