import { type Placement, place, placeDirection, unplace } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { BASE, type Base, basePlate, cellsWithSaddles, keySeats, windows } from './fit-up-base.ts';
import { type Keeping, spanInPlan } from './fit-up-clear.ts';
import { baseLabel, rollNotch, saddleLabels } from './fit-up-marks.ts';
import type { CradlePlan } from './fit-up-plan.ts';
import { postSolid, postTops, type Rise, type Saddle, saddleCuts } from './fit-up-saddle.ts';
import { screwBore, screwHole, screwPlaces } from './fit-up-screws.ts';
import { middleOf, socket, tenon } from './fit-up-tall.ts';
import { recentered } from './print-pose.ts';
import { bordersOf, CELL_EDGES, isOuter, meet, pieceIn, type Rectangle } from './split.ts';
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
  const screws = screwPlaces(base, { cell, keeping });
  const plate = basePlate(base, { cell, saddles, keeping, kind: request.spec.base });
  const posts = saddles.flatMap((saddle) => {
    const [first] = stacks.get(saddle) ?? [];
    return first
      ? [postSolid(saddle, keeping, first), tenon(saddle, keeping, first.high)]
      : [postSolid(saddle, keeping)];
  });
  const body: Solid = posts.length > 0 ? { kind: 'union', name: 'base and posts', of: [plate, ...posts] } : plate;
  const labels = request.shop.labels
    ? [...saddles.flatMap((saddle) => saddleLabels(plan, saddle)), ...baseLabel(plan, { ...of, screws })]
    : [];
  const whole = saddles.filter((saddle) => !stacks.has(saddle));
  const cuts = [
    ...whole.flatMap((saddle) => roomCuts(saddle, plan)),
    ...screws.map((screw, i) => screwHole(screw, { name: `screw hole ${i + 1}`, shop: request.shop })),
    ...labels,
  ];
  const cradle: Solid = cuts.length > 0 ? { kind: 'subtract', name: 'cradle', from: body, cuts } : body;
  const solid =
    base.cells.length > 1 ? pieceIn(cradle, { cell, cells: base.cells, seats: keySeats(base, keeping) }) : cradle;
  const middle: Vec3 = [(cell[0].low + cell[0].high) / 2, (cell[1].low + cell[1].high) / 2, 0];
  return {
    printed: { name, leastWall: LEAST_WALL, ...recentered(solid, keeping.table, middle) },
    saddles: whole,
    faces: [
      ...facesOf(base, { cell, keeping, openings: windows({ cell, saddles, keeping, kind: request.spec.base }) }),
      ...screws.map((screw) => screwBore(screw, keeping.table)),
    ],
  };
}

/** How far a strap's tunnel goes past its post, where another overlaps it and where none does. */
const THROUGH: Mm = 10;
const BEYOND: Mm = 0.5;

/** What is cut from a post: the tube's room, the strap's tunnel, the notch to roll the tube by. */
function roomCuts(saddle: Saddle, { saddles, keeping }: CradlePlan): readonly Solid[] {
  const notch = rollNotch(saddle, keeping);
  const [foot, ...feet] = [saddle, ...saddles.filter((other) => other !== saddle)].map((one) =>
    spanInPlan(postTops(one.held, one, keeping), keeping.table),
  );
  // Through a post that it overlaps the strap has to come out; one that stands by itself is left whole.
  const past = feet.some((other) => meet(foot!, other, 0)) ? THROUGH : BEYOND;
  return [...saddleCuts(saddle, keeping, past), ...(notch ? [notch.cut] : [])];
}

/** A piece of a tall post: stands on the tenon of the one below; the top one has the tube's room. */
function riserPart(plan: CradlePlan, riser: Riser, revision: string): CradlePart {
  const { request, keeping, stacks } = plan;
  const { saddle, rise, name, letter } = riser;
  const isTop = rise === stacks.get(saddle)?.at(-1);
  const post = postSolid(saddle, keeping, rise);
  const body: Solid = isTop
    ? post
    : { kind: 'union', name: 'post and tenon', of: [post, tenon(saddle, keeping, rise.high)] };
  const words = `${letter.toUpperCase()} ${revision}`;
  const labels = request.shop.labels ? saddleLabels(plan, saddle, { rise, words }) : [];
  const cuts = [...socket(saddle, keeping, rise.low), ...(isTop ? roomCuts(saddle, plan) : []), ...labels];
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
