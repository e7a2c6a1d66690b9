import { cosd, sind, tand } from '../geometry/angle.ts';
import { frameAt, segmentAt, sideOf } from '../geometry/centerline.ts';
import { type Placement, placementFrom, unplace, unplaceDirection } from '../geometry/placement.ts';
import { facetsFor, sectionDistance, sectionReach } from '../geometry/section.ts';
import { HOLE_ROOM, LEAST_WALL, LETTER_DEPTH } from '../geometry/tolerance.ts';
import { add, along, dot, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { DrillGuideSpec } from '../job/bench-tools.ts';
import { figure, type Outcome } from '../job/problem.ts';
import type { Solid } from '../solid/expression.ts';
import type { Member } from '../solve/solution.ts';
import { type Bed, bar, channel, flare, sidePlacement } from './cradle.ts';
import { sunkLines } from './label.ts';
import { recentered } from './print-pose.ts';
import { type OtherRequest, type ToolMaker, toolProblem } from './request.ts';
import { angleText, lengthText, markOf } from './revision.ts';
import { extentsOf, facetRoom, slidingFit } from './stations.ts';
import type { Datum, Feature, Tool } from './tool.ts';
import { lineText, type WitnessNotch, witnessNotch } from './witness.ts';

/** Least length of the hole's wall, and as a multiple of its diameter: what keeps a drill straight (common practice, from memory). */
const LEAST_GUIDE: Mm = 14;
const GUIDE_RATIO = 1.5;
/** Tube held to either side of the hole's rim. */
const HOLD: Mm = 14;
/** Farthest end of the tube that a stop reaches. */
const STOP_REACH: Mm = 120;
const SHOULDER = 0.35;

interface GuidePlan {
  readonly request: OtherRequest<DrillGuideSpec>;
  readonly member: Member;
  readonly bed: Bed;
  /** Block along the tube, as s. */
  readonly from: Mm;
  readonly to: Mm;
  readonly datum: Datum;
  /** Where the axis of the hole meets the outside of the tube, and which way it leads out. */
  readonly mouth: Vec3;
  readonly axis: Vec3;
  readonly radius: Mm;
  readonly room: Mm;
  readonly half: Mm;
  /** Heights over the bed: underside of the tube's room, top of the walls, of the tube. */
  readonly under: Mm;
  readonly wallTop: Mm;
  readonly tubeTop: Mm;
}

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
            clearance: slidingFit(shop),
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

/** Letters are sunk into the walls beside the tube. */
const wallOf = ({ shop }: OtherRequest<DrillGuideSpec>): Mm => Math.max(shop.wall, LEAST_WALL + LETTER_DEPTH + 0.1);

const guideLength = ({ hole }: DrillGuideSpec): Mm => Math.max(LEAST_GUIDE, GUIDE_RATIO * hole.diameter);

function planDrill(request: OtherRequest<DrillGuideSpec>): Outcome<GuidePlan> {
  const { spec, solution, shop } = request;
  const member = solution.members.find(({ name }) => name === spec.member);
  if (!member) throw new Error(`internal: drill guide on unknown member ${spec.member}`);
  const { section, centerline } = member;
  const frame = frameAt(centerline, spec.at);
  const dir = sideOf(frame, spec.towardDeg);
  const width = 2 * extentsOf(section, frame, dir).across;
  if (spec.hole.diameter > width - 2) {
    const message = `the hole is ${figure(spec.hole.diameter)} mm, the tube ${figure(width)} mm across there`;
    return {
      problems: [
        toolProblem(request, {
          code: 'tool/cannot-build',
          message,
          hint: 'give a smaller `drill` or `bush`',
          measured: spec.hole.diameter,
          limit: width,
        }),
      ],
    };
  }
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const extents = extentsOf(section, frame, dir);
  const surface = outsideAlong(member, spec);
  const mouth = along(frame.origin, dir, surface);
  const axis = add(scale(dir, cosd(spec.leanDeg)), scale(frame.heading, sind(spec.leanDeg)));
  const radius = spec.hole.diameter / 2 + HOLE_ROOM[spec.hole.kind];
  // The flat lies so far out that the hole's wall is as long as it must be between its broken rims.
  const flat =
    extents.out +
    room +
    (guideLength(spec) + 1.5) * cosd(spec.leanDeg) +
    radius * Math.abs(sind(spec.leanDeg)) +
    (extents.out - surface);
  const bed: Bed = {
    member,
    at: placementFrom(along(frame.origin, dir, flat), scale(dir, -1), frame.heading),
    chordTolerance: shop.chordTolerance,
    tiltedStep: 0,
  };
  const shift = (flat - surface) * tand(spec.leanDeg);
  const rim = radius / cosd(spec.leanDeg) + Math.max(HOLD, LEAST_WALL + 2);
  const [low, high] = [spec.at + Math.min(0, shift) - rim, spec.at + Math.max(0, shift) + rim];
  const datum = datumOf(request, member, { low, high });
  if (!datum) return { problems: [noEnd(request)] };
  const stop = shop.wall + 2;
  const [from, to] =
    datum.kind === 'mark' ? [datum.s, high] : datum.s <= spec.at ? [datum.s - stop, high] : [low, datum.s + stop];
  const straight = segmentAt(centerline, spec.at);
  const first = straight === centerline.segments[0] ? Number.NEGATIVE_INFINITY : straight.s0;
  const last = straight === centerline.segments.at(-1) ? Number.POSITIVE_INFINITY : straight.s0 + straight.length;
  if (straight.kind !== 'straight' || spec.at > centerline.length || from < first - 1e-9 || to > last + 1e-9)
    return { problems: [offStraight(request, member, { from, to })] };
  const plan: GuidePlan = {
    request,
    member,
    bed,
    from,
    to,
    datum,
    mouth,
    axis,
    radius,
    room,
    half: extents.across + room + wallOf(request),
    under: flat - extents.out - room,
    wallTop: flat + SHOULDER * extents.out,
    tubeTop: flat + extents.out,
  };
  const size = [to - from, 2 * plan.half];
  const beds = [...shop.printer.bed.slice(0, 2)].sort((p, q) => p - q);
  if (Math.max(...size) > beds[1]! || Math.min(...size) > beds[0]!) return { problems: [tooLarge(request, size)] };
  return { value: plan, problems: [] };
}

/** From the axis of the tube to its outside, on the side that is drilled. */
function outsideAlong({ section }: Member, { towardDeg }: DrillGuideSpec): Mm {
  let [low, high] = [0, sectionReach(section) + 1];
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (sectionDistance(section, middle * sind(towardDeg), middle * cosd(towardDeg)) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** The nearer end of the tube where it is square and near enough; else a whole 5 mm before the hole. */
function datumOf(
  request: OtherRequest<DrillGuideSpec>,
  member: Member,
  { low, high }: { readonly low: Mm; readonly high: Mm },
): Datum | undefined {
  const { spec, solution } = request;
  const ends = (['start', 'end'] as const).flatMap((end) => {
    const cut = solution.ends.find((x) => x.member.name === member.name && x.end === end);
    if (cut && cut.flat?.miterDeg !== 0) return [];
    const s = cut?.longPoint ?? (end === 'start' ? 0 : member.centerline.length);
    const distance = Math.abs(spec.at - s);
    const clear = end === 'start' ? s <= low : s >= high;
    return clear && distance <= STOP_REACH ? [{ kind: 'end' as const, s, distance }] : [];
  });
  const nearest = ends.sort((p, q) => p.distance - q.distance)[0];
  if (spec.datum !== 'mark' && nearest) return nearest;
  if (spec.datum === 'end') return undefined;
  const s = 5 * Math.floor(low / 5);
  return { kind: 'mark', s, distance: spec.at - s };
}

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
  const { bed, datum, from, to, room, half, wallTop, request } = plan;
  const block = bar(bed, { name: 'block', from, to, left: half, right: half, low: 0, high: wallTop, foot: true });
  const open = [
    datum.kind === 'end' && datum.s <= request.spec.at ? datum.s : from - 0.5,
    datum.kind === 'end' && datum.s > request.spec.at ? datum.s : to + 0.5,
  ] as const;
  const lead = { from: Math.max(open[0], from - 0.2), to: Math.min(open[1], to + 0.2) };
  const inner = half - wallOf(request);
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
  const side = sidePlacement(bed, (from + to) / 2, { across: -half, height: wallTop / 2 });
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

function revisionOf({ request, member, datum, from, to, half, under }: GuidePlan): string {
  const { spec, shop } = request;
  const sizes = Object.values(member.section).filter((x): x is number => typeof x === 'number');
  return markOf(
    ['drill-guide', member.section.kind, spec.hole.kind, datum.kind],
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
      ...sizes,
    ],
  );
}

const noEnd = (request: OtherRequest<DrillGuideSpec>) =>
  toolProblem(request, {
    code: 'tool/cannot-build',
    message: `no square end of the tube lies within ${STOP_REACH} mm of the hole, and clear of it`,
    hint: 'leave `datum` out, or ask for mark',
    limit: STOP_REACH,
  });

const offStraight = (
  request: OtherRequest<DrillGuideSpec>,
  { name }: Member,
  { from, to }: { readonly from: Mm; readonly to: Mm },
) =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the guide needs a straight from ${figure(from)} mm to ${figure(to)} mm of ${name}`,
    hint: 'move the hole away from the bend, or lean it less',
    measured: to - from,
  });

const tooLarge = (request: OtherRequest<DrillGuideSpec>, size: readonly Mm[]) =>
  toolProblem(request, {
    code: 'tool/larger-than-bed',
    message: `the guide is ${size.map(figure).join(' x ')} mm; the bed is ${request.shop.printer.bed.slice(0, 2).join(' x ')} mm`,
    hint: 'ask for the mark datum, or give the printer it is printed on in shop.printer.bed',
    measured: Math.max(...size),
  });
