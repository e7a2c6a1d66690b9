import { tand } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import { type Placement, unplace, unplaceDirection } from '../geometry/placement.ts';
import { LEAD_IN, LEAST_WALL, LETTER_DEPTH, SAME_PLACE, TILTED_STEPS } from '../geometry/tolerance.ts';
import { isTapered } from '../geometry/tube-shape.ts';
import { along, cross, dot, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { bar, box, channel, flare, inPlan, isLevel, sidePlacement } from './cradle.ts';
import { sunkLabel } from './label.ts';
import { recentered } from './print-pose.ts';
import { type GuidePlan, tunnelHeight } from './saw-guide-plan.ts';
import { extentsAt } from './stations.ts';
import { type WitnessNotch, witnessNotch } from './witness.ts';

/** Length of bridge or post on either side of the slot, and the bridge's thickness behind the wall. */
const BESIDE_SLOT: Mm = 12;
const BRIDGE: Mm = 8;
/** How far the slot runs past the tube, so that the blade is through before it reaches the end of it. */
const PAST_TUBE: Mm = 2;
/** More than the letters' pad ever stands out of the wall. */
const PAD_REACH: Mm = 40;

/** The guide in print pose, on the table, and where that pose stands in the job. */
export function guideSolid(plan: GuidePlan, revision: string): { readonly solid: Solid; readonly pose: Placement } {
  const { bed } = plan;
  const [first, ...others] = levelOver(plan) ? [bed.tiltedStep] : TILTED_STEPS;
  const made = (tiltedStep: Mm): Solid => guideOf({ ...plan, bed: { ...bed, tiltedStep } }, revision);
  const solid: Solid =
    others.length === 0 ? made(first!) : { kind: 'either', name: 'saw guide', of: [made(first!), ...others.map(made)] };
  return recentered(solid, bed.at, blockMiddle(plan));
}

function guideOf(plan: GuidePlan, revision: string): Solid {
  const { dir, bed, wallTop, sideReach } = plan;
  const band = plan.request.saw.kind === 'vertical-band';
  const back = backSide(plan);
  const block = bar(bed, {
    name: 'block',
    from: dir * plan.keptEnd,
    to: dir * plan.wasteEnd,
    left: sideReach,
    right: sideReach,
    low: 0,
    high: wallTop,
    foot: true,
  });
  const beside = besideSlot(plan);
  // Never flush with the block: in a bend two faceted walls at one place would leave slivers.
  const side = (sign: 1 | -1): Mm => sideReach + (band ? (back === sign ? BRIDGE : -0.5) : 0.6);
  const reach = { left: side(-1), right: side(1) };
  const guard = bar(bed, {
    name: band ? 'bridge' : 'posts',
    ...beside,
    ...reach,
    low: 0,
    high: band ? wallTop : plan.postTop,
    foot: true,
  });
  const face = plan.request.shop.labels ? labelFace(plan, -back as 1 | -1) : undefined;
  const body: Solid = { kind: 'union', name: 'body', of: [block, guard, ...(face?.pad ? [face.pad] : [])] };
  const label = face
    ? [
        sunkLabel(
          plan.request,
          {
            revision,
            datum: plan.datum,
            keepArrow: keepArrow(plan, face.at),
            ...(plan.says ? { says: plan.says } : {}),
          },
          { ...face, letter: 6 },
        ),
      ]
    : [];
  const notch = witnessOf(plan);
  const cuts: readonly Solid[] = [
    ...beforeStop(plan, [tubeRoom(plan), ...(levelOver(plan) ? leadIns(plan, beside) : [])]),
    ...(plan.rollMarks ? rollMarks(plan) : []),
    slot(plan, back),
    ...tunnels(plan),
    ...(notch ? [notch.cut] : []),
    ...label,
  ];
  return { kind: 'subtract', name: 'saw guide', from: body, cuts };
}

/** The notch that the tube is rolled to, in the end face that is no stop; none where the tube leans over the table, or is rolled to other marks. */
export function witnessOf(plan: GuidePlan): WitnessNotch | undefined {
  if (plan.rollMarks || isTapered(plan.bed.member) || !levelOver(plan)) return undefined;
  const { bed, dir, datum, room, wallTop, request } = plan;
  const kept = datum.kind !== 'end';
  const inward = (kept ? dir : -dir) as 1 | -1;
  const s = dir * (kept ? plan.keptEnd : plan.wasteEnd);
  return witnessNotch(bed, { s, inward, room, top: wallTop, wall: request.shop.wall });
}

/** Whether the tube lies level over the table all along the block. */
const levelOver = ({ bed, dir, keptEnd, wasteEnd }: GuidePlan): boolean =>
  isLevel(
    bed,
    [keptEnd, wasteEnd].map((t) => frameAt(bed.member.centerline, dir * t)),
  );

/**
 * Stretch of posts or bridge about the slot; where it comes near a stop it takes in the whole stop, and where it would begin
 * just before a strap tunnel the whole tunnel side, so that no thin wall is left of either.
 */
function besideSlot(plan: GuidePlan): { readonly from: Mm; readonly to: Mm } {
  const { dir, datum, keptEnd, wasteEnd, slotKept, slotWaste } = plan;
  const half = (plan.request.shop.strap.width + 1) / 2;
  const thin = (t: Mm, outward: 1 | -1): boolean =>
    tunnelPlaces(plan).some((middle) => {
      const wall = outward * (t - (middle + outward * half));
      return wall > 0 && wall < LEAST_WALL;
    });
  const [first, last] = [slotKept - BESIDE_SLOT, slotWaste + BESIDE_SLOT];
  // A stop at a miter reaches farther in on one side.
  const lean = plan.stopPlane ? 2 * (plan.sideReach - plan.request.shop.wall) * tand(plan.flat.miterDeg) : 0;
  const keptStop = datum.kind === 'end' ? dir * datum.s + lean + LEAST_WALL : keptEnd;
  const wasteStop = datum.kind === 'stock' ? dir * datum.s - LEAST_WALL : wasteEnd;
  return {
    from: dir * (first < keptStop || thin(first, -1) ? keptEnd : first),
    to: dir * (last > wasteStop || thin(last, 1) ? wasteEnd : last),
  };
}

/** Side of the bridge, as a sign of z x heading: the inside of a bend, so that the slot opens to the outside; else the print's far side. */
function backSide(plan: GuidePlan): 1 | -1 {
  const bend = plan.request.end.bend?.segment;
  if (!bend) return plan.dir;
  const frame = frameAt(plan.request.end.member.centerline, plan.flat.s);
  const inward = unit(sub(bend.center, frame.origin));
  return dot(inward, cross(plan.bed.at.z, frame.heading)) >= 0 ? 1 : -1;
}

/** The tube's room as far as a stop that stands at a miter to it. */
function beforeStop({ bed, stopPlane }: GuidePlan, rooms: readonly Solid[]): readonly Solid[] {
  if (!stopPlane) return rooms;
  const n = unplaceDirection(bed.at, stopPlane.normal);
  const up: Vec3 = [0, 0, 1];
  const at: Placement = { origin: unplace(bed.at, stopPlane.point), x: n, y: cross(up, n), z: up };
  const stop = box('stop', at, [
    [-BEHIND_STOP, 0],
    [-BEHIND_STOP, BEHIND_STOP],
    [-BEHIND_STOP, BEHIND_STOP],
  ]);
  const whole: Solid = { kind: 'union', name: 'tube room', of: rooms };
  return [{ kind: 'subtract', name: 'tube room', from: whole, cuts: [stop] }];
}

/** More than any tool is long. */
const BEHIND_STOP: Mm = 2000;

/** A line on either side of the end the tube is fed in by, at the height of the axis: half a turn apart for any section. */
const rollMarks = ({ bed, dir, wasteEnd, sideReach, request }: GuidePlan): readonly Solid[] =>
  ([1, -1] as const).map((side) => {
    const frame = frameAt(request.end.member.centerline, dir * wasteEnd);
    const height = unplace(bed.at, frame.origin)[2];
    const { origin, z } = sidePlacement(bed, dir * wasteEnd, { across: side * sideReach, height });
    const out = unplaceDirection(bed.at, scale(frame.heading, dir));
    return box('roll mark', { origin, x: out, y: cross(z, out), z }, [
      [-LETTER_DEPTH, 1],
      [-0.5, 0.5],
      [-sideReach / 2, 1],
    ]);
  });

function tubeRoom(plan: GuidePlan): Solid {
  const { dir, datum, bed, room } = plan;
  // Past the block: by a hair where the block's end faces are square to the tube, by its lean where it is tilted.
  const past = levelOver(plan) ? 0.5 : 0.5 + plan.tubeTop / 2;
  const kept = datum.kind === 'end' ? stopAt(plan) : plan.keptEnd - past;
  const waste = datum.kind === 'stock' ? dir * datum.s : plan.wasteEnd + past;
  return channel(bed, { from: dir * kept, to: dir * waste, room, lift: plan.tubeTop * 2 });
}

/** Outward coordinate where the tube's room ends on the kept side; behind a stop at a miter, which takes back what is too much. */
const stopAt = ({ dir, datum, stopPlane }: GuidePlan): Mm => dir * datum.s - (stopPlane ? 1 : 0);

function leadIns(plan: GuidePlan, beside: { readonly from: Mm; readonly to: Mm }): readonly Solid[] {
  const { dir, bed, datum } = plan;
  const { member, at } = bed;
  const even = plan.sideReach - plan.request.shop.wall;
  const half = (s: Mm): Mm => (isTapered(member) ? extentsAt(member, s, at.z).across + plan.room : even);
  const kept = datum.kind === 'end' ? stopAt(plan) : plan.keptEnd - 0.2;
  const waste = datum.kind === 'stock' ? dir * datum.s : plan.wasteEnd + 0.2;
  const band = plan.request.saw.kind === 'vertical-band';
  const spans = band
    ? [{ from: kept, to: waste, top: plan.wallTop }]
    : [
        { from: kept, to: dir * beside.from, top: plan.wallTop },
        {
          from: Math.max(kept, dir * beside.from - 0.2),
          to: Math.min(waste, dir * beside.to + 0.2),
          top: plan.postTop,
        },
        { from: dir * beside.to, to: waste, top: plan.wallTop },
      ];
  return spans
    .filter((span) => span.to - span.from > 1)
    .map((span) => flare(bed, { from: dir * span.from, to: dir * span.to, half, top: span.top, more: LEAD_IN }));
}

/** The blade's slot: wider than kerf and blade, about the middle of the kerf, which lies wholly on the waste side. */
function slot(plan: GuidePlan, back: 1 | -1): Solid {
  const { flat, bed, request } = plan;
  const n = unplaceDirection(bed.at, flat.plane.normal);
  const line = request.end.member.centerline;
  const middle = unplace(bed.at, frameAt(line, flat.s).origin);
  const acrossBack = scale(unplaceDirection(bed.at, cross(bed.at.z, frameAt(line, flat.s).heading)), back);
  const level = unit(cross([0, 0, 1], n));
  const toBack: Vec3 = dot(level, acrossBack) >= 0 ? level : scale(level, -1);
  const at: Placement = { origin: [middle[0], middle[1], 0], x: n, y: toBack, z: cross(n, toBack) };
  const slant = Math.cos((flat.miterDeg * Math.PI) / 180);
  const far = (plan.sideReach + BRIDGE + 16) / slant;
  const tubeBack = Math.max(
    ...request.end.curves.outer.samples.map((x) => dot(sub(unplace(bed.at, x.point), middle), toBack)),
  );
  const thick = [request.saw.kerf / 2 - plan.slotWidth / 2, request.saw.kerf / 2 + plan.slotWidth / 2] as const;
  const heights =
    request.saw.kind === 'vertical-band'
      ? ([-1, plan.tubeTop + 10] as const)
      : ([plan.under + plan.room - PAST_TUBE, plan.tubeTop + 10] as const);
  const reach =
    request.saw.kind === 'vertical-band' ? ([-far, tubeBack + plan.room + PAST_TUBE] as const) : ([-far, far] as const);
  const upright = at.z[2] > 0 ? heights : ([-heights[1], -heights[0]] as const);
  return box('blade slot', at, [thick, reach, upright]);
}

/** Length on the block's inside over that on the centerline, in the tightest bend it touches; 1 along straights. */
function shortSide({ bed, dir, keptEnd, wasteEnd, sideReach }: GuidePlan): number {
  const [low, high] = dir > 0 ? [keptEnd, wasteEnd] : [-wasteEnd, -keptEnd];
  const clrs = bed.member.centerline.segments.flatMap((x) =>
    x.kind === 'bend' && x.s0 < high && x.s0 + x.length > low ? [x.clr] : [],
  );
  const clr = Math.min(...clrs);
  return clrs.length === 0 ? 1 : Math.max(0, (clr - sideReach) / clr);
}

/** Tunnels through the base for straps: flat floor, roof at 45 degrees. */
const tunnels = (plan: GuidePlan): readonly Solid[] => tunnelPlaces(plan).map((t) => tunnel(plan, plan.dir * t));

/** Middles of the tunnels, outward coordinate: one on each side of the slot that has room, two on a long kept side. */
function tunnelPlaces(plan: GuidePlan): readonly Mm[] {
  const { dir, datum, request } = plan;
  const wide = request.shop.strap.width + 1;
  const kept = datum.kind === 'end' ? dir * datum.s : plan.keptEnd;
  const waste = datum.kind === 'stock' ? dir * datum.s : plan.wasteEnd;
  const spans = [
    ...(plan.slotKept - kept > 110
      ? [
          [kept, (kept + plan.slotKept) / 2],
          [(kept + plan.slotKept) / 2, plan.slotKept],
        ]
      : [[kept, plan.slotKept]]),
    [plan.slotWaste, waste],
  ] as const;
  return spans
    .filter(([from, to]) => (to! - from!) * shortSide(plan) >= wide + 2 * LEAST_WALL + 3)
    .map(([from, to]) => (from! + to!) / 2);
}

function tunnel(plan: GuidePlan, s: Mm): Solid {
  const { bed, request } = plan;
  const { strap } = request.shop;
  const half = (strap.width + 1) / 2;
  const frame = frameAt(bed.member.centerline, s);
  const forward = unplaceDirection(bed.at, unit(along(frame.heading, bed.at.z, -dot(frame.heading, bed.at.z))));
  const profile = [
    [-half, LEAST_WALL],
    [half, LEAST_WALL],
    [half, LEAST_WALL + strap.thickness + 0.5],
    [0, LEAST_WALL + tunnelHeight(strap)],
    [-half, LEAST_WALL + strap.thickness + 0.5],
  ] as const;
  const back = backSide(plan);
  // Through whatever stands at the side: the bridge behind, the letters' pad in front.
  const ends = [back * (plan.sideReach + BRIDGE + 6), -back * (plan.sideReach + PAD_REACH)];
  const points = ends.flatMap((across) => {
    const side = unplace(bed.at, inPlan(bed, frame, [across, 0]));
    return profile.map(([x, z]) => along([side[0], side[1], z], forward, x));
  });
  return { kind: 'hull', name: 'strap tunnel', points };
}

interface LabelFace {
  readonly at: Placement;
  readonly box: readonly [Mm, Mm];
  readonly pad?: Solid;
}

/** Narrower than this no revision mark fits; the letters then go on the stop, if there is one. */
const LEAST_LABEL: Mm = 22;

/** A flat place for the letters: the kept part of the open side, on a pad where posts or a bend make it uneven; else the stop. */
function labelFace(plan: GuidePlan, side: 1 | -1): LabelFace | undefined {
  const { dir, bed, request } = plan;
  // A pad stands proud of the wall, where a slanted slot comes sooner; in a bend its end is not square to the tube.
  const clear = (request.end.bend ? 6 : LEAST_WALL) + 4 * tand(plan.flat.miterDeg);
  const [from, to] = [plan.keptEnd + 0.5, plan.slotKept - clear];
  const above = LEAST_WALL + tunnelHeight(request.shop.strap);
  const tall = plan.wallTop - above - 4;
  if (to - from < LEAST_LABEL) return plan.datum.kind === 'end' ? stopFace(plan, tall) : undefined;
  const wide = Math.min(to - from, 60);
  const s = dir * (from + wide / 2);
  const height = (plan.wallTop + above) / 2;
  const letters = [wide - 3, tall] as const;
  const bow = wallBow(plan, { from, to: from + wide });
  const posts = request.saw.kind === 'top-down' && from + wide > plan.slotKept - BESIDE_SLOT - 1;
  if (bow === 0 && !posts && !plan.lettersOnPad)
    return { at: sidePlacement(bed, s, { across: side * plan.sideReach, height }), box: letters };
  const proud = bow + (posts ? 1.2 : 0.8);
  const at = sidePlacement(bed, s, { across: side * (plan.sideReach + proud), height });
  const pad = box('label pad', at, [
    [-wide / 2, wide / 2],
    [-height, plan.wallTop - height],
    [-proud - bow - request.shop.wall, 0],
  ]);
  return { at, box: letters, pad };
}

/** How far the wall bows off the chord over the letters; 0 along straights. */
function wallBow(plan: GuidePlan, span: { readonly from: Mm; readonly to: Mm }): Mm {
  const [low, high] = plan.dir > 0 ? [span.from, span.to] : [-span.to, -span.from];
  const clrs = plan.bed.member.centerline.segments.flatMap((x) =>
    x.kind === 'bend' && x.s0 < high && x.s0 + x.length > low ? [x.clr] : [],
  );
  if (clrs.length === 0) return asideOver(plan, low, high);
  const wide = high - low;
  return (wide * wide) / (8 * Math.max(Math.min(...clrs) - plan.sideReach, wide / 2));
}

/** How far an eccentric taper carries the wall aside, either way from the middle of a stretch. */
function asideOver({ bed }: GuidePlan, low: Mm, high: Mm): Mm {
  const line = bed.member.centerline;
  const { origin, heading } = frameAt(line, (low + high) / 2);
  const across = cross(bed.at.z, heading);
  const aside = Math.max(...[low, high].map((s) => Math.abs(dot(sub(frameAt(line, s).origin, origin), across))));
  return aside > SAME_PLACE ? aside : 0;
}

/** The outside of the stop, seen along the tube. */
function stopFace(plan: GuidePlan, tall: Mm): LabelFace {
  const { bed, dir } = plan;
  const frame = frameAt(bed.member.centerline, dir * plan.keptEnd);
  const z = unplaceDirection(bed.at, scale(frame.heading, -dir));
  const middle = unplace(bed.at, frame.origin);
  const up: Vec3 = [0, 0, 1];
  const at = { origin: [middle[0], middle[1], plan.wallTop - tall / 2 - 2] as const, x: cross(up, z), y: up, z };
  return { at, box: [2 * plan.sideReach - 4, tall] };
}

/** Arrow, as seen on the face, to the part that is kept. */
function keepArrow(plan: GuidePlan, face: Placement): '←' | '→' {
  const frame = frameAt(plan.bed.member.centerline, plan.flat.s);
  const kept = unplaceDirection(plan.bed.at, scale(frame.heading, -plan.dir));
  return dot(face.x, kept) >= 0 ? '→' : '←';
}

function blockMiddle(plan: GuidePlan): Vec3 {
  const frame = frameAt(plan.bed.member.centerline, (plan.dir * (plan.keptEnd + plan.wasteEnd)) / 2);
  const p = unplace(plan.bed.at, frame.origin);
  return [p[0], p[1], 0];
}
