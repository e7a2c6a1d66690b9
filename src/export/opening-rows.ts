import { perimeter } from '../geometry/section.ts';
import { isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { lengthRound } from '../geometry/tube-surface.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import type { Opening, OpeningSample, Solution } from '../solve/solution.ts';
import type { SheetTable } from './sheet-blocks.ts';
import { angleFigure, lengthFigure, type Units } from './sheet-figures.ts';

/** A hole for the cut list; lengths mm, angles degrees. */
export interface OpeningRow {
  readonly opening: string;
  /** Member it is in. */
  readonly on: string;
  /** What makes it: the bore or the outside of a branch, or its own shape. */
  readonly edge: 'bore' | 'outside' | 'own';
  /** Of the axis on the outside, along the centerline from the long points at the start and the end. */
  readonly fromStart: Mm;
  readonly fromEnd: Mm;
  /** Share of the turn from the witness line, in degrees, clockwise looking from start to end; and round the outside. */
  readonly turnDeg: Deg;
  readonly around: Mm;
  /** From there: toward the start and the end, and round to either side, counterclockwise first. */
  readonly toStart: Mm;
  readonly toEnd: Mm;
  readonly toLeft: Mm;
  readonly toRight: Mm;
  /** Edge on the outside of the tube, from the axis: round it clockwise, and along it toward the end. */
  readonly edgePoints: readonly { readonly around: Mm; readonly along: Mm }[];
  /** The hole goes through the whole wall all round. */
  readonly through: boolean;
}

/** Points of the edge that are listed: even steps round the cutter. */
const POINTS = 16;

export function openingRow(opening: Opening, { pieces, job }: Solution): OpeningRow {
  const { run, center, along, around, outside } = opening;
  const piece = pieces.find(({ member }) => member.name === run.name);
  if (!piece) throw new Error(`internal: no piece of ${run.name}`);
  const round = lengthRound(run, center.s, center.u);
  const own = job.openings?.some(({ name }) => name === opening.name) ?? false;
  return {
    opening: opening.name,
    on: run.name,
    edge: own ? 'own' : opening.edge,
    fromStart: center.s - piece.from,
    fromEnd: piece.to - center.s,
    turnDeg: isTapered(run) ? (360 * round) / perimeter(sectionAt(run, center.s)) : 360 * center.u,
    around: round,
    toStart: -along[0],
    toEnd: along[1],
    toLeft: -around[0],
    toRight: around[1],
    edgePoints: edgePoints(outside),
    through: opening.inside !== undefined,
  };
}

/** Samples nearest to even steps of the cutter's outline. */
function edgePoints(samples: readonly OpeningSample[]): OpeningRow['edgePoints'] {
  return Array.from({ length: POINTS }, (_, i) => {
    const after = samples.findIndex(({ v }) => v > i / POINTS);
    const q = samples[after] ?? samples[0]!;
    const p = samples[(after < 0 ? samples.length : after) - 1] ?? samples.at(-1)!;
    const wide = q.v - p.v + (q.v <= p.v ? 1 : 0);
    const share = (i / POINTS - p.v + (i / POINTS < p.v ? 1 : 0)) / wide;
    return { around: p.x + share * (q.x - p.x), along: p.y + share * (q.y - p.y) };
  });
}

const MADE_BY = { bore: 'the bore of the branch', outside: 'the outside of the branch', own: 'its own shape' } as const;

/** `port-end in flue-gore-5, by the bore of the branch`. */
export const openingTitle = (row: OpeningRow): string =>
  `opening ${row.opening} in ${row.on}, by ${MADE_BY[row.edge]}${row.through ? '' : '; it does not go through the bore all round'}`;

export const openingTables = (row: OpeningRow, units: Units): readonly SheetTable[] => [
  {
    kind: 'table',
    heads: [],
    sides: ['left', 'right'],
    rows: [
      ['axis, from the long point at the start', lengthFigure(row.fromStart, units)],
      ['from the long point at the end', lengthFigure(row.fromEnd, units)],
      ['round from the witness line', `${angleFigure(row.turnDeg)} deg`],
      ['the same round the outside', lengthFigure(row.around, units)],
      ['edge, toward the start', lengthFigure(row.toStart, units)],
      ['toward the end', lengthFigure(row.toEnd, units)],
      ['round, counterclockwise', lengthFigure(row.toLeft, units)],
      ['round, clockwise', lengthFigure(row.toRight, units)],
    ],
  },
  {
    kind: 'table',
    title: `Edge on the outside of the tube, from the axis: round it clockwise looking from start to end, along it toward the end`,
    heads: ['no.', 'round', 'along'],
    sides: ['right', 'right', 'right'],
    rows: row.edgePoints.map((p, i) => [String(i + 1), lengthFigure(p.around, units), lengthFigure(p.along, units)]),
  },
];
