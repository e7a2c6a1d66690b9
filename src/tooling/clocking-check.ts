import { atan2d, sind } from '../geometry/angle.ts';
import { IDENTITY, type Placement, place, placementFrom, unplace } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import { isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { along, cross, dot, type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { ClockingRingSpec } from '../job/bench-tools.ts';
import type { Outcome } from '../job/problem.ts';
import type { Solid } from '../solid/expression.ts';
import { type Block, type CheckPlan, planCheck, stretchOn } from './clocking-check-plan.ts';
import { sunkLines, type Wordings, wrapped } from './label.ts';
import { recentered } from './print-pose.ts';
import type { OtherRequest } from './request.ts';
import { angleText, lengthText, markOf, sizesOf } from './revision.ts';
import { extentsAt, facetRoom, slidingFit } from './stations.ts';
import type { Feature, HeldTube, Tool, ToolFact, ToolPart } from './tool.ts';
import { notchMouth, slab, type UprightTube, uprightNotch } from './upright.ts';
import { lineText, type WitnessNotch, witnessNotch } from './witness.ts';

/** Share of the tube's half size that the sides stand over its middle. */
const SHOULDER = 0.35;

/**
 * Two blocks for a tube that is bent: one on the straight before the first bend, one on that behind the last, each as tall
 * as its straight lies over a table on which both are level. If the planes of the bends stand right to each other both
 * blocks sit flat; if not, one rocks. A notch on the witness line tells the roll of a cope or slant at the ends too.
 */
export function clockingCheck(request: OtherRequest<ClockingRingSpec>): Outcome<Tool> {
  const planned = planCheck(request);
  const plan = planned.value;
  if (!plan) return { problems: planned.problems };
  const { name, path, spec } = request;
  const revision = revisionOf(plan);
  const parts = plan.blocks.map((block) => blockPart(plan, block, revision));
  const tool: Tool = {
    name,
    kind: 'clocking-ring',
    title: `Clocking blocks to check ${spec.member}`,
    for: spec.member,
    path,
    revision,
    parts,
    joined: { tubes: [wholeTube(plan)], features: parts.flatMap(({ features }) => features), keys: [] },
    facts: plan.blocks.flatMap((block) => blockFacts(plan, block)),
    use: useOf(plan),
  };
  return { value: tool, problems: [] };
}

/** Print pose: letters' side up faces the start, y up from the table, the tube's axis at the origin. */
function poseOf({ up }: CheckPlan, { frame, tall }: Block): Placement {
  const z = scale(frame.heading, -1);
  return placementFrom(along(frame.origin, z, -tall / 2), z, cross(up, z));
}

function blockPart(plan: CheckPlan, block: Block, revision: string): ToolPart {
  const { request, member, up } = plan;
  const { frame, far, tall } = block;
  const { shop } = request;
  const pose = poseOf(plan, block);
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const half = extentsAt(member, block.s, up);
  const upright: UprightTube = {
    section: sectionAt(member, block.s),
    plan: ([a, b]) => [
      a * dot(frame.right, pose.x) + b * dot(frame.up, pose.x),
      a * dot(frame.right, pose.y) + b * dot(frame.up, pose.y),
    ],
    room,
    chordTolerance: shop.chordTolerance,
  };
  const top = SHOULDER * half.out;
  const wide = halfWidth(plan, block);
  const outline: readonly Vec2[] = [
    [-wide, -far],
    [wide, -far],
    [wide, top],
    [-wide, top],
  ];
  const under = half.out + room;
  const notch = notchOf(plan, block);
  const cuts: readonly Solid[] = [
    ...uprightNotch(upright, { height: tall, out: [0, 1], lift: 3 * half.out + far }),
    notchMouth({ axis: [0, 0], out: [0, 1], half: half.across + room, edge: top, height: tall }),
    strapSlot({ wide, under, tall, strap: shop.strap }),
    ...(notch ? [inPrint(notch.cut, { from: bedAt(block, up), to: pose })] : []),
    ...(shop.labels ? [labelOf(plan, { block, wide, under, revision })] : []),
  ];
  const solid: Solid = { kind: 'subtract', name: 'clocking block', from: slab('block', outline, tall), cuts };
  const normal = scale(up, -1);
  const face: Feature = {
    kind: 'face',
    plane: { point: along(frame.origin, normal, far), normal },
    area: 0.8 * 2 * wide * (tall - FOOT_CHAMFER),
  };
  return {
    name: `${request.name}-${block.letter}`,
    ...recentered(solid, pose, [0, (top - far) / 2, 0]),
    tubes: [
      {
        member,
        ...heldStretch(plan, block),
        insertion: { kind: 'lift', out: up },
        clearance: slidingFit(shop, member),
      },
    ],
    leastWall: LEAST_WALL,
    features: [face],
  };
}

/** The bent tube as it lies in both. */
function wholeTube({ member, up, request: { solution, shop } }: CheckPlan): HeldTube {
  const piece = solution.pieces.find((one) => one.member.name === member.name);
  const [from, to] = [piece?.from ?? 0, piece?.to ?? member.centerline.length];
  return {
    member,
    from,
    to,
    insertion: { kind: 'lift', out: up },
    clearance: slidingFit(shop, member),
    ...(piece ? { drawn: piece } : {}),
  };
}

const heldStretch = ({ member, request }: CheckPlan, { straight, s, tall }: Block) => {
  const { from, to } = stretchOn(member, straight, request);
  return { from: Math.max(from, s - tall / 2 - 15), to: Math.min(to, s + tall / 2 + 15) };
};

/** Half width of a block: past the tube by the wall, and wide enough to stand. */
function halfWidth({ request, member, up }: Omit<CheckPlan, 'blocks'>, { s, far }: Block): Mm {
  const { across } = extentsAt(member, s, up);
  const room = request.shop.fit.slide + facetRoom(request.shop.chordTolerance);
  return Math.max(across + room + request.shop.wall, 18, 0.2 * far);
}

/** The strap goes under the tube, across the block, and over the tube; its roof is as narrow as the strap is thick. */
function strapSlot({
  wide,
  under,
  tall,
  strap,
}: {
  readonly wide: Mm;
  readonly under: Mm;
  readonly tall: Mm;
  readonly strap: { readonly width: Mm; readonly thickness: Mm };
}): Solid {
  const [near, deep] = [-under - LEAST_WALL, -under - LEAST_WALL - strap.thickness - 0.5];
  const low = (tall - strap.width - 1) / 2;
  const points = [-wide - 1, wide + 1].flatMap((x) =>
    [near, deep].flatMap((y) => [low, low + strap.width + 1].map((z): Vec3 => [x, y, z])),
  );
  return { kind: 'hull', name: 'strap slot', points };
}

/** The block seen as a cradle: z up from the table. */
const bedAt = ({ frame }: Block, up: Vec3): Placement => placementFrom(frame.origin, up, frame.heading);

/** Notch in the lip of the face that looks to the start. */
function notchOf({ request, member, up }: Omit<CheckPlan, 'blocks'>, block: Block): WitnessNotch | undefined {
  const { shop } = request;
  const bed = { member, at: bedAt(block, up), chordTolerance: shop.chordTolerance, tiltedStep: 0 };
  const { out, across } = extentsAt(member, block.s, up);
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const wall = halfWidth({ request, member, up }, block) - across - room;
  return witnessNotch(bed, { s: block.s - block.tall / 2, inward: 1, room, top: SHOULDER * out, wall });
}

/** A hull in one placement's coordinates as it lies in another's. */
function inPrint(solid: Solid, { from, to }: { readonly from: Placement; readonly to: Placement }): Solid {
  if (solid.kind !== 'hull') throw new Error(`internal: ${solid.name} is no hull`);
  return { ...solid, points: solid.points.map((p) => unplace(to, place(from, p))) };
}

/** Letters on the face that looks to the start, between the strap and the table. */
function labelOf(
  { request, member }: CheckPlan,
  {
    block,
    wide,
    under,
    revision,
  }: { readonly block: Block; readonly wide: Mm; readonly under: Mm; readonly revision: string },
): Solid {
  const { far, letter, where, tall } = block;
  const top = -under - LEAST_WALL - request.shop.strap.thickness - 1.5;
  const high = Math.min(far + top - 1.5, 30);
  const at: Placement = { ...IDENTITY, origin: [0, -far + 1.5 + high / 2, tall] };
  const lines: readonly Wordings[] = [
    [[`${letter.toUpperCase()} ${revision}`], [letter.toUpperCase()]],
    [[`${member.name} to start`], [member.name], ...wrapped(member.name)],
    [[where]],
  ];
  return sunkLines(lines, { at, box: [2 * wide - 3, high], letter: 5 });
}

function blockFacts(plan: CheckPlan, block: Block): readonly ToolFact[] {
  const { member, up, request } = plan;
  const { letter, where, s, frame, far } = block;
  const name = `block ${letter.toUpperCase()}`;
  const roll = -atan2d(dot(up, frame.right), dot(up, frame.up));
  const notch = notchOf(plan, block);
  const end = letter === 'a' ? 'start' : 'end';
  const cut = request.solution.ends.find((one) => one.member.name === member.name && one.end === end)?.flat;
  const { start } = member.centerline.segments[0]!;
  return [
    { label: `${name}: on the straight ${where}, its middle from the start of ${member.name}`, value: s, unit: 'mm' },
    { label: `${name}: axis of the tube over the table`, value: far, unit: 'mm' },
    {
      label: `${name}: witness line`,
      value: `${angleText(((roll % 360) + 360) % 360)} from the top, clockwise looking from start to end`,
    },
    ...(notch ? [{ label: `${name}: notch in its lip`, value: lineText(notch.turnDeg) } as const] : []),
    ...(cut && cut.miterDeg > 0 && start
      ? [
          {
            label: `${name}: long point of the ${end}`,
            value: `${angleText((((roll + cut.longPointDeg) % 360) + 360) % 360)} from the top, clockwise looking from start to end`,
          } as const,
        ]
      : []),
  ];
}

function useOf(plan: CheckPlan): readonly string[] {
  const { blocks, request } = plan;
  const [a, b] = blocks;
  // What a feeler finds under the edge of a block that rocks on its other one.
  const gap = 2 * halfWidth(plan, b) * sind(1);
  return [
    `Set block A on the straight ${a.where} and block B on that ${b.where} of the bent tube, letters facing its start, and strap them.`,
    'Turn each until its notch stands on the line of the tube that is listed.',
    'Stand both on a flat table. Where both sit flat the planes of the bends and the ends stand right to each other.',
    `Where block B rocks, a feeler under its edge tells how much: ${lengthText(gap, request.solution.job.units)} are 1 deg.`,
  ];
}

function revisionOf({ request, member, blocks, up }: CheckPlan): string {
  const { fit, wall, strap, chordTolerance } = request.shop;
  const sections = isTapered(member) ? blocks.map(({ s }) => sectionAt(member, s)) : [member.section];
  const numbers = blocks.flatMap(({ far, tall, frame }) => [far, tall, dot(up, frame.up), dot(up, frame.right)]);
  return markOf(
    ['clocking-check', ...sections.map(({ kind }) => kind)],
    [fit.slide, wall, strap.width, strap.thickness, chordTolerance, ...sections.flatMap(sizesOf), ...numbers],
  );
}
