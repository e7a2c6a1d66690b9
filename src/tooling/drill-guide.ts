import { cosd, sind } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import { type Placement, placementFrom, unplace, unplaceDirection } from '../geometry/placement.ts';
import { facetsFor } from '../geometry/section.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { steepest } from '../geometry/tube-surface.ts';
import { along, dot, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { DrillGuideSpec } from '../job/bench-tools.ts';
import type { Solid } from '../solid/expression.ts';
import { type Bed, bar, channel, flare, sidePlacement, straightBed } from './cradle.ts';
import { type GuidePlan, guideLength, planDrill, wallOf } from './drill-guide-plan.ts';
import { sunkLines } from './label.ts';
import { recentered } from './print-pose.ts';
import type { OtherRequest, ToolMaker } from './request.ts';
import { angleText, lengthText, markOf, sizesOf } from './revision.ts';
import { extentsAt, slidingFit } from './stations.ts';
import type { Feature, Tool } from './tool.ts';
import { lineText, type WitnessNotch, witnessNotch } from './witness.ts';

/**
 * Saddle with an upright hole for a drill bush or a drill: dropped onto the tube, set to a stop or a line and to the witness
 * notch. Printed on its head, channel up: the hole stands on the bed and is as straight as the printer's z.
 */
export const drillGuide: ToolMaker<OtherRequest<DrillGuideSpec>> = (request) => {
  const planned = planDrill(request);
  if (!planned.value) return { problems: planned.problems };
  const plan = planned.value;
  const { member, datum, from, to } = plan;
  const { name, path, spec, solution, shop } = request;
  const { units } = solution.job;
  const revision = revisionOf(plan);
  const notch = notchOf(plan);
  const { solid, pose } = guideSolid(plan, { revision, ...(notch ? { notch } : {}) });
  const distance = Math.abs(spec.at - datum.s);
  const stopped = datum.kind === 'end';
  const outward = datum.s <= spec.at ? 1 : -1;
  const frame = frameAt(member.centerline, datum.s);
  const tool: Tool = {
    name,
    kind: 'drill-guide',
    title: `Drill guide for ${member.name}`,
    for: member.name,
    path,
    revision,
    datum,
    parts: [
      {
        name,
        solid,
        pose,
        tubes: [
          {
            member,
            from: stopped && outward > 0 ? datum.s : from - 20,
            to: stopped && outward < 0 ? datum.s : to + 20,
            insertion: { kind: 'lift', out: plan.bed.at.z },
            clearance: slidingFit(shop, member),
          },
        ],
        leastWall: LEAST_WALL,
        features: [
          { kind: 'bore', point: plan.mouth, axis: plan.axis, radius: plan.radius, length: guideLength(spec) },
          {
            kind: 'datum',
            plane: { point: frame.origin, normal: scale(frame.heading, outward) },
            s: datum.s,
            by: stopped ? 'stop' : 'mark',
          } satisfies Feature,
        ],
      },
    ],
    facts: [
      { label: 'hole, along the centerline from the start', value: spec.at, unit: 'mm' },
      { label: 'side, clockwise from the witness line', value: spec.towardDeg, unit: 'deg' },
      { label: 'from square', value: spec.leanDeg, unit: 'deg' },
      { label: spec.hole.kind === 'bush' ? 'bush, outside' : 'drill', value: spec.hole.diameter, unit: 'mm' },
      { label: `${datum.kind} to hole`, value: distance, unit: 'mm' },
      ...(notch ? [{ label: 'notch', value: lineText(notch.turnDeg) } as const] : []),
    ],
    use: [
      ...(spec.hole.kind === 'bush' ? ['Press or glue the bush into the hole, flush with the flat.'] : []),
      stopped
        ? `Drop the guide onto the tube with its stop against the ${datum.s <= spec.at ? 'start' : 'end'} of the tube: the hole comes ${lengthText(distance, units)} from it.`
        : `Scribe a line round the tube ${lengthText(datum.s, units)} along its centerline from its start. Drop the guide on with its flat end face on the line: the hole comes ${lengthText(distance, units)} beyond it, toward the end.`,
      ...(notch ? [`Turn it until the notch in its lip stands on ${lineText(notch.turnDeg)}.`] : []),
      'Strap or clamp it down. Drill through it; lift the drill often, and go slowly where it comes through.',
    ],
  };
  return { value: tool, problems: [] };
};

/** In the end face that is not the stop: the one the line is scribed at, or the open one. */
function notchOf(plan: GuidePlan): WitnessNotch | undefined {
  const { bed, datum, from, to, room, wallTop, request } = plan;
  const atFrom = datum.kind === 'mark' || datum.s > request.spec.at;
  const face = { s: atFrom ? from : to, inward: atFrom ? 1 : -1 } as const;
  return witnessNotch(bed, { ...face, room, top: wallTop, wall: wallOf(request) });
}

function guideSolid(
  plan: GuidePlan,
  { revision, notch }: { readonly revision: string; readonly notch?: WitnessNotch },
) {
  const { bed, datum, from, to, room, half, wallTop, request, member } = plan;
  const block = bar(blockOf(plan), {
    name: 'block',
    from,
    to,
    left: half,
    right: half,
    low: 0,
    high: wallTop,
    foot: true,
  });
  const open = [
    datum.kind === 'end' && datum.s <= request.spec.at ? datum.s : from - 0.5,
    datum.kind === 'end' && datum.s > request.spec.at ? datum.s : to + 0.5,
  ] as const;
  const lead = { from: Math.max(open[0], from - 0.2), to: Math.min(open[1], to + 0.2) };
  const clear = isTapered(member) ? room * steepest(member) : room;
  const inner = (s: Mm): Mm => extentsAt(member, s, bed.at.z).across + clear;
  const cuts: readonly Solid[] = [
    channel(bed, { from: open[0], to: open[1], room, lift: 2 * plan.tubeTop }),
    flare(bed, { ...lead, half: inner, top: wallTop, more: 1 }),
    ...holeCuts(plan),
    ...(notch ? [notch.cut] : []),
    ...(request.shop.labels ? [labelOf(plan, { revision, ...(notch ? { notch } : {}) })] : []),
  ];
  const solid: Solid = { kind: 'subtract', name: 'drill guide', from: block, cuts };
  const middle = unplace(bed.at, frameAt(bed.member.centerline, (from + to) / 2).origin);
  return recentered(solid, bed.at, [middle[0], middle[1], 0]);
}

/** The line the block follows. */
const blockOf = ({ bed, request: { spec }, to }: GuidePlan): Bed => straightBed(bed, { about: spec.at, to });

/** The hole with facets round its circle, and a flare where it meets the bed. */
function holeCuts({ bed, mouth, axis, radius, request, room }: GuidePlan): readonly Solid[] {
  const z = unplaceDirection(bed.at, axis);
  const origin = unplace(bed.at, mouth);
  const at: Placement = placementFrom(origin, z, [0, 1, 0]);
  const count = facetsFor(radius, request.shop.chordTolerance);
  const ring = (r: Mm): readonly (readonly [Mm, Mm])[] =>
    Array.from({ length: count }, (_, i) => [
      (r / cosd(180 / count)) * cosd((360 * (i + 0.5)) / count),
      (r / cosd(180 / count)) * sind((360 * (i + 0.5)) / count),
    ]);
  const toBed = -origin[2] / z[2];
  const past = 2 * radius + 2;
  const down: Placement = { ...at, origin: along(at.origin, at.z, -room - past) };
  // The rim is broken where the first layer would close in on the drill: places of a ring, slid along the axis to a height.
  const slid = (r: Mm, height: Mm): readonly Vec3[] =>
    ring(r).map(([x, y]) => {
      const p = along(along(at.origin, at.x, x), at.y, y);
      return along(p, z, (height - p[2]) / z[2]);
    });
  return [
    { kind: 'prism', name: 'hole', loops: [ring(radius)], height: toBed + room + 2 * past, at: down },
    { kind: 'hull', name: 'rim of the hole', points: [...slid(radius + 0.9, -0.3), ...slid(radius - 0.2, 0.8)] },
  ];
}

function labelOf(
  plan: GuidePlan,
  { revision, notch }: { readonly revision: string; readonly notch?: WitnessNotch },
): Solid {
  const { bed, from, to, half, wallTop, request, datum, member } = plan;
  const { units } = request.solution.job;
  const { spec } = request;
  const tall = Math.min(wallTop - 4, 26);
  const side = sidePlacement(blockOf(plan), (from + to) / 2, { across: -half, height: wallTop / 2 });
  // It is printed on its head and read the other way up.
  const at: Placement = { ...side, x: scale(side.x, -1), y: scale(side.y, -1) };
  const toEnd = dot(at.x, unplaceDirection(bed.at, frameAt(bed.member.centerline, from).heading)) > 0;
  const end = toEnd ? ['end →'] : ['← end'];
  const lines = [
    [[`${member.name} ${revision}`], [revision]],
    [[`${spec.hole.kind} ${lengthText(spec.hole.diameter, units)}`], [lengthText(spec.hole.diameter, units)]],
    [
      [`${datum.kind} ${lengthText(Math.abs(spec.at - datum.s), units)}`],
      [lengthText(Math.abs(spec.at - datum.s), units)],
    ],
    [end],
    ...(spec.leanDeg === 0 ? [] : [[[angleText(spec.leanDeg)]]]),
    ...(notch && notch.turnDeg !== 0 ? [[[`notch ${notch.turnDeg}`]]] : []),
  ];
  return sunkLines(lines, { at, box: [to - from - 4, tall], letter: 5 });
}

function revisionOf({ request, member, datum, from, to, half, under, wallTop, tubeTop }: GuidePlan): string {
  const { spec, shop } = request;
  const section = sectionAt(member, spec.at);
  return markOf(
    ['drill-guide', section.kind, spec.hole.kind, datum.kind],
    [
      shop.fit.slide,
      shop.wall,
      shop.chordTolerance,
      spec.hole.diameter,
      spec.leanDeg,
      spec.towardDeg,
      spec.at - datum.s,
      spec.at - from,
      to - spec.at,
      half,
      under,
      ...sizesOf(section),
      ...(isTapered(member)
        ? [wallTop, tubeTop, ...sizesOf(sectionAt(member, from)), ...sizesOf(sectionAt(member, to))]
        : []),
    ],
  );
}
