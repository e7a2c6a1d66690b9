import { cosd, sind } from '../geometry/angle.ts';
import { type Placement, placementFrom } from '../geometry/placement.ts';
import { LEAST_WALL, LETTER_DEPTH } from '../geometry/tolerance.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { LabelSolid } from '../solid/expression.ts';
import type { Columns, Stretches } from './columns.ts';
import { sunkLines, type Wordings } from './label.ts';
import { DOWEL, type Level, type Meeting, solidOver } from './part-keys.ts';
import { type Extent, KEY_ROOM, type Rectangle } from './split.ts';

/** An upright face that a piece meets its neighbors with: on which plane, which way it looks, and what it holds. */
export interface JointFace {
  readonly axis: 0 | 1;
  readonly at: Mm;
  readonly looks: 1 | -1;
  /** Stretch along the face level with the bed, and upward. */
  readonly a: readonly [Mm, Mm];
  readonly b: readonly [Mm, Mm];
  readonly meetings: readonly Meeting[];
}

/** Material behind the letters, and free face round them. */
const DEEP: Mm = LETTER_DEPTH + LEAST_WALL;
const RIM: Mm = 0.8;
const ROW: Mm = 3.6;
const ROWS: Mm = 7.6;
const LETTER: Mm = 2.5;
/** Ways that letters under a piece are tried to run, and how far apart places are. */
const RUNS = [0, 90, 45, -45, 30, -30, 60, -60] as const;
const STEP: Mm = 2.5;

/** Where a piece may be lettered. */
export interface Lettering {
  readonly faces: readonly JointFace[];
  readonly level: Level;
  readonly cell: Rectangle;
  /** Height of its foot, which a joint with the level below sets back. */
  readonly foot: Mm;
  readonly meetings: readonly Meeting[];
  readonly kept: readonly Rectangle[];
  readonly text: readonly [string, string];
}

/**
 * A piece's number and the tool's revision mark, in a row or in two, sunk into its foot, where they show on the tool put
 * together and are on no face that is worked with; else into a face it meets its neighbors with. None where neither has room.
 */
export function markOn(columns: Columns, of: Lettering): LabelSolid | undefined {
  const [number, revision] = of.text;
  const wide = (letters: number): Mm => LETTER * letters + 1.8;
  const shapes = [
    { lines: [[[`${number} ${revision}`]]], size: [wide(number.length + revision.length + 1), ROW] },
    { lines: [[[number]], [[revision]]], size: [wide(Math.max(number.length, revision.length)), ROWS] },
  ] as const satisfies readonly { readonly lines: readonly Wordings[]; readonly size: readonly [Mm, Mm] }[];
  for (const { lines, size } of shapes) {
    const at = underPiece(columns, of, size);
    if (at) return sunkLines(lines, { at, box: size, letter: 4 });
  }
  for (const { lines, size } of shapes) {
    for (const face of of.faces) {
      for (const upright of [false, true]) {
        const room = upright ? ([size[1], size[0]] as const) : size;
        const middle = placeIn(columns, { face, level: of.level, room });
        if (middle) return sunkLines(lines, { at: standing(face, middle, upright), box: size, letter: 3.5 });
      }
    }
  }
  return undefined;
}

/** Where letters of this size lie on flat, whole foot: as near the piece's middle as can be. */
function underPiece(columns: Columns, of: Lettering, size: readonly [Mm, Mm]): Placement | undefined {
  const { cell, foot, level } = of;
  const [x, y] = cell;
  const middle = [(x.low + x.high) / 2, (y.low + y.high) / 2] as const;
  const spots: Vec2[] = [];
  for (let p = x.low + STEP; p < x.high; p += STEP) {
    for (let q = y.low + STEP; q < y.high; q += STEP) {
      if (stands(columns, [p, q], level.foot)) spots.push([p, q]);
    }
  }
  const off = ([p, q]: Vec2): Mm => Math.hypot(p - middle[0], q - middle[1]);
  spots.sort((p, q) => off(p) - off(q));
  const keys = [...of.kept, ...of.meetings.flatMap((meeting) => keyRooms(meeting, foot))];
  for (const run of RUNS) {
    const [c, s] = [cosd(run), sind(run)];
    const corners = placesIn(size).map(([a, b]): Vec2 => [-(a * c - b * s), a * s + b * c]);
    const fits = ([p, q]: Vec2): boolean =>
      corners.every(([a, b]) => {
        const at: Vec2 = [p + a, q + b];
        return (
          insideBy(cell, at) >= RIM / 2 && stands(columns, at, level.foot) && !keys.some((key) => insideBy(key, at) > 0)
        );
      });
    const spot = spots.find(fits);
    if (spot) return placementFrom([spot[0], spot[1], foot], [0, 0, -1], [-c, s, 0]);
  }
  return undefined;
}

/** Places all over a rectangle and its rim, about its middle. */
function placesIn([wide, tall]: readonly [Mm, Mm]): readonly Vec2[] {
  const along = (long: Mm): readonly Mm[] => {
    const count = Math.ceil(long + 2 * RIM);
    return Array.from({ length: count + 1 }, (_, i) => (i / count - 0.5) * (long + 2 * RIM));
  };
  return along(wide).flatMap((a) => along(tall).map((b): Vec2 => [a, b]));
}

const insideBy = ([x, y]: Rectangle, [p, q]: Vec2): Mm => Math.min(p - x.low, x.high - p, q - y.low, y.high - q);

/** Whether the line nearest to a place stands on the foot, in stuff that letters can be sunk into. */
function stands({ x0, y0, pitch, nx, ny, lines }: Columns, [p, q]: Vec2, foot: Mm): boolean {
  const [i, j] = [Math.round((p - x0) / pitch), Math.round((q - y0) / pitch)];
  if (i < 0 || j < 0 || i >= nx || j >= ny) return false;
  const line = lines[j * nx + i]!;
  return line.some((low, k) => k % 2 === 0 && low <= foot + 1e-6 && line[k + 1]! >= foot + DEEP);
}

/** What keys take up of a foot, seen from above. */
function keyRooms({ axis, dovetails, dowels }: Meeting, foot: Mm): readonly Rectangle[] {
  const spans = (across: Extent, beside: Extent, along: 0 | 1): Rectangle =>
    along === 0 ? [across, beside] : [beside, across];
  const round = (at: Mm, half: Mm): Extent => ({ low: at - half, high: at + half });
  return [
    ...dovetails.map((seat) => spans(round(seat.at, KEY_ROOM.beyond), round(seat.along, KEY_ROOM.beside), seat.axis)),
    ...dowels.flatMap(({ point }): readonly Rectangle[] => {
      if (axis === 2) return [[round(point[0], DOWEL.radius + RIM), round(point[1], DOWEL.radius + RIM)]];
      if (point[2] - DOWEL.radius > foot + DEEP) return [];
      const across = round(point[axis], DOWEL.deep + 1);
      return [spans(across, round(point[axis === 0 ? 1 : 0], DOWEL.radius + RIM), axis)];
    }),
  ];
}

function standing({ axis, at, looks }: JointFace, [a, b]: readonly [Mm, Mm], upright: boolean): Placement {
  const origin: Vec3 = axis === 0 ? [at, a, b] : [a, at, b];
  const normal: Vec3 = axis === 0 ? [looks, 0, 0] : [0, looks, 0];
  if (upright) return placementFrom(origin, normal, [0, 0, 1]);
  return placementFrom(origin, normal, axis === 0 ? [0, looks, 0] : [-looks, 0, 0]);
}

/** The middle of a free rectangle on a face, nearest to the face's own middle. */
function placeIn(
  columns: Columns,
  of: { readonly face: JointFace; readonly level: Level; readonly room: readonly [Mm, Mm] },
): readonly [Mm, Mm] | undefined {
  const { face, level, room } = of;
  const [wide, tall] = [room[0] / 2 + RIM, room[1] / 2 + RIM];
  const wanted = [(face.a[0] + face.a[1]) / 2, (face.b[0] + face.b[1]) / 2] as const;
  let best: readonly [Mm, Mm] | undefined;
  const off = ([a, b]: readonly [Mm, Mm]): Mm => Math.hypot(a - wanted[0], b - wanted[1]);
  for (let a = Math.ceil(face.a[0] + wide); a <= face.a[1] - wide; a += 2) {
    for (const b of heightsAt(columns, { face, level, a, wide, tall })) {
      const spot = [a, b] as const;
      if ((!best || off(spot) < off(best)) && isClear(face, spot, [wide, tall])) best = spot;
    }
  }
  return best;
}

/** Places along the face's second direction where a rectangle about `a` has stuff behind all of it. */
function heightsAt(
  columns: Columns,
  of: { readonly face: JointFace; readonly level: Level; readonly a: Mm; readonly wide: Mm; readonly tall: Mm },
): readonly Mm[] {
  const { face, level, a, wide, tall } = of;
  const { axis, at, looks } = face;
  const across = [Math.min(at, at - looks * DEEP), Math.max(at, at - looks * DEEP)] as const;
  const beside = [a - wide, a + wide] as const;
  const solid: Stretches = solidOver(columns, axis === 0 ? [across, beside] : [beside, across], level);
  return solid.flatMap((low, i): readonly Mm[] => {
    const high = solid[i + 1];
    if (i % 2 === 1 || high === undefined || high - low < 2 * tall) return [];
    const [least, most] = [low + tall, high - tall];
    return [least, (least + most) / 2, most];
  });
}

/** Whether no key of the face lies in the rectangle. */
function isClear({ axis, meetings }: JointFace, [a, b]: readonly [Mm, Mm], [wide, tall]: readonly [Mm, Mm]): boolean {
  return meetings.every(
    ({ dovetails, dowels }) =>
      dovetails.every(({ along }) => Math.abs(along - a) > wide + KEY_ROOM.beside - LEAST_WALL) &&
      dowels.every(({ point }) => {
        const [p, q] = [axis === 0 ? point[1] : point[0], point[2]];
        return Math.abs(p - a) > wide + DOWEL.radius + 0.5 || Math.abs(q - b) > tall + DOWEL.radius + 0.5;
      }),
  );
}
