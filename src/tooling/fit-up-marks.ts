import { placementFrom, unplace, unplaceDirection } from '../geometry/placement.ts';
import { cross, type Mm, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { LabelSolid } from '../solid/expression.ts';
import type { EndName } from '../solve/solution.ts';
import { BASE, type Base, RAIL } from './fit-up-base.ts';
import type { Keeping } from './fit-up-clear.ts';
import type { CradlePlan } from './fit-up-plan.ts';
import {
  bedOf,
  endFace,
  footprint,
  liesLevel,
  type Rise,
  type Saddle,
  shoulderAt,
  tubeRoom,
  undersideOf,
} from './fit-up-saddle.ts';
import { SCREW } from './fit-up-screws.ts';
import { sunkLines, type Wordings, wrapped } from './label.ts';
import { lengthText } from './revision.ts';
import type { Extent, Rectangle } from './split.ts';
import { type WitnessNotch, witnessNotch } from './witness.ts';

/** The end face of a saddle that a line scribed round the tube is set flush with, and how far from the tube's end that line is. */
export interface SaddleMark {
  readonly side: EndName;
  /** From the end of the piece on that side, its long point where it is cut at a slant or coped. */
  readonly distance: Mm;
  readonly longPoint: boolean;
}

/** Where a saddle's tube is marked; none where its end stands against a stop. The face that looks to the nearer end counts. */
export function markOn({ held: { piece }, from, to, stop }: Saddle): SaddleMark | undefined {
  if (stop) return undefined;
  const side = from - piece.from <= piece.to - to ? 'start' : 'end';
  const end = side === 'start' ? piece.startEnd : piece.finishEnd;
  return {
    side,
    distance: side === 'start' ? from - piece.from : piece.to - to,
    longPoint: end !== undefined && end.longPoint !== end.shortPoint,
  };
}

/** Notch to roll the tube by, in the lip of the end face that its mark is set to; only where that stands square to the tube. */
export function rollNotch(saddle: Saddle, keeping: Keeping): WitnessNotch | undefined {
  const mark = markOn(saddle);
  if (!mark || !liesLevel(saddle.held, saddle, keeping)) return undefined;
  const s = mark.side === 'start' ? saddle.from : saddle.to;
  const { shop, table } = keeping;
  const top = shoulderAt(saddle.held, s, table);
  const inward = mark.side === 'start' ? 1 : -1;
  return witnessNotch(bedOf(saddle, keeping), { s, inward, room: tubeRoom(shop), top, wall: shop.wall });
}

/**
 * Letters on both end faces of a post: its number, the tube's name and the end that lies that way, and on the face that a
 * mark is set to how far that is from the end; on a piece of a tall post also which piece it is.
 */
export function saddleLabels(
  { request, keeping }: CradlePlan,
  saddle: Saddle,
  piece?: { readonly rise: Rise; readonly words: string },
): readonly LabelSolid[] {
  const mark = markOn(saddle);
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
      ...(mark?.side === end ? [markWords(mark, lengthText(mark.distance, request.solution.job.units))] : []),
      ...(piece ? [[[piece.words], ...wrapped(piece.words)]] : []),
    ];
    return [{ ...sunkLines(lines, { at: face, box, letter: 6 }), name: `label ${saddle.number} ${end}` }];
  });
}

const markWords = ({ longPoint }: SaddleMark, distance: string): Wordings => [
  ...(longPoint ? [[`long point ${distance}`], ['long point', distance]] : [[`mark ${distance}`]]),
  [distance],
];

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

/** One piece of a base, and what stands in the way of letters on it. */
interface LabelledCell {
  readonly base: Base;
  readonly cell: Rectangle;
  readonly saddles: readonly Saddle[];
  readonly screws: readonly Vec2[];
  readonly letter: string;
  readonly revision: string;
}

/** Letters on a free stretch of a rail: the tool, its revision, which piece; an arrow to the corner all is measured from. */
export function baseLabel(
  { keeping, request }: CradlePlan,
  { base, cell, saddles, screws, letter, revision }: LabelledCell,
): readonly LabelSolid[] {
  const [x, y] = cell;
  const band: Extent = { low: y.low + 2.5, high: y.low + RAIL - 2.5 };
  const taken = saddles.flatMap((saddle) => {
    const corners = footprint(saddle, keeping);
    const ys = corners.map((p) => p[1]);
    const xs = corners.map((p) => p[0]);
    return Math.min(...ys) < y.low + RAIL ? [{ low: Math.min(...xs) - 1.5, high: Math.max(...xs) + 1.5 }] : [];
  });
  const heads = screws
    .filter((screw) => screw[1] < y.low + RAIL)
    .map((screw) => ({ low: screw[0] - SCREW.head, high: screw[0] + SCREW.head }));
  const free = freeStretch({ low: x.low + 8, high: x.high - 8 }, [...taken, ...heads]);
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
