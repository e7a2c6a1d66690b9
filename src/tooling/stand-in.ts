import { type BendSegment, frameAt } from '../geometry/centerline.ts';
import type { Placement } from '../geometry/placement.ts';
import { LEAST_WALL, MARK_HAIRS } from '../geometry/tolerance.ts';
import { tapersOf } from '../geometry/tube-shape.ts';
import { cross, type Mm, scale, squareTo, unit } from '../geometry/vector.ts';
import type { StandInSpec } from '../job/bench-tools.ts';
import type { Solid } from '../solid/expression.ts';
import { recentered } from './print-pose.ts';
import type { OtherRequest, ToolMaker } from './request.ts';
import { angleText, lengthText, markOf, sizesOf, taperNumbers } from './revision.ts';
import { markLabel, markNumbers } from './stand-in-letters.ts';
import { dowelSeats, marksOf } from './stand-in-marks.ts';
import { pieceMesh } from './stand-in-mesh.ts';
import { chordOf, planStandIn, type StandInPiece } from './stand-in-plan.ts';
import type { Tool, ToolFact, ToolPart } from './tool.ts';

/** Letters and marks are cut into the wall, and the least wall must be left behind them. */
const wallOf = (wall: Mm): Mm => Math.max(wall, LEAST_WALL + 1.2);

/**
 * Printed dummy of a member or a part of one: its true outside, its ends as they are cut, so that a layout can be tried
 * before tube is bought. Stands where that prints without support, else lies in two halves on the plane of its bend.
 */
export const standIn: ToolMaker<OtherRequest<StandInSpec>> = (request) => {
  const planned = planStandIn(request);
  if (!planned.value) return { problems: planned.problems };
  const pieces = planned.value;
  const { name, path, solution, spec } = request;
  const revision = revisionOf(request, pieces);
  const parts = pieces.flatMap((piece, i) => partsOf(request, { piece, i, count: pieces.length, revision }));
  const what = spec.of.kind === 'member' ? spec.of.member : spec.of.section;
  const first = pieces[0]!;
  const length = pieces.at(-1)!.to.s - first.from.s;
  const tool: Tool = {
    name,
    kind: 'stand-in',
    title: `Stand-in for ${what}`,
    for: what,
    path,
    revision,
    parts,
    facts: [
      { label: 'length along the centerline', value: length, unit: 'mm' },
      ...bendFacts(pieces),
      {
        label: 'ends',
        value: [first.from, pieces.at(-1)!.to].map(({ cut }) => (cut ? `as ${cut.id} is cut` : 'square')).join(', '),
      },
      { label: 'printed parts', value: parts.length },
    ],
    use: useOf(request, { pieces, length: lengthText(length, solution.job.units) }),
  };
  return { value: tool, problems: planned.problems };
};

const bendsOf = (pieces: readonly StandInPiece[]): readonly BendSegment[] => {
  const [from, to] = [pieces[0]!.from.s, pieces.at(-1)!.to.s];
  return pieces[0]!.member.centerline.segments.filter(
    (x): x is BendSegment => x.kind === 'bend' && x.s0 < to - 1e-6 && x.s0 + x.length > from + 1e-6,
  );
};

const bendFacts = (pieces: readonly StandInPiece[]): readonly ToolFact[] =>
  bendsOf(pieces).flatMap((bend, i, { length }): readonly ToolFact[] => {
    const which = length > 1 ? ` ${i + 1}` : '';
    return [
      { label: `bend${which}`, value: bend.bendAngleDeg, unit: 'deg' },
      { label: `clr${which}`, value: bend.clr, unit: 'mm' },
    ];
  });

function useOf(
  { spec }: OtherRequest<StandInSpec>,
  { pieces, length }: { readonly pieces: readonly StandInPiece[]; readonly length: string },
): readonly string[] {
  const halves = pieces.some(({ standsOn }) => standsOn === undefined);
  return [
    ...(halves
      ? ['Pin the two halves of each piece with bits of 1.75 mm filament in their holes, and glue them.']
      : []),
    ...(pieces.length > 1
      ? ['Glue the pieces end to end, in the order of their letters, with filament in the grooves across the joint.']
      : []),
    ...(bendsOf(pieces).length > 0
      ? [
          `Marks on the outside of a bend stand every ${angleText(spec.marksDeg)} from the tangent point nearer the start; every second one is longer, numbers beyond them tell degrees, and the tangent points go half way round.`,
        ]
      : []),
    'The groove along the tube is its witness line; where there is none, the seam of the halves on that side is.',
    `Use it in place of ${length} of tube to try the layout: it is as large outside as the tube, and carries no load.`,
  ];
}

function revisionOf({ spec, shop }: OtherRequest<StandInSpec>, pieces: readonly StandInPiece[]): string {
  const { member } = pieces[0]!;
  const { section, centerline } = member;
  const ends = pieces.flatMap(({ from, to }) =>
    [from, to].flatMap(({ s, cut }) => [
      s,
      ...(cut?.curves.outer.samples.filter((_, i, all) => i % Math.ceil(all.length / 72) === 0).map((x) => x.s) ?? []),
    ]),
  );
  const bends = centerline.segments.flatMap((x) =>
    x.kind === 'bend' ? [x.s0, x.clr, x.bendAngleDeg, x.towardDeg] : [],
  );
  return markOf(
    [
      'stand-in with numbers',
      section.kind,
      ...tapersOf(member).map(({ to }) => to.kind),
      ...pieces.map(({ standsOn }) => standsOn ?? 'halves'),
    ],
    [shop.wall, shop.chordTolerance, spec.marksDeg, ...sizesOf(section), ...bends, ...taperNumbers(member), ...ends],
  );
}

interface PieceOf {
  readonly piece: StandInPiece;
  readonly i: number;
  readonly count: number;
  readonly revision: string;
}

function partsOf(request: OtherRequest<StandInSpec>, of: PieceOf): readonly ToolPart[] {
  const letter = (k: number): string => String.fromCharCode(97 + k);
  if (of.piece.standsOn) return [part(request, { ...of, name: request.name })];
  const stem = of.count > 1 ? `${request.name}-${letter(of.i)}` : request.name;
  return ([1, -1] as const).map((sign, k) =>
    part(request, { ...of, sign, name: of.count > 1 ? `${stem}${k + 1}` : `${stem}-${letter(k)}` }),
  );
}

function part(
  request: OtherRequest<StandInSpec>,
  { piece, i, count, revision, sign, name }: PieceOf & { readonly sign?: 1 | -1; readonly name: string },
): ToolPart {
  const { shop, spec } = request;
  const wall = wallOf(shop.wall);
  const into = poseOf(piece, sign);
  const mesh = pieceMesh(piece, {
    wall,
    chordTolerance: shop.chordTolerance,
    into,
    ...(sign === undefined ? {} : { sign }),
  });
  const body: Solid = { kind: 'mesh', name: 'tube', mesh };
  const joints = [...(i > 0 ? (['from'] as const) : []), ...(i + 1 < count ? (['to'] as const) : [])];
  const more = count > 1 ? String.fromCharCode(65 + i) : '';
  const construction = (hair: Mm): Solid => {
    const marking = { piece, into, hair };
    const drawn = marksOf(marking, spec.marksDeg);
    // Marks of the other half are kept beside ours: one that ended on the parting plane would leave a face in it.
    const marks = drawn.some((mark) => meets(mark, mesh.positions)) ? drawn : [];
    const label = shop.labels
      ? markLabel(marking, { sign: sign ?? 1, revision, name: piece.member.name, more })
      : undefined;
    const numbers = shop.labels && drawn.length > 0 ? markNumbers(marking, spec.marksDeg, sign ?? 1) : [];
    const cuts: readonly Solid[] = [
      ...(marks.length > 0 ? [{ kind: 'union', name: 'marks', of: marks } as const] : []),
      ...(sign === undefined ? [] : dowelSeats(marking, { sign, wall, joints })),
      ...(label ? [label] : []),
      ...numbers,
    ];
    return cuts.length > 0 ? { kind: 'subtract', name: 'stand-in', from: body, cuts } : body;
  };
  const [first, ...others] = MARK_HAIRS;
  const solid: Solid = { kind: 'either', name: 'stand-in', of: [construction(first!), ...others.map(construction)] };
  const middle = [0, 1].map((k) => {
    const xs = mesh.positions.filter((_, j) => j % 3 === k);
    return (xs.reduce((p, x) => Math.min(p, x), Infinity) + xs.reduce((p, x) => Math.max(p, x), -Infinity)) / 2;
  });
  const { member, from, to, out } = piece;
  return {
    name,
    ...recentered(solid, into, [middle[0]!, middle[1]!, 0]),
    tubes: [],
    // A cut tube runs out to an edge where it is cut slantwise.
    leastWall: from.cut || to.cut ? 0 : LEAST_WALL,
    features: [
      {
        kind: 'skin',
        member,
        from: from.s,
        to: to.s,
        bow: shop.chordTolerance,
        ends: [from, to].flatMap(({ cut }) => (cut ? [cut.curves.outer] : [])),
        ...(sign === undefined ? {} : { side: scale(out, sign) }),
      },
    ],
  };
}

/** Standing on its foot, or lying on the parting plane with the chord of the piece along the bed. */
function poseOf(piece: StandInPiece, sign: 1 | -1 | undefined): Placement {
  const { member, from, to, out, standsOn } = piece;
  if (sign === undefined) {
    const s = standsOn === 'to' ? to.s : from.s;
    const frame = frameAt(member.centerline, s);
    const z = scale(frame.heading, standsOn === 'to' ? -1 : 1);
    const x = scale(out, -1);
    return { origin: frame.origin, x: cross(x, z), y: cross(z, cross(x, z)), z };
  }
  const z = scale(out, sign);
  const x = unit(squareTo(chordOf(piece), z));
  return { origin: frameAt(member.centerline, from.s).origin, x, y: cross(z, x), z };
}

/** Whether a mark lies on this half. */
function meets(mark: Solid, positions: Float64Array): boolean {
  const points =
    mark.kind === 'hull'
      ? mark.points.map(([, , z]) => z)
      : mark.kind === 'mesh'
        ? [...mark.mesh.positions.filter((_, j) => j % 3 === 2)]
        : [];
  const foot = positions.filter((_, j) => j % 3 === 2).reduce((least, z) => Math.min(least, z), Infinity);
  return points.some((z) => z > foot + 0.6);
}
