import { atan2d, turnDeg } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import { place } from '../geometry/placement.ts';
import { tapersOf } from '../geometry/tube-shape.ts';
import { dot, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { FitUpCradleSpec } from '../job/fit-up.ts';
import type { Outcome } from '../job/problem.ts';
import type { CutEnd, Piece } from '../solve/solution.ts';
import { cornerOf } from './fit-up-base.ts';
import type { HeldPiece } from './fit-up-joints.ts';
import { markOn, rollNotch } from './fit-up-marks.ts';
import { type CradlePart, cradleParts } from './fit-up-parts.ts';
import { belowBench, type CradlePlan, type CradleRequest, planCradle } from './fit-up-plan.ts';
import { endFace, footprint, overTable, type Saddle, stopThickness } from './fit-up-saddle.ts';
import { SCREW } from './fit-up-screws.ts';
import type { ToolMaker } from './request.ts';
import { angleText, lengthText, markOf, sizesOf, taperNumbers } from './revision.ts';
import { slidingFit } from './stations.ts';
import type { Feature, HeldTube, Tool, ToolFact } from './tool.ts';
import { lineText } from './witness.ts';

/**
 * Saddles on a flat base that hold the members of joints where they are welded: every tube drops in from above, nothing
 * printed comes nearer to a seam than the heat distance, and the base's edges are straight and square, to be laid along
 * lines on the bench. What does not fit the bed is parted and keyed; joints that lie apart stand on bases of their own.
 */
export const fitUpCradle: ToolMaker<CradleRequest> = (request): Outcome<Tool> => {
  const planned = planCradle(request);
  return planned.value
    ? { value: cradleTool(planned.value), problems: planned.problems }
    : { problems: planned.problems };
};

/** What its file is called after: the one joint it holds, the members, or the whole. */
export function heldName({ holds }: FitUpCradleSpec): string {
  if (holds.kind === 'all') return 'all';
  const names =
    holds.kind === 'members' ? holds.members.map(({ member }) => member) : holds.joints.map(({ joint }) => joint);
  return names.length > 3 ? `${names[0]}-and-${names.length - 1}-more` : names.join('-');
}

function cradleTool(plan: CradlePlan): Tool {
  const { request, gathering, saddles } = plan;
  const { name, path, spec } = request;
  const revision = revisionOfCradle(plan);
  const made = cradleParts(plan, revision);
  const joints = gathering.joints.map((joint) => joint.name);
  const tubes = gathering.pieces
    .filter((held) => saddles.some((saddle) => saddle.held === held))
    .map((held) => heldTube(held, plan));
  const heat: Feature = { kind: 'heat', seams: gathering.seams, least: spec.heat };
  const parts = made.parts.map((part) => ({
    ...part.printed,
    tubes: tubes.filter((tube) => part.saddles.some(({ held }) => held.member.name === tube.member.name)),
    features: [...part.faces, heat, ...part.saddles.flatMap((saddle) => datumFeatures(saddle, plan))],
  }));
  return {
    name,
    kind: 'fit-up-cradle',
    title: `Fit-up cradle for ${listed(joints)}`,
    for: listed(joints),
    path,
    revision,
    parts,
    ...(parts.length > 1 ? { joined: { tubes, features: [...made.faces, heat], keys: made.keys } } : {}),
    facts: facts(plan, made.parts),
    use: useOf(plan, made.parts),
  };
}

function heldTube({ member, piece }: HeldPiece, { request: { shop, spec }, keeping, saddles }: CradlePlan): HeldTube {
  const insertion = { kind: 'lift', out: keeping.table.z } as const;
  const own = saddles.filter(({ held }) => held.member.name === member.name);
  return {
    member,
    from: piece.from,
    to: piece.to,
    insertion,
    clearance: slidingFit(shop, member),
    drawn: spec.holds.kind === 'joints' ? drawnPiece(piece, { from: own[0]!.from, to: own.at(-1)!.to }) : piece,
  };
}

/** Tube shown beyond the last saddles, and how much more where a cut end lies there. */
const SHOWN: Mm = 70;
const SHOWN_TO_CUT: Mm = 150;

function drawnPiece(piece: Piece, held: { readonly from: Mm; readonly to: Mm }): Piece {
  const { startEnd, finishEnd, ...rest } = piece;
  const near = (s: Mm, end: CutEnd | undefined, saddle: Mm): boolean =>
    Math.abs(s - saddle) <= (end ? SHOWN_TO_CUT : SHOWN);
  const [start, finish] = [near(piece.from, startEnd, held.from), near(piece.to, finishEnd, held.to)];
  return {
    ...rest,
    ...(start && startEnd ? { startEnd } : {}),
    ...(finish && finishEnd ? { finishEnd } : {}),
    from: start ? piece.from : held.from - SHOWN,
    to: finish ? piece.to : held.to + SHOWN,
  };
}

const listed = (names: readonly string[]): string =>
  names.length > 3 ? `${names.slice(0, 3).join(', ')} and ${names.length - 3} more` : names.join(', ');

/** The stop of a saddle, or the end face that a mark on its tube is set to. */
function datumFeatures(saddle: Saddle, { keeping }: CradlePlan): readonly Feature[] {
  const { held, stop } = saddle;
  const tube = held.member.name;
  const line = held.member.centerline;
  if (stop) {
    const s = stop === 'start' ? saddle.from + stopThickness(keeping.shop) : saddle.to - stopThickness(keeping.shop);
    const frame = frameAt(line, s);
    const normal = stop === 'start' ? frame.heading : scale(frame.heading, -1);
    return [{ kind: 'datum', plane: { point: frame.origin, normal }, s, by: 'stop', tube }];
  }
  const mark = markOn(saddle);
  if (!mark) return [];
  const { s, out, level } = endFace(saddle, mark.side, keeping);
  if (!level) return [];
  return [{ kind: 'datum', plane: { point: frameAt(line, s).origin, normal: scale(out, -1) }, s, by: 'mark', tube }];
}

function revisionOfCradle({ request, keeping, bases, saddles, stacks }: CradlePlan): string {
  const { shop, spec } = request;
  const corner = cornerOf(bases[0]!);
  const numbers = [
    spec.heat,
    keeping.saddle,
    shop.fit.slide,
    shop.wall,
    shop.strap.width,
    shop.strap.thickness,
    shop.chordTolerance,
    ...bases.flatMap(({ cells }) =>
      cells.flatMap((cell) => cell.flatMap(({ low, high }, k) => [low - corner[k]!, high - corner[k]!])),
    ),
    ...[...stacks.values()].flatMap((rises) => rises.map(({ high }) => high)),
    ...saddles.flatMap((saddle) => {
      const { member } = saddle.held;
      const sizes = [...sizesOf(member.section), ...taperNumbers(member)];
      const feet = footprint(saddle, keeping).flatMap(([x, y]) => [x - corner[0], y - corner[1]]);
      const heights = [saddle.from, saddle.to].map((s) => overTable(saddle.held, s, keeping.table).axis);
      return [...sizes, ...feet, ...heights];
    }),
  ];
  const kinds = saddles.map(({ held: { member }, stop }) => {
    const sections = [member.section, ...tapersOf(member).map(({ to }) => to)];
    return `${sections.map(({ kind }) => kind).join(' ')} ${stop ?? ''}`;
  });
  const marks = saddles.map((saddle) => markOn(saddle)?.distance ?? 0);
  return markOf(['fit-up-cradle', 'screwed', spec.base, ...kinds], [...numbers, ...marks]);
}

function facts(plan: CradlePlan, parts: readonly CradlePart[]): readonly ToolFact[] {
  const { request, gathering, keeping, saddles, bases, notHeld } = plan;
  const first = cornerOf(bases[0]!);
  const { table } = keeping;
  return [
    { label: 'heat distance kept', value: request.spec.heat, unit: 'mm' },
    { label: 'up from the bench', value: directionText(table.z) },
    ...gathering.pieces.flatMap((held) => pieceFacts(held, { saddles, keeping })),
    ...notHeld.map(({ held }): ToolFact => ({ label: `${held.member.name}: not held`, value: 'set it by hand' })),
    ...belowBench(plan).map(
      ({ name, by }): ToolFact => ({ label: `${name}: reaches below the bench, beside it`, value: by, unit: 'mm' }),
    ),
    ...bases.flatMap((base, i): readonly ToolFact[] => {
      const corner = cornerOf(base);
      const at = place(table, [corner[0], corner[1], 0]);
      const name = bases.length > 1 ? `base ${i + 1} (${listed(base.joints)})` : 'base';
      const [x, y] = base.size.map(({ low, high }) => high - low) as [Mm, Mm];
      return [
        { label: `${name}: along its edge by the letters`, value: x, unit: 'mm' },
        { label: `${name}: along the edge square to it`, value: y, unit: 'mm' },
        {
          label: `${name}: corner in the job`,
          value: at.map((k) => lengthText(k, request.solution.job.units)).join(', '),
        },
        ...(i > 0
          ? ([
              { label: `${name}: corner beyond that of base 1, along`, value: corner[0] - first[0], unit: 'mm' },
              {
                label: `${name}: corner beyond that of base 1, square to that`,
                value: corner[1] - first[1],
                unit: 'mm',
              },
            ] as const)
          : []),
      ];
    }),
    ...(parts.length > bases.length ? [{ label: 'pieces, keyed', value: parts.length }] : []),
  ];
}

/** Where a tube lies in its saddles: its stop or the mark to scribe, its roll, how far it leans. */
function pieceFacts(
  held: HeldPiece,
  { saddles, keeping }: Pick<CradlePlan, 'saddles' | 'keeping'>,
): readonly ToolFact[] {
  const { member } = held;
  const own = saddles.filter((saddle) => saddle.held.member.name === member.name);
  const [first] = own;
  if (!first) return [];
  const middle = (first.from + first.to) / 2;
  const frame = frameAt(member.centerline, middle);
  const { z } = keeping.table;
  const roll = turnDeg(-atan2d(dot(z, frame.right), dot(z, frame.up)));
  const lean = atan2d(dot(frame.heading, z), Math.sqrt(Math.max(0, 1 - dot(frame.heading, z) ** 2)));
  const stop = own.find((saddle) => saddle.stop);
  const notch = own.map((saddle) => rollNotch(saddle, keeping)).find((one) => one !== undefined);
  const where: readonly ToolFact[] = stop
    ? [{ label: `${member.name}: its ${stop.stop} stands against the stop of saddle`, value: stop.number }]
    : own.flatMap((saddle): readonly ToolFact[] => {
        const mark = markOn(saddle);
        if (!mark) return [];
        const from = mark.longPoint ? `long point of its ${mark.side}` : mark.side;
        const label = `${member.name}: from its ${from} to the ${mark.side} face of saddle ${saddle.number}`;
        return [{ label, value: mark.distance, unit: 'mm' }];
      });
  return [
    ...where,
    {
      label: `${member.name}: witness line`,
      value: `${angleText(roll)} from the top, clockwise looking from start to end`,
    },
    ...(notch ? [{ label: `${member.name}: notches in its saddles`, value: lineText(notch.turnDeg) } as const] : []),
    ...(Math.abs(lean) > 0.005
      ? [{ label: `${member.name}: rises to its end`, value: lean, unit: 'deg' } as const]
      : []),
  ];
}

const directionText = (way: Vec3): string => `[${way.map((k) => String(Math.round(k * 1e4) / 1e4 + 0)).join(', ')}]`;

function useOf(plan: CradlePlan, parts: readonly CradlePart[]): readonly string[] {
  const { request, bases, saddles, keeping, stacks, notHeld } = plan;
  const units = request.solution.job.units;
  const leaning = saddles.some(
    ({ held, from }) => Math.abs(dot(frameAt(held.member.centerline, from).heading, keeping.table.z)) > 1e-6,
  );
  return [
    parts.length > bases.length
      ? 'Set the pieces down on a flat bench in the order of their letters: each comes down on the keys of the one before. Push the joints closed.'
      : 'Lay it on a flat bench.',
    ...(bases.length > 1
      ? [
          'Lay each base with its corner at its distances from the corner of base 1, edges along one line and square to it.',
        ]
      : []),
    ...(stacks.size > 0
      ? [
          'Tall posts come in pieces: push each onto the tenon of the one below that carries the same number, and glue it if it rocks.',
        ]
      : []),
    `Screw it down through its holes of ${lengthText(2 * SCREW.radius, units)}, or clamp it.`,
    'Lay each tube into the saddles that carry its name: each end face of a saddle names the end of the tube on that side.',
    'A coped end is laid in a little short of its seat and pushed home along the saddles. Set the marks flush with the end faces that carry their distances, or the ends against the stops.',
    'Turn each tube until its witness line stands as listed; strap it down through the saddles; check the gap all round.',
    `Tack, let it cool, and lift the work out before welding: the print stays ${lengthText(request.spec.heat, units)} from every seam, for tacks only.`,
    ...(leaning ? ['Leaning tubes slide: strap them first.'] : []),
    ...(notHeld.length > 0
      ? [
          `Not held: ${listed(notHeld.map(({ held }) => held.member.name))}. Set them against the others with a square, and tack them last.`,
        ]
      : []),
    ...(belowBench(plan).length > 0 ? ['Let the bench end where a tube reaches below it, as listed.'] : []),
  ];
}
