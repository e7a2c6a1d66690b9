import { cosd, sind } from '../geometry/angle.ts';
import { type Placement, place, placeDirection } from '../geometry/placement.ts';
import { LEAST_WALL, SPLIT_GAP } from '../geometry/tolerance.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { LabelSolid, Solid } from '../solid/expression.ts';
import { DOWEL, type DowelSeat, type Level, type Meeting } from './part-keys.ts';
import { type JointFace, markOn } from './part-marks.ts';
import type { Parting } from './part-plan.ts';
import { recentered } from './print-pose.ts';
import { pieceIn, type Rectangle } from './split.ts';
import type { Feature, Keyed, ToolPart, Whole } from './tool.ts';

/** Outer edges of the room a piece is cut out by lie this far outside the part. */
const OUTSIDE: Mm = 5;
const HOLE_FACETS = 16;
/** How the pieces of a part are called, and what is sunk into each. */
export interface Naming {
  readonly nameOf: (i: number) => string;
  /** Of the pieces put together. */
  readonly wholeName: string;
  /** Number of a piece among all of the tool; none where no letters are wanted. */
  readonly markOf?: (i: number) => readonly [string, string];
}

/** The pieces of a part, each by itself on the bed, and what must hold of them together. */
export function piecesOf(
  part: ToolPart,
  { parting, naming }: { readonly parting: Parting; readonly naming: Naming },
): { readonly parts: readonly ToolPart[]; readonly whole: Whole } {
  const { levels, meetings } = parting;
  const places = levels.flatMap((level, l) => level.cells.map((_, i) => [l, i] as const));
  const numberOf = ([l, i]: readonly [number, number]): number => places.findIndex(([m, j]) => m === l && j === i);
  const parts = places.map((at, i) => pieceAt(part, { parting, naming, at, number: i }));
  const keys = meetings.map((meeting): Keyed => {
    const names = [meeting.first, meeting.second].map((at) => naming.nameOf(numberOf(at))) as [string, string];
    const across = placeDirection(part.pose, unitOf(meeting.axis));
    const up = placeDirection(part.pose, meeting.axis === 2 ? [1, 0, 0] : [0, 0, 1]);
    if (meeting.dowels.length === 0) return { parts: names, across, up };
    const at = meeting.dowels.map(({ point }) => place(part.pose, point));
    return { parts: names, across, up, dowels: { at, radius: DOWEL.radius, deep: DOWEL.deep } };
  });
  const joints = meetings.map(({ axis, at }) => ({
    point: place(part.pose, [axis === 0 ? at : 0, axis === 1 ? at : 0, axis === 2 ? at : 0]),
    normal: placeDirection(part.pose, unitOf(axis)),
  }));
  const features = part.features.map((feature) => (feature.kind === 'cut-edge' ? { ...feature, joints } : feature));
  const whole = { name: naming.wholeName, parts: parts.map(({ name }) => name), tubes: part.tubes, features };
  return { parts, whole: { ...whole, keys } };
}

const unitOf = (axis: 0 | 1 | 2): Vec3 => [axis === 0 ? 1 : 0, axis === 1 ? 1 : 0, axis === 2 ? 1 : 0];

function pieceAt(
  part: ToolPart,
  of: {
    readonly parting: Parting;
    readonly naming: Naming;
    readonly at: readonly [number, number];
    readonly number: number;
  },
): ToolPart {
  const { parting, naming, number } = of;
  const { levels, meetings, columns, kept } = parting;
  const [l, i] = of.at;
  const level = levels[l]!;
  const cell = level.cells[i]!;
  const own = meetings.filter(({ first, second }) => [first, second].some(([m, j]) => m === l && j === i));
  const last = l === levels.length - 1;
  const foot = level.foot + (l === 0 ? 0 : SPLIT_GAP / 2);
  const lowered = recentered(part.solid, part.pose, [0, 0, foot]);
  const size = sizeOf(levels);
  const seats = meetings
    .filter(({ first }) => first[0] === l)
    .flatMap(({ dovetails }) => dovetails)
    .map((seat) => ({ ...seat, high: seat.high - (foot - level.foot) }));
  const piece = pieceIn(lowered.solid, {
    cell: opened(cell, size),
    cells: level.cells.map((one) => opened(one, size)),
    seats,
    ...(last ? {} : { top: level.top - foot - SPLIT_GAP / 2 }),
  });
  const holes = own.flatMap((meeting) =>
    meeting.dowels.map((seat) => ({ seat, side: isFirst(meeting, of.at) ? (-1 as const) : (1 as const) })),
  );
  const faces = facesOf(of.at, { level, own });
  const mark =
    naming.markOf && markOn(columns, { faces, level, cell, foot, meetings: own, kept, text: naming.markOf(number) });
  const cuts: readonly Solid[] = [
    ...holes.map(({ seat, side }) => hole(seat, { side, foot })),
    ...(mark ? [loweredLabel(mark, foot)] : []),
  ];
  const [x, y] = cell.map(({ low, high }) => (low + high) / 2) as [Mm, Mm];
  return {
    name: naming.nameOf(number),
    ...recentered(withCuts(piece, cuts), lowered.pose, [x, y, 0]),
    tubes: [],
    leastWall: Math.min(part.leastWall, LEAST_WALL),
    features: holes.map(({ seat, side }) => bore(seat, { side, pose: part.pose })),
  };
}

const isFirst = ({ first }: Meeting, [l, i]: readonly [number, number]): boolean => first[0] === l && first[1] === i;

function withCuts(solid: Solid, cuts: readonly Solid[]): Solid {
  if (cuts.length === 0) return solid;
  const cut = (from: Solid): Solid => ({ kind: 'subtract', name: from.name, from, cuts });
  return solid.kind === 'either' ? { ...solid, of: [cut(solid.of[0]), ...solid.of.slice(1).map(cut)] } : cut(solid);
}

/** From where to where all cells of all levels reach. */
const sizeOf = (levels: readonly Level[]): Rectangle => {
  const cells = levels.flatMap((level) => level.cells);
  const side = (k: 0 | 1) => ({
    low: Math.min(...cells.map((cell) => cell[k].low)),
    high: Math.max(...cells.map((cell) => cell[k].high)),
  });
  return [side(0), side(1)];
};

/** A cell whose edges at the part's own sides lie outside it, so that nothing is cut off there. */
const opened = (cell: Rectangle, size: Rectangle): Rectangle => {
  const side = (k: 0 | 1) => ({
    low: cell[k].low === size[k].low ? cell[k].low - OUTSIDE : cell[k].low,
    high: cell[k].high === size[k].high ? cell[k].high + OUTSIDE : cell[k].high,
  });
  return [side(0), side(1)];
};

/** The upright faces a piece meets its neighbors with, the largest first. */
function facesOf(
  at: readonly [number, number],
  { level, own }: { readonly level: Level; readonly own: readonly Meeting[] },
): readonly JointFace[] {
  const cell = level.cells[at[1]]!;
  const along = (k: 0 | 1): readonly [Mm, Mm] => [cell[k].low, cell[k].high];
  const tall = [level.foot + SPLIT_GAP, level.top - SPLIT_GAP] as const;
  const faces = own.flatMap((meeting): readonly JointFace[] => {
    const { axis } = meeting;
    if (axis === 2) return [];
    const looks = isFirst(meeting, at) ? 1 : -1;
    const spans = { a: along(axis === 0 ? 1 : 0), b: tall };
    const meetings = own.filter((other) => other.axis === axis && other.at === meeting.at);
    return [{ axis, at: meeting.at - (looks * SPLIT_GAP) / 2, looks, ...spans, meetings }];
  });
  const area = ({ a, b }: JointFace): number => (a[1] - a[0]) * (b[1] - b[0]);
  return [...faces].sort((p, q) => area(q) - area(p));
}

const loweredLabel = (label: LabelSolid, foot: Mm): LabelSolid => {
  const { origin } = label.at;
  return { ...label, name: 'part mark', at: { ...label.at, origin: [origin[0], origin[1], origin[2] - foot] } };
};

/** Corners of a round hole whose flats lie on its circle. */
const ring: readonly Vec2[] = Array.from({ length: HOLE_FACETS }, (_, i) => {
  const reach = DOWEL.radius / cosd(180 / HOLE_FACETS);
  const turn = (360 * (i + 0.5)) / HOLE_FACETS;
  return [reach * cosd(turn), reach * sind(turn)];
});

function hole({ axis, point }: DowelSeat, { side, foot }: { readonly side: 1 | -1; readonly foot: Mm }): Solid {
  const from = side > 0 ? -0.5 : -DOWEL.deep;
  const start: Vec3 = [
    point[0] + (axis === 0 ? from : 0),
    point[1] + (axis === 1 ? from : 0),
    point[2] + (axis === 2 ? from : 0) - foot,
  ];
  const at: Placement =
    axis === 0
      ? { origin: start, x: [0, 1, 0], y: [0, 0, 1], z: [1, 0, 0] }
      : axis === 1
        ? { origin: start, x: [0, 0, 1], y: [1, 0, 0], z: [0, 1, 0] }
        : { origin: start, x: [1, 0, 0], y: [0, 1, 0], z: [0, 0, 1] };
  return { kind: 'prism', name: 'dowel hole', loops: [ring], height: DOWEL.deep + 0.5, at };
}

function bore(
  { axis, point }: DowelSeat,
  { side, pose }: { readonly side: 1 | -1; readonly pose: Placement },
): Feature {
  const way = unitOf(axis).map((k) => k * side) as unknown as Vec3;
  return {
    kind: 'bore',
    point: place(pose, point),
    axis: placeDirection(pose, way),
    radius: DOWEL.radius,
    length: DOWEL.deep - SPLIT_GAP,
    blind: true,
  };
}
