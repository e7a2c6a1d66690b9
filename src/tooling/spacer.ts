import { IDENTITY, placementFrom } from '../geometry/placement.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import { sectionAt } from '../geometry/tube-shape.ts';
import { along, dot, type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { SpacerSpec } from '../job/bench-tools.ts';
import type { Solid } from '../solid/expression.ts';
import { box } from './cradle.ts';
import { sunkLines } from './label.ts';
import { recentered } from './print-pose.ts';
import type { OtherRequest, ToolMaker } from './request.ts';
import { lengthText, markOf, sizesOf } from './revision.ts';
import { planSpacer, type SpacedTube, type SpacerPlan } from './spacer-plan.ts';
import { slidingFit } from './stations.ts';
import type { Feature, HeldTube, Tool } from './tool.ts';
import { notchMouth, slab, type UprightTube, uprightNotch } from './upright.ts';

/** Share of a tube's half height that its notch's sides stand over its middle: past the widest place. */
const SHOULDER = 0.35;

/**
 * Bar with a notch for each of several parallel tubes: it drops onto them all from one side and holds them at the spacing
 * of the layout. Printed flat, the tubes upright, so that every notch is as true as the printer's x and y.
 */
export const spacer: ToolMaker<OtherRequest<SpacerSpec>> = (request) => {
  const planned = planSpacer(request);
  if (!planned.value) return { problems: planned.problems };
  const plan = planned.value;
  const { name, path, solution } = request;
  const { units } = solution.job;
  const revision = revisionOf(plan);
  const spacings = spacingsOf(plan);
  const tool: Tool = {
    name,
    kind: 'spacer',
    title: `Spacer for ${request.spec.members.join(', ')}`,
    for: request.spec.members.join(', '),
    path,
    revision,
    parts: [
      {
        name,
        ...spacerSolid(plan, { revision, spacings }),
        tubes: plan.tubes.map((tube) => heldTube(plan, tube)),
        leastWall: LEAST_WALL,
        features: edges(plan),
      },
    ],
    facts: [
      ...spacings.map(
        ({ from, to, distance }) =>
          ({ label: `${from} to ${to}, center to center`, value: distance, unit: 'mm' }) as const,
      ),
      ...plan.tubes.map(
        ({ member, at }) =>
          ({ label: `${member.name}, center to the flat back`, value: at[1] - plan.back, unit: 'mm' }) as const,
      ),
      { label: 'covers', value: plan.thick, unit: 'mm' },
      { label: `on ${plan.tubes[0]!.member.name}, from its start`, value: plan.tubes[0]!.s, unit: 'mm' },
    ],
    use: [
      `Mark ${plan.tubes[0]!.member.name} ${lengthText(plan.tubes[0]!.s, units)} along its centerline from its start: the middle of the spacer goes there.`,
      'Drop it onto the tubes from the side its notches open to, each tube against the bottom of its notch.',
      plan.straps
        ? 'Strap each tube down: the strap goes over the tube and through the slots beside it, round the flat back.'
        : 'Strap or clamp each tube down to the flat back.',
      'The back and both ends are flat and square, to set against a table or a fence. Take it off before the weld heats it.',
    ],
  };
  return { value: tool, problems: [] };
};

const topOf = ({ tubes }: SpacerPlan): Mm => Math.max(...tubes.map(shoulderOf));
const shoulderOf = ({ at, up }: SpacedTube): Mm => at[1] + SHOULDER * up;

/** Center distances between neighbors, as they stand along the bar. */
function spacingsOf({ tubes }: SpacerPlan) {
  const ordered = [...tubes].sort((p, q) => p.at[0] - q.at[0]);
  return ordered.slice(1).map((tube, i) => {
    const before = ordered[i]!;
    const distance = Math.hypot(tube.at[0] - before.at[0], tube.at[1] - before.at[1]);
    return { from: before.member.name, to: tube.member.name, distance };
  });
}

function heldTube(plan: SpacerPlan, { member, s, from, to }: SpacedTube): HeldTube {
  const reach = plan.thick / 2 + 15;
  return {
    member,
    from: Math.max(from, s - reach),
    to: Math.min(to, s + reach),
    insertion: { kind: 'lift', out: plan.pose.y },
    clearance: slidingFit(plan.request.shop, member),
  };
}

/** The flat back, and both ends of the bar. */
function edges({ pose, left, right, back, front, thick }: SpacerPlan): readonly Feature[] {
  const face = (point: Vec3, normal: Vec3, long: Mm): Feature => ({
    kind: 'face',
    plane: { point, normal },
    area: 0.8 * long * (thick - FOOT_CHAMFER),
  });
  return [
    face(along(pose.origin, pose.y, back), scale(pose.y, -1), right - left),
    face(along(pose.origin, pose.x, left), scale(pose.x, -1), front - back),
    face(along(pose.origin, pose.x, right), pose.x, front - back),
  ];
}

interface Lettering {
  readonly revision: string;
  readonly spacings: readonly { readonly distance: Mm }[];
}

/** The bar in print pose: its middle plane lies at the place asked for. */
function spacerSolid(plan: SpacerPlan, lettering: Lettering) {
  const { pose, thick, tubes, left, right, back, front } = plan;
  const bar = slab('bar', rectangle(left, right, back, front), thick);
  const body: Solid = { kind: 'union', name: 'body', of: [bar, ...tubes.map((tube) => tower(plan, tube))] };
  const label = plan.request.shop.labels ? [labelOf(plan, lettering)] : [];
  const cuts = [...tubes.flatMap((tube) => notchCuts(plan, tube)), ...strapSlots(plan), ...label];
  const solid: Solid = { kind: 'subtract', name: 'spacer', from: body, cuts };
  const middle: Vec3 = [(left + right) / 2, (back + topOf(plan)) / 2, 0];
  return recentered(solid, { ...pose, origin: along(pose.origin, pose.z, -thick / 2) }, middle);
}

const rectangle = (x0: Mm, x1: Mm, y0: Mm, y1: Mm): readonly Vec2[] => [
  [x0, y0],
  [x1, y0],
  [x1, y1],
  [x0, y1],
];

/** The walls of one notch, from the flat back to its shoulder. */
function tower(plan: SpacerPlan, tube: SpacedTube): Solid {
  const half = tube.across + plan.room + plan.request.shop.wall;
  return slab('notch walls', rectangle(tube.at[0] - half, tube.at[0] + half, plan.back, shoulderOf(tube)), plan.thick);
}

function notchCuts(plan: SpacerPlan, tube: SpacedTube): readonly Solid[] {
  const { pose, thick, room, request } = plan;
  const { frame, at } = tube;
  const axes = [pose.x, pose.y].map((axis): Vec2 => [dot(axis, frame.right), dot(axis, frame.up)]);
  const upright: UprightTube = {
    section: sectionAt(tube.member, tube.s),
    plan: ([a, b]) => [at[0] + a * axes[0]![0] + b * axes[0]![1], at[1] + a * axes[1]![0] + b * axes[1]![1]],
    room,
    chordTolerance: request.shop.chordTolerance,
  };
  const lift = topOf(plan) - at[1] + 2 * tube.up + 5;
  return [
    ...uprightNotch(upright, { height: thick, out: [0, 1], lift }),
    notchMouth({ axis: at, out: [0, 1], half: tube.across + room, edge: shoulderOf(tube) - at[1], height: thick }),
  ];
}

/** Slots through the bar beside each notch, in the middle of its thickness, where the bar goes on far enough. */
function strapSlots(plan: SpacerPlan): readonly Solid[] {
  const { strap } = plan.request.shop;
  if (!plan.straps) return [];
  const wide = strap.thickness + 1;
  const blocked = plan.tubes.map((tube) => {
    const half = tube.across + plan.room + plan.request.shop.wall;
    return [tube.at[0] - half, tube.at[0] + half] as const;
  });
  const starts = blocked.flatMap(([low, high]) => [low - wide, high]);
  const free = (x: Mm): boolean =>
    x > plan.left + LEAST_WALL &&
    x + wide < plan.right - LEAST_WALL &&
    blocked.every(([low, high]) => x + wide <= low + 1e-9 || x >= high - 1e-9);
  const kept = starts.filter(free).sort((p, q) => p - q);
  // Where two notches stand close, one slot serves both.
  const apart = kept.filter((x, i) => i === 0 || x - kept[i - 1]! > wide + LEAST_WALL);
  const middle = plan.thick / 2;
  return apart.map((x) =>
    box('strap slot', IDENTITY, [
      [x, x + wide],
      [plan.back - 1, plan.front + 1],
      [middle - (strap.width + 1) / 2, middle + (strap.width + 1) / 2],
    ]),
  );
}

function labelOf(plan: SpacerPlan, { revision, spacings }: Lettering): Solid {
  const { left, right, back, thick, request } = plan;
  const { units } = request.solution.job;
  const names = request.spec.members.join(' ');
  const figures = spacings.map(({ distance }) => lengthText(distance, units)).join(', ');
  // Clear of the bottoms of the notches.
  const [low, high] = [back + 1.5, back + plan.bar - LEAST_WALL];
  const lines = [
    [[`${names} ${figures} ${revision}`], [`${figures} ${revision}`], [revision]],
    [[names], [figures]],
  ];
  return sunkLines(lines, {
    at: placementFrom([(left + right) / 2, (low + high) / 2, thick], [0, 0, 1], [1, 0, 0]),
    box: [right - left - 6, high - low],
    letter: 5,
  });
}

/** Everything that shapes it: sizes and places of the tubes along the bar, fit and straps. */
function revisionOf(plan: SpacerPlan): string {
  const { tubes, thick, back, left, request } = plan;
  const { fit, wall, strap, chordTolerance } = request.shop;
  const sections = tubes.map(({ member, s }) => sectionAt(member, s));
  const shapes = tubes.flatMap(({ at, across, up, frame }, i) => [
    at[0] - left,
    at[1] - back,
    across,
    up,
    dot(frame.up, plan.pose.y),
    ...sizesOf(sections[i]!),
  ]);
  return markOf(
    ['spacer', ...sections.map(({ kind }) => kind)],
    [fit.slide, wall, strap.width, strap.thickness, chordTolerance, thick, ...shapes],
  );
}
