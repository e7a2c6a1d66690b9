import { cosd, sind } from '../geometry/angle.ts';
import { compose, IDENTITY, type Placement } from '../geometry/placement.ts';
import { tubeReach } from '../geometry/tube-shape.ts';
import type { Deg, Mm, Vec2 } from '../geometry/vector.ts';
import type { Shop } from '../job/job.ts';
import { figure, type Outcome, type Problem } from '../job/problem.ts';
import type { LabelSolid, Solid } from '../solid/expression.ts';
import { type Box, boxOf, type Columns } from './columns.ts';
import { DOWEL } from './part-keys.ts';
import { piecesOf } from './part-pieces.ts';
import {
  linesThrough,
  MOST_PIECES,
  newPatience,
  type Parting,
  type Patience,
  planParting,
  tightBox,
} from './part-plan.ts';
import { aside, narrowed, regionsOf, squeezed } from './part-regions.ts';
import { recentered } from './print-pose.ts';
import { type CutRequest, type ToolRequest, toolProblem } from './request.ts';
import { markOf } from './revision.ts';
import { convexHull } from './sweep.ts';
import type { Feature, Tool, ToolPart, Whole } from './tool.ts';

/** Walls that hold dowels, and where planes cross them aslant. */
const WALLS: readonly Mm[] = [DOWEL.wall, DOWEL.wall + 3];

/** What tools take beside the tube besides walls, a bridge or a pad; and along it besides the tube's width and the slant. */
const BESIDE_TUBE: Mm = 16;
const ALONG_TUBE: Mm = 40;

type Bed = readonly [Mm, Mm, Mm];

/**
 * A tool as the shop's printer takes it: as it is where every part fits; else with parts turned on the bed; else with parts
 * in pieces that are keyed, in walls that are made thick enough to hold the keys if need be. Problems: a part that cannot be
 * parted so.
 */
export function fitToBed<R extends ToolRequest>(
  request: R,
  { made, make }: { readonly made: Outcome<Tool>; readonly make: (request: R) => Outcome<Tool> },
): Outcome<Tool> {
  const tool = made.value;
  const { bed } = request.shop.printer;
  if (!tool || tool.parts.every(({ solid }) => fits(boxOf(solid), bed))) return made;
  if (tool.parts.some(({ solid }) => leastPieces(boxOf(solid), bed) > MOST_PIECES))
    return { problems: [...made.problems, tooLarge(request, tool)] };
  // An even wall round a tube has no corners to hold keys.
  const thin = tool.kind === 'notch-collar' && tool.parts.length === 1 ? [] : [request.shop.wall];
  const patience = newPatience();
  for (const wall of [...thin, ...WALLS.map((least) => Math.max(least, request.shop.wall))]) {
    const walled = wall === request.shop.wall ? made : make(withWall(request, wall));
    const fitted = walled.value && fittedTool(walled.value, { shop: request.shop, patience });
    if (fitted) return { value: fitted, problems: walled.problems };
  }
  return { problems: [...made.problems, tooLarge(request, tool)] };
}

/**
 * Whether a tool for a cut end is surely no larger than the bed, or was found to fit it: `auto` asks for no other. What a tube,
 * its walls and the slant of the cut take up tells of most without shaping them.
 */
export function takesBed(request: CutRequest, shaped: () => Outcome<Tool>): boolean {
  const { end, shop } = request;
  const { bed } = shop.printer;
  const wide = 2 * (tubeReach(end.member) + shop.wall) + BESIDE_TUBE;
  const slant = Math.abs(end.longPoint - end.shortPoint);
  const small =
    wide <= Math.min(bed[0], bed[1]) && wide + slant + ALONG_TUBE <= Math.min(Math.max(bed[0], bed[1]), bed[2]);
  return (small && !end.bend) || shaped().value !== undefined;
}

/** The same request of a shop that prints thicker walls. */
function withWall<R extends ToolRequest>(request: R, wall: Mm): R {
  const shop: Shop = { ...request.shop, wall };
  return { ...request, shop, solution: { ...request.solution, job: { ...request.solution.job, shop } } };
}

const sizeOf = ({ min, max }: Box): Bed => [max[0] - min[0], max[1] - min[1], max[2] - min[2]];

function fits(box: Box, bed: Bed): boolean {
  const [x, y, z] = sizeOf(box);
  return z <= bed[2] && ((x <= bed[0] && y <= bed[1]) || (x <= bed[1] && y <= bed[0]));
}

/** Pieces of a hollow box, which tools are at best: one for every bed along its sides, at every level. */
function leastPieces(box: Box, bed: Bed): number {
  const [x, y, z] = sizeOf(box);
  const reach = Math.max(bed[0], bed[1]);
  const [along, across, levels] = [Math.ceil(x / reach), Math.ceil(y / reach), Math.ceil(z / bed[2])];
  return (along * across - Math.max(0, along - 2) * Math.max(0, across - 2)) * levels;
}

/** What becomes of one part. */
type Fate =
  | { readonly kind: 'whole'; readonly part: ToolPart }
  | { readonly kind: 'pieces'; readonly part: ToolPart; readonly parting: Parting };

function fittedTool(
  tool: Tool,
  { shop, patience }: { readonly shop: Shop; readonly patience: Patience },
): Tool | undefined {
  const { bed } = shop.printer;
  const fates = tool.parts.map((part): Fate | undefined => {
    if (fits(boxOf(part.solid), bed)) return { kind: 'whole', part };
    const columns = linesThrough(part.solid, patience);
    if (!columns) return undefined;
    const turned = turnedToFit(part, { columns, bed });
    return turned ? { kind: 'whole', part: turned } : inPieces(part, { columns, bed, patience });
  });
  if (fates.some((fate) => fate === undefined)) return undefined;
  if (fates.reduce((sum, fate) => sum + piecesIn(fate!), 0) > MOST_PIECES) return undefined;
  return fates.every((fate) => fate!.kind === 'whole')
    ? { ...tool, parts: fates.map((fate) => fate!.part) }
    : partedTool(tool, { fates: fates as readonly Fate[], shop });
}

/** The part turned on the bed so that it fits, if any turn does. */
function turnedToFit(
  part: ToolPart,
  { columns, bed }: { readonly columns: Columns; readonly bed: Bed },
): ToolPart | undefined {
  const box = tightBox(part.solid, columns);
  if (box.max[2] - box.min[2] > bed[2]) return undefined;
  const outline = outlineOf(columns, box);
  const span = (deg: Deg): Vec2 => {
    const turned = outline.map(([x, y]): Vec2 => [x * cosd(deg) - y * sind(deg), x * sind(deg) + y * cosd(deg)]);
    const side = (k: 0 | 1): Mm => Math.max(...turned.map((p) => p[k])) - Math.min(...turned.map((p) => p[k]));
    return [side(0), side(1)];
  };
  const turns = Array.from({ length: 180 }, (_, deg) => deg);
  const deg = turns.find((turn) => {
    const [x, y] = span(turn);
    return x <= bed[0] && y <= bed[1];
  });
  if (deg === undefined) return undefined;
  return deg === 0 ? part : { ...part, ...turned(part, deg) };
}

/** Corners round all lines that meet stuff, and half the room between lines. */
function outlineOf({ x0, y0, pitch, nx, lines }: Columns, { min, max }: Box): readonly Vec2[] {
  const inside = (value: Mm, k: 0 | 1): Mm => Math.max(min[k], Math.min(max[k], value));
  const corners = lines.flatMap((line, k): readonly Vec2[] => {
    if (line.length === 0) return [];
    const [x, y] = [x0 + (k % nx) * pitch, y0 + Math.floor(k / nx) * pitch];
    return [-pitch, pitch].flatMap((dx) => [-pitch, pitch].map((dy): Vec2 => [inside(x + dx, 0), inside(y + dy, 1)]));
  });
  return convexHull(corners);
}

/** A part turned about the bed's upright, over its middle. */
export function turned({ solid, pose }: ToolPart, deg: Deg): Pick<ToolPart, 'solid' | 'pose'> {
  const [c, s] = [cosd(deg), sind(deg)];
  const way: Placement = { origin: [0, 0, 0], x: [c, s, 0], y: [-s, c, 0], z: [0, 0, 1] };
  const back: Placement = { origin: [0, 0, 0], x: [c, -s, 0], y: [s, c, 0], z: [0, 0, 1] };
  const turnedSolid = (one: Solid): Solid => ({ kind: 'place', name: one.name, of: one, at: way });
  const moved: Solid =
    solid.kind === 'either'
      ? { ...solid, of: [turnedSolid(solid.of[0]), ...solid.of.slice(1).map(turnedSolid)] }
      : turnedSolid(solid);
  const { min, max } = boxOf(moved);
  return recentered(moved, compose(pose, back), [(min[0] + max[0]) / 2, (min[1] + max[1]) / 2, 0]);
}

/** Letters in as little room as they need are easier to part beside; in the least they can be read in, easier still; or off the middle. */
const SETTINGS: readonly ((lines: Columns) => Setting)[] = [
  () => narrowed,
  () => squeezed,
  (lines) => (label, at) => aside(label, { lines, at, side: 1 }),
  (lines) => (label, at) => aside(label, { lines, at, side: -1 }),
];
/** Of these so many leave letters where they were. */
const IN_PLACE = 2;
/** Planes square to the bed's sides part a ring where its pad or its notches are, or beside its middle; turned they pass them. */
const TURNS: readonly Deg[] = [0, 45, 30];

function inPieces(
  part: ToolPart,
  { columns, bed, patience }: { readonly columns: Columns; readonly bed: Bed; readonly patience: Patience },
): Fate | undefined {
  const { min, max } = tightBox(part.solid, columns);
  const flat = fits({ min, max: [max[0], max[1], min[2]] }, bed);
  // What is too tall alone is no lower for being turned, and planes through a trough go square to it.
  const trough = part.tubes.some(({ insertion }) => insertion.kind === 'lift') && part.features.every(isOfTrough);
  for (const deg of flat || trough ? [0] : TURNS) {
    const stood = deg === 0 ? part : { ...part, ...turned(part, deg) };
    const lines = deg === 0 ? columns : linesThrough(stood.solid, patience);
    if (!lines) return undefined;
    const tried = new Set<string>();
    for (const [i, setting] of SETTINGS.entries()) {
      const solid = withLetters(stood.solid, setting(lines));
      const moved = i >= IN_PLACE;
      const regions = regionsOf({ ...stood, solid });
      const through = moved ? linesThrough(solid, patience) : lines;
      const parting =
        through && planParting(solid, { columns: through, regions, bed, tried: moved ? new Set() : tried, patience });
      if (parting) return { kind: 'pieces', part: { ...stood, solid }, parting };
    }
  }
  return undefined;
}

const isOfTrough = ({ kind }: Feature): boolean => kind !== 'cut-edge';

/** How a label is set: given where its part stands on the bed. */
type Setting = (label: LabelSolid, at: Placement) => LabelSolid;

function withLetters(solid: Solid, set: Setting, at: Placement = IDENTITY): Solid {
  const within = (one: Solid): Solid => withLetters(one, set, at);
  switch (solid.kind) {
    case 'label':
      return set(solid, at);
    case 'place':
      return { ...solid, of: withLetters(solid.of, set, compose(at, solid.at)) };
    case 'subtract':
      return { ...solid, from: within(solid.from), cuts: solid.cuts.map(within) };
    case 'either':
      return { ...solid, of: [within(solid.of[0]), ...solid.of.slice(1).map(within)] };
    case 'union':
    case 'intersect':
      return { ...solid, of: solid.of.map(within) };
    default:
      return solid;
  }
}

/** Pieces of all parts, lettered in one row, under a mark that says how they were parted. */
function partedTool(tool: Tool, { fates, shop }: { readonly fates: readonly Fate[]; readonly shop: Shop }): Tool {
  const revision = markOf(
    ['pieces', tool.revision],
    fates.flatMap((fate) =>
      fate.kind === 'whole'
        ? [0]
        : fate.parting.levels.flatMap(({ foot, top, cells }) => [
            foot,
            top,
            ...cells.flatMap((cell) => cell.flatMap(({ low, high }) => [low, high])),
          ]),
    ),
  );
  const relabeled = (part: ToolPart): ToolPart => ({
    ...part,
    solid: withLetters(part.solid, (label) => ({
      ...label,
      lines: label.lines.map((line) => line.replace(tool.revision, revision)),
    })),
  });
  const count = fates.reduce((sum, fate) => sum + piecesIn(fate), 0);
  let before = 0;
  const made = fates.map((fate) => {
    const first = before;
    before += piecesIn(fate);
    const nameOf = (i: number): string => `${tool.name}-${String.fromCharCode(97 + first + i)}`;
    const part = relabeled(fate.part);
    if (fate.kind === 'whole') return { parts: [{ ...part, name: nameOf(0) }], whole: undefined };
    const marks = (i: number): readonly [string, string] => [`${first + i + 1} of ${count}`, revision];
    const wholeName = fates.length > 1 ? `${nameOf(0)} to ${nameOf(piecesIn(fate) - 1)}` : tool.name;
    const naming = { nameOf, wholeName, ...(shop.labels ? { markOf: marks } : {}) };
    return piecesOf(part, { parting: fate.parting, naming });
  });
  const wholes = made.flatMap(({ whole }) => whole ?? []);
  return {
    ...tool,
    revision,
    parts: made.flatMap(({ parts }) => parts),
    wholes,
    facts: [...tool.facts, { label: 'printed in pieces', value: count }, ...jointFacts(wholes), ...dowelFacts(fates)],
    use: [...joiningOf(fates), ...tool.use],
  };
}

const piecesIn = (fate: Fate): number =>
  fate.kind === 'whole' ? 1 : fate.parting.levels.reduce((sum, { cells }) => sum + cells.length, 0);

const meetingsIn = (fates: readonly Fate[]) =>
  fates.flatMap((fate) => (fate.kind === 'pieces' ? fate.parting.meetings : []));

/** Which pieces meet, by the letters of their files. */
function jointFacts(wholes: readonly Whole[]): Tool['facts'] {
  const letters = wholes.flatMap(({ keys }) => keys.map(({ parts }) => parts.map((name) => name.at(-1)).join('-')));
  return [{ label: 'pieces that meet', value: letters.join(', ') }];
}

function dowelFacts(fates: readonly Fate[]): Tool['facts'] {
  const count = meetingsIn(fates).reduce((sum, { dowels }) => sum + dowels.length, 0);
  if (count === 0) return [];
  return [{ label: `dowels of 1.75 mm filament, ${2 * DOWEL.deep - 1} mm long`, value: count }];
}

/** How the pieces go together, in the order they do. */
function joiningOf(fates: readonly Fate[]): readonly string[] {
  const meetings = meetingsIn(fates);
  const dovetails = meetings.some((meeting) => meeting.dovetails.length > 0);
  const level = meetings.some(({ axis, dowels }) => axis !== 2 && dowels.length > 0);
  const stacked = meetings.some(({ axis }) => axis === 2);
  return [
    'Join the pieces first, dry, then with glue on the faces that meet; the number under each (or in a face that meets another) counts them as their files are lettered, 1 for a.',
    ...(dovetails
      ? ['Stand them on a flat table as printed: each comes down from above on the keys of the one before.']
      : []),
    ...(level
      ? ['Put dowels of filament into the holes of one face and push the next piece onto them, both flat on the table.']
      : []),
    ...(stacked ? ['Stack what stands over another on its dowels, from below up.'] : []),
    'Lay a straightedge over every joint before the glue sets: faces and working edges run on across it.',
  ];
}

function tooLarge(request: ToolRequest, tool: Tool): Problem {
  const { bed } = request.shop.printer;
  const part = tool.parts.find(({ solid }) => !fits(boxOf(solid), bed)) ?? tool.parts[0]!;
  const size = sizeOf(boxOf(part.solid));
  const reach = Math.max(bed[0], bed[1]);
  const longest = longestCut(part);
  const made = `the part is ${size.map(figure).join(' x ')} mm, the printer takes ${bed.join(' x ')} mm`;
  const printer = 'give the printer it is printed on in shop.printer.bed';
  if (longest && longest.long > reach) {
    return toolProblem(request, {
      code: 'tool/larger-than-bed',
      message: `${made}; its ${longest.what} alone is ${figure(longest.long)} mm long, and no piece can hold it whole`,
      hint: `mark the cut by its wrap template, or ${printer}`,
      measured: longest.long,
      limit: reach,
    });
  }
  const pieces = leastPieces(boxOf(part.solid), bed);
  if (pieces > MOST_PIECES) {
    return toolProblem(request, {
      code: 'tool/larger-than-bed',
      message: `${made}: ${pieces} pieces or more, and no tool is printed in more than ${MOST_PIECES}`,
      hint: `mark the cut by its wrap template, or ${printer}`,
      measured: pieces,
      limit: MOST_PIECES,
    });
  }
  return toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `${made}, and no planes square to the bed's sides part it into pieces that fit, hold each other and leave its cut, holes and letters whole`,
    hint: `give a smaller \`grip\` or another datum, mark the cut by its wrap template, or ${printer}`,
    measured: Math.max(...size),
    limit: reach,
  });
}

/** The longest of what must stay in one piece: a slot or a window, as it lies on the bed. */
function longestCut(part: ToolPart): { readonly what: string; readonly long: Mm } | undefined {
  const cuts = regionsOf(part).filter(({ kind }) => kind === 'cut' || kind === 'window');
  const found = cuts.map(({ kind, box }) => {
    const [x, y] = sizeOf(box);
    return { what: kind === 'cut' ? 'blade slot' : 'window', long: kind === 'cut' ? Math.hypot(x, y) : Math.max(x, y) };
  });
  const [first, ...others] = found;
  return first && others.reduce((most, cut) => (cut.long > most.long ? cut : most), first);
}
