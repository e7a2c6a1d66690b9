import {
  type Placement,
  place,
  placeDirection,
  placementFrom,
  unplace,
  unplaceDirection,
} from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import { cross, type Mm, type Vec3 } from '../geometry/vector.ts';
import type { LabelSolid, Solid } from '../solid/expression.ts';
import type { EndName } from '../solve/solution.ts';
import { BASE, type Base, basePlate, cellsWithSaddles, keySeats, RAIL, windows } from './fit-up-base.ts';
import type { Keeping } from './fit-up-clear.ts';
import type { CradlePlan } from './fit-up-plan.ts';
import { endFace, footprint, postSolid, type Rise, type Saddle, saddleCuts, undersideOf } from './fit-up-saddle.ts';
import { middleOf, socket, tenon } from './fit-up-tall.ts';
import { sunkLines, type Wordings, wrapped } from './label.ts';
import { recentered } from './print-pose.ts';
import { bordersOf, CELL_EDGES, type Extent, isOuter, pieceIn, type Rectangle } from './split.ts';
import type { Feature, Keyed, ToolPart } from './tool.ts';

/** One printed body of a cradle, with the saddles that stand on it and the flat faces it has. */
export interface CradlePart {
  readonly printed: Pick<ToolPart, 'name' | 'solid' | 'pose' | 'leastWall'>;
  readonly saddles: readonly Saddle[];
  readonly faces: readonly Feature[];
}

/** Of a face's area the share that must be found: letters, sockets and chamfers take some. */
const FOUND = 0.8;

/** All bodies of a cradle, what keys them, and the faces of each base as a whole. */
export function cradleParts(
  plan: CradlePlan,
  revision: string,
): { readonly parts: readonly CradlePart[]; readonly faces: readonly Feature[]; readonly keys: readonly Keyed[] } {
  const cells = plan.bases.flatMap((base) => cellsWithSaddles(base, plan.keeping).map((cell) => ({ base, ...cell })));
  const pieces = [...plan.stacks].flatMap(([saddle, rises]) => rises.slice(1).map((rise) => ({ saddle, rise })));
  const letters = lettersOf(cells.length + pieces.length);
  const nameOf = (letter: string): string => (letter ? `${plan.request.name}-${letter}` : plan.request.name);
  const named = cells.map((cell, i) => ({ ...cell, letter: letters[i]!, name: nameOf(letters[i]!) }));
  const risers = pieces.map((piece, i): Riser => {
    const letter = letters[cells.length + i]!;
    return { ...piece, letter, name: nameOf(letter) };
  });
  return {
    parts: [
      ...named.map((cell) => partIn(plan, { ...cell, revision })),
      ...risers.map((riser) => riserPart(plan, riser, revision)),
    ],
    faces: plan.bases.flatMap((base) => edgesOf(base, { cells: base.cells, table: plan.keeping.table })),
    keys: [...keysOf(plan, named), ...stackKeys(plan, named, risers)],
  };
}

/** a to z, then aa, ab and on; none where there is one part only. */
const lettersOf = (count: number): readonly string[] =>
  Array.from({ length: count }, (_, i) => {
    const letter = String.fromCharCode(97 + (i % 26));
    if (count === 1) return '';
    return i < 26 ? letter : `${String.fromCharCode(96 + Math.floor(i / 26))}${letter}`;
  });

interface Cell {
  readonly base: Base;
  readonly cell: Rectangle;
  readonly saddles: readonly Saddle[];
  readonly name: string;
  readonly letter: string;
}

/** A piece of a tall post, above its first. */
interface Riser {
  readonly saddle: Saddle;
  readonly rise: Rise;
  readonly name: string;
  readonly letter: string;
}

function partIn(plan: CradlePlan, of: Cell & { readonly revision: string }): CradlePart {
  const { request, keeping, stacks } = plan;
  const { base, cell, saddles, name } = of;
  const plate = basePlate(base, { cell, saddles, keeping, kind: request.spec.base });
  const posts = saddles.flatMap((saddle) => {
    const [first] = stacks.get(saddle) ?? [];
    return first
      ? [postSolid(saddle, keeping, first), tenon(saddle, keeping, first.high)]
      : [postSolid(saddle, keeping)];
  });
  const body: Solid = posts.length > 0 ? { kind: 'union', name: 'base and posts', of: [plate, ...posts] } : plate;
  const labels = request.shop.labels
    ? [...saddles.flatMap((saddle) => saddleLabels(saddle, keeping)), ...baseLabel(plan, of)]
    : [];
  const whole = saddles.filter((saddle) => !stacks.has(saddle));
  const cuts = [...whole.flatMap((saddle) => saddleCuts(saddle, keeping)), ...labels];
  const cradle: Solid = cuts.length > 0 ? { kind: 'subtract', name: 'cradle', from: body, cuts } : body;
  const solid =
    base.cells.length > 1 ? pieceIn(cradle, { cell, cells: base.cells, seats: keySeats(base, keeping) }) : cradle;
  const middle: Vec3 = [(cell[0].low + cell[0].high) / 2, (cell[1].low + cell[1].high) / 2, 0];
  return {
    printed: { name, leastWall: LEAST_WALL, ...recentered(solid, keeping.table, middle) },
    saddles: whole,
    faces: facesOf(base, {
      cell,
      keeping,
      openings: windows({ cell, saddles, keeping, kind: request.spec.base }),
    }),
  };
}

/** A piece of a tall post: stands on the tenon of the one below; the top one has the tube's room. */
function riserPart({ request, keeping, stacks }: CradlePlan, riser: Riser, revision: string): CradlePart {
  const { saddle, rise, name, letter } = riser;
  const isTop = rise === stacks.get(saddle)?.at(-1);
  const post = postSolid(saddle, keeping, rise);
  const body: Solid = isTop
    ? post
    : { kind: 'union', name: 'post and tenon', of: [post, tenon(saddle, keeping, rise.high)] };
  const words = `${letter.toUpperCase()} ${revision}`;
  const labels = request.shop.labels ? saddleLabels(saddle, keeping, { rise, words }) : [];
  const cuts = [...socket(saddle, keeping, rise.low), ...(isTop ? saddleCuts(saddle, keeping) : []), ...labels];
  const [x, y] = unplace(keeping.table, middleOf(saddle, keeping).origin);
  const solid: Solid = { kind: 'subtract', name: 'piece of the post', from: body, cuts };
  return {
    printed: { name, leastWall: LEAST_WALL, ...recentered(solid, keeping.table, [x, y, rise.low]) },
    saddles: isTop ? [saddle] : [],
    faces: [],
  };
}

/** Each piece of a tall post on the one below; the lowest stands on its base. */
function stackKeys(
  { keeping, stacks }: CradlePlan,
  cells: readonly Cell[],
  risers: readonly Riser[],
): readonly Keyed[] {
  return [...stacks.keys()].flatMap((saddle) => {
    const foot = cells.find(({ saddles }) => saddles.includes(saddle))!;
    const names = [foot.name, ...risers.filter((riser) => riser.saddle === saddle).map(({ name }) => name)];
    const { forward } = middleOf(saddle, keeping);
    return names.slice(1).map((name, i): Keyed => ({ parts: [names[i]!, name], across: forward, up: keeping.table.z }));
  });
}

/** The underside, and the outer edges of a piece: to be laid on the bench and along lines. */
function facesOf(base: Base, { cell, keeping, openings }: Faced): readonly Feature[] {
  const { table } = keeping;
  const area = ([x, y]: Rectangle): number => (x.high - x.low) * (y.high - y.low);
  const open = openings.reduce((sum, window) => sum + area(window), 0);
  const under = faceAt(table, { point: [cell[0].low, cell[1].low, 0], normal: [0, 0, -1], area: area(cell) - open });
  return [under, ...edgesOf(base, { cells: [cell], table })];
}

interface Faced {
  readonly cell: Rectangle;
  readonly keeping: Keeping;
  readonly openings: readonly Rectangle[];
}

/** The outer edges of cells as flat faces; those in one line are one face. */
function edgesOf(
  base: Base,
  { cells, table }: { readonly cells: readonly Rectangle[]; readonly table: Placement },
): readonly Feature[] {
  const borders = bordersOf(base.cells);
  return CELL_EDGES.flatMap(({ axis, edge }) => {
    const other = axis === 0 ? 1 : 0;
    const outer = cells.filter((cell) => isOuter(cell, { axis, edge }, borders));
    const lines = [...new Set(outer.map((cell) => cell[axis][edge]))];
    return lines.map((at) => {
      const along = outer
        .filter((cell) => cell[axis][edge] === at)
        .reduce((sum, cell) => sum + cell[other].high - cell[other].low - 2, 0);
      const sign = edge === 'low' ? -1 : 1;
      const normal: Vec3 = axis === 0 ? [sign, 0, 0] : [0, sign, 0];
      const point: Vec3 = axis === 0 ? [at, 0, 0] : [0, at, 0];
      return faceAt(table, { point, normal, area: along * (BASE - FOOT_CHAMFER) });
    });
  });
}

const faceAt = (
  table: Placement,
  { point, normal, area }: { readonly point: Vec3; readonly normal: Vec3; readonly area: number },
): Feature => ({
  kind: 'face',
  plane: { point: place(table, point), normal: placeDirection(table, normal) },
  area: FOUND * area,
});

/** Parts of one base that meet with keys between them. */
function keysOf({ keeping, bases }: CradlePlan, cells: readonly Cell[]): readonly Keyed[] {
  const { table } = keeping;
  return bases.flatMap((base) => {
    const seats = keySeats(base, keeping);
    return bordersOf(base.cells).flatMap(({ first, second, axis, at, shared }): readonly Keyed[] => {
      const keyed = seats.some(
        (seat) => seat.axis === axis && seat.at === at && seat.along > shared.low && seat.along < shared.high,
      );
      if (!keyed) return [];
      const nameOf = (cell: Rectangle): string => cells.find((candidate) => candidate.cell === cell)!.name;
      const across = placeDirection(table, axis === 0 ? [1, 0, 0] : [0, 1, 0]);
      return [{ parts: [nameOf(first), nameOf(second)], across, up: table.z }];
    });
  });
}

/** Letters on both end faces of a post: its number, the tube's name and the end that lies that way; on a piece of a tall one also which. */
function saddleLabels(
  saddle: Saddle,
  keeping: Keeping,
  piece?: { readonly rise: Rise; readonly words: string },
): readonly LabelSolid[] {
  return (['start', 'end'] as const).flatMap((end) => {
    const { face, box } = writingFace(saddle, end, { keeping, low: piece?.rise.low ?? BASE });
    if (box[1] < 4) return [];
    const { name } = saddle.held.member;
    const number = String(saddle.number);
    const lines: readonly Wordings[] = [
      [
        [`${number} ${name}.${end}`],
        [`${number} ${name}`, `.${end}`],
        ...wrapped(`${number} ${name}.${end}`),
        [number],
      ],
      ...(piece ? [[[piece.words], ...wrapped(piece.words)]] : []),
    ];
    return [{ ...sunkLines(lines, { at: face, box, letter: 6 }), name: `label ${saddle.number} ${end}` }];
  });
}

/** Where letters go on an end face: under the tube's room, over the base or the foot of the piece. */
function writingFace(saddle: Saddle, end: EndName, { keeping, low: foot }: { keeping: Keeping; low: Mm }) {
  const { table } = keeping;
  const { s, out, frame, side } = endFace(saddle, end, keeping);
  const [low, high] = [foot + 1.5, Math.min(undersideOf(saddle, [s], keeping) - 2, foot + 26)];
  const middle = unplace(table, frame.origin);
  const z = unplaceDirection(table, out);
  const up: Vec3 = [0, 0, 1];
  const face = { origin: [middle[0], middle[1], (low + high) / 2] as const, x: cross(up, z), y: up, z };
  return { face, box: [2 * side - 4, high - low] as const };
}

/** Letters on a free stretch of a rail: the tool, its revision, which piece; an arrow to the corner all is measured from. */
function baseLabel(
  plan: CradlePlan,
  { base, cell, saddles, letter, revision }: Cell & { readonly revision: string },
): readonly LabelSolid[] {
  const { keeping, request } = plan;
  const [x, y] = cell;
  const band: Extent = { low: y.low + 2.5, high: y.low + RAIL - 2.5 };
  const taken = saddles.flatMap((saddle) => {
    const corners = footprint(saddle, keeping);
    const ys = corners.map((p) => p[1]);
    const xs = corners.map((p) => p[0]);
    return Math.min(...ys) < y.low + RAIL ? [{ low: Math.min(...xs) - 1.5, high: Math.max(...xs) + 1.5 }] : [];
  });
  const free = freeStretch({ low: x.low + 8, high: x.high - 8 }, taken);
  if (free.high - free.low < 14) return [];
  const wide: Mm = Math.min(free.high - free.low, 90);
  // Nearest to the corner that is measured from.
  const at = placementFrom([free.low + wide / 2, (band.low + band.high) / 2, BASE], [0, 0, 1], [1, 0, 0]);
  const corner = cell === base.cells[0];
  const mark = [...(corner ? ['←'] : []), ...(letter ? [letter.toUpperCase()] : []), revision].join(' ');
  const lines: readonly Wordings[] = [
    [[mark], [revision]],
    [[request.name], ...wrapped(request.name)],
  ];
  return [{ ...sunkLines(lines, { at, box: [wide, band.high - band.low], letter: 5 }), name: 'label of the base' }];
}

/** The longest stretch that nothing takes. */
function freeStretch({ low, high }: Extent, taken: readonly Extent[]): Extent {
  const sorted = [...taken].sort((p, q) => p.low - q.low);
  let from = low;
  let best: Extent = { low, high: low };
  for (const { low: start, high: end } of [...sorted, { low: high, high }]) {
    if (Math.min(start, high) - from > best.high - best.low) best = { low: from, high: Math.min(start, high) };
    from = Math.max(from, end);
  }
  return best;
}
