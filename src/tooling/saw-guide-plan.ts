import { tand } from '../geometry/angle.ts';
import { type BendSegment, frameAt } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { type Placement, placementFrom } from '../geometry/placement.ts';
import { sectionHeight, sectionWidth } from '../geometry/section.ts';
import { LEAST_WALL, LETTER_DEPTH, SAME_PLACE, TILTED_STEPS } from '../geometry/tolerance.ts';
import { isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { steepest } from '../geometry/tube-surface.ts';
import { along, cross, dot, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import type { Outcome } from '../job/problem.ts';
import type { FlatCut } from '../solve/solution.ts';
import type { Bed } from './cradle.ts';
import { chooseDatum } from './datum.ts';
import type { Wordings } from './label.ts';
import { type CutRequest, directionOf, toolProblem } from './request.ts';
import { lengthText } from './revision.ts';
import { extentsAt, facetRoom, levelStretch, type Stretch, stationsBetween } from './stations.ts';
import type { Datum } from './tool.ts';

/** Waste tube held beyond the slot, and the shortest stub that is still held. */
const WASTE_HOLD: Mm = 20;
const LEAST_HOLD: Mm = 8;
/** No guide is longer, in however many pieces. */
const LONGEST: Mm = 500;

/** All sizes of one guide; t is the outward coordinate (dir * s), heights are over the table. */
export interface GuidePlan {
  readonly request: CutRequest;
  readonly flat: FlatCut;
  readonly bed: Bed;
  readonly dir: 1 | -1;
  readonly datum: Datum;
  /** Block ends; where the tube leans on a stop the block reaches past the datum by the stop's thickness. */
  readonly keptEnd: Mm;
  readonly wasteEnd: Mm;
  readonly slotKept: Mm;
  readonly slotWaste: Mm;
  readonly slotWidth: Mm;
  readonly room: Mm;
  readonly sideReach: Mm;
  /** Heights: underside of the tube's room, wall top, top of the tube. */
  readonly under: Mm;
  readonly wallTop: Mm;
  readonly tubeTop: Mm;
  /** Top of the posts that guide a blade from above. */
  readonly postTop: Mm;
  /** The wall is too thin for letters sunk into it. */
  readonly lettersOnPad: boolean;
  /** A stop that is not square to the tube: its face, looking at the tube. */
  readonly stopPlane?: Plane;
  /** Marks on the end that the tube is fed in by, at the height of the axis, to roll it by. */
  readonly rollMarks?: true;
  /** What the letters say instead of the end and its datum, behind the arrow and the mark. */
  readonly says?: readonly Wordings[];
}

/** A guide whose stop is the tube's own miter, and what it is fed through on the waste side. */
export interface FlippedGuide {
  readonly up: Vec3;
  readonly datum: Datum;
  readonly stopPlane: Plane;
  readonly says: readonly Wordings[];
}

/** The way up from the table; undefined where no base can have the blade square to it and the tube still drops in. */
function upFromTable(request: CutRequest, flat: FlatCut): Vec3 | undefined {
  const { member, segments } = request.end;
  const frame = frameAt(member.centerline, flat.s);
  const bend = member.centerline.segments
    .slice(segments.first, segments.last + 1)
    .find((x): x is BendSegment => x.kind === 'bend');
  if (bend) {
    const n = unit(flat.plane.normal);
    const standing = along(bend.axis, n, -dot(bend.axis, n));
    if (Math.hypot(...standing) < 0.7) return undefined;
    return upward(unit(standing), request, frame);
  }
  if (flat.miterDeg > 0) return upward(unit(cross(frame.heading, flat.plane.normal)), request, frame);
  const section = sectionAt(member, flat.s);
  const level = sectionWidth(section) >= sectionHeight(section);
  return upward(level ? frame.up : frame.right, request, frame);
}

/** Of the two ways up, the one that keeps the rest of the tube off the table; where both do, the witness line's side. */
function upward(z: Vec3, request: CutRequest, frame: Frame): Vec3 {
  const deepest = (up: Vec3): Mm => {
    const places = request.end.member.centerline.segments.flatMap(({ start, end }) => [start.origin, end.origin]);
    return Math.min(...places.map((p) => dot(sub(p, frame.origin), up)));
  };
  const other = scale(z, -1);
  const gain = deepest(z) - deepest(other);
  if (Math.abs(gain) > 1) return gain > 0 ? z : other;
  const lean = Math.abs(dot(z, frame.up)) > 1e-6 ? dot(z, frame.up) : dot(z, frame.right);
  return lean >= 0 ? z : other;
}

/** Choose the base, the datum and the block of a guide for a flat cut; wide enough for the tube near it, as a tilted bend turns its section as it goes. */
export function planGuide(request: CutRequest, flat: FlatCut, flipped?: FlippedGuide): Outcome<GuidePlan> {
  const { shop, end } = request;
  const up = flipped?.up ?? upFromTable(request, flat);
  if (!up) {
    const message = `the bend would lean more than 45 deg over the table for the blade to stand square to it`;
    return {
      problems: [
        toolProblem(request, {
          code: 'tool/cannot-insert',
          message,
          hint: 'cut nearer to square across the bend, or ask for a notch-collar',
        }),
      ],
    };
  }
  const stretch = levelStretch(end.member, flat.s, up);
  const near = [-60, -45, -30, -15, 0, 15, 30, 45, 60]
    .map((step) => flat.s + step)
    .filter((s) => s === flat.s || (s > stretch.from && s < stretch.to));
  let planned = planOver(request, flat, { up, stretch, places: near, flipped });
  // Along a taper the block is as wide as the tube within it, and the wider it is the longer is a slanted slot.
  for (let i = 0; i < 3 && isTapered(end.member) && planned.value; i++) {
    const { dir, keptEnd, wasteEnd } = planned.value;
    const places = stationsBetween(end.member, { from: dir * keptEnd, to: dir * wasteEnd }, shop.chordTolerance);
    planned = planOver(request, flat, { up, stretch, places, flipped });
  }
  return planned;
}

function planOver(
  request: CutRequest,
  flat: FlatCut,
  {
    up,
    stretch,
    places,
    flipped,
  }: {
    readonly up: Vec3;
    readonly stretch: Stretch;
    readonly places: readonly Mm[];
    readonly flipped: FlippedGuide | undefined;
  },
): Outcome<GuidePlan> {
  const { shop, end, saw } = request;
  const dir = directionOf(end);
  const frame = frameAt(end.member.centerline, flat.s);
  const across = Math.max(...places.map((s) => extentsAt(end.member, s, up).across));
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const sideReach = across + room * steepest(end.member) + shop.wall;
  const slotWidth = Math.max(saw.kerf, saw.blade + saw.clearance);
  const slant = sideReach * tand(flat.miterDeg);
  const slotHalf = slotWidth / Math.cos((flat.miterDeg * Math.PI) / 180);
  const slotKept = dir * flat.s - slant - slotHalf;
  const slotWaste = dir * flat.s + slant + slotHalf + saw.kerf;
  const strapRoom = shop.strap.width + 7;
  const grip = request.grip ?? Math.max(strapRoom, Math.min(70, Math.max(42, 0.9 * 2 * across)));
  // A datum asked for may lie farther off than the bed is long: the guide is then printed in pieces.
  const longest = request.datum === 'auto' ? Math.max(shop.printer.bed[0], shop.printer.bed[1]) - 16 : LONGEST;
  const ready = flipped?.datum;
  const datum =
    ready ??
    chooseDatum(request, {
      stretch,
      kept: slotKept,
      waste: slotWaste + WASTE_HOLD,
      longest,
      handy: 160,
      grip,
      stub: 0,
      squareEnd: true,
      // Over a tilted tube a stop square to the tube would hold it down.
      prefer: Math.abs(dot(frame.heading, up)) < SAME_PLACE ? ['end', 'mark', 'stock'] : ['mark'],
    });
  if (!datum) return { problems: [noRoom(request, grip)] };
  const stop = shop.wall + 2;
  const roomLeft = ready
    ? Math.max(shop.printer.bed[0], shop.printer.bed[1]) - 16 - (slotWaste - dir * ready.s) - stop
    : 0;
  const hold = flipped ? Math.max(WASTE_HOLD, Math.min(grip, roomLeft)) : WASTE_HOLD;
  const span = blockSpan({ datum, dir, slotKept, slotWaste, grip, hold, stretch, stop });
  if (!span) return { problems: [noRoom(request, grip)] };
  const bed: Bed = {
    member: end.member,
    at: placementFrom(frame.origin, up, scale(frame.heading, dir)),
    chordTolerance: shop.chordTolerance,
    tiltedStep: TILTED_STEPS[0]!,
  };
  const heights = guideHeights(bed, {
    from: dir * span.keptEnd,
    to: dir * span.wasteEnd,
    room: room * steepest(end.member),
    strap: shop.strap,
    lettered: shop.labels,
    tall: shop.printer.bed[2],
  });
  return {
    value: {
      request,
      flat,
      bed: heights.bed,
      dir,
      datum,
      ...span,
      slotKept,
      slotWaste,
      slotWidth,
      room,
      sideReach,
      ...heights.levels,
      lettersOnPad: shop.labels && shop.wall < LEAST_WALL + LETTER_DEPTH,
      ...(flipped ? { stopPlane: flipped.stopPlane, rollMarks: true, says: flipped.says } : {}),
    },
    problems: [],
  };
}

/** Ends of the block along the tube; a stop adds its thickness at the datum. */
function blockSpan(plan: {
  readonly datum: Datum;
  readonly dir: 1 | -1;
  readonly slotKept: Mm;
  readonly slotWaste: Mm;
  readonly grip: Mm;
  readonly hold: Mm;
  readonly stretch: { readonly from: Mm; readonly to: Mm };
  readonly stop: Mm;
}): { readonly keptEnd: Mm; readonly wasteEnd: Mm } | undefined {
  const { datum, dir } = plan;
  // A hair inside the stretch, so that the tube's room can be cut through past the block.
  const lowest = (dir > 0 ? plan.stretch.from : -plan.stretch.to) + 1;
  const highest = (dir > 0 ? plan.stretch.to : -plan.stretch.from) - 1;
  const t = dir * datum.s;
  const keptEnd =
    datum.kind === 'end'
      ? t - plan.stop
      : datum.kind === 'mark'
        ? Math.max(t, lowest)
        : Math.max(lowest, plan.slotKept - plan.grip);
  const wasteEnd = datum.kind === 'stock' ? t + plan.stop : Math.min(highest, plan.slotWaste + plan.hold);
  if (plan.slotKept - keptEnd < LEAST_HOLD || wasteEnd - plan.slotWaste < LEAST_HOLD / 2) return undefined;
  return { keptEnd, wasteEnd };
}

/** Share of the tube's half height that walls stand over its middle at the least, and how far posts stand over all of it. */
const PAST_MIDDLE = 0.12;
const OVER_TUBE: Mm = 4;

/** Set the table below the lowest place of the tube, with room for strap tunnels under it and for a line of letters over them. */
function guideHeights(
  bed: Bed,
  span: {
    readonly from: Mm;
    readonly to: Mm;
    readonly room: Mm;
    readonly strap: { readonly width: Mm; readonly thickness: Mm };
    readonly lettered: boolean;
    /** What the printer reaches. */
    readonly tall: Mm;
  },
) {
  const ranges = stationsBetween(bed.member, span, bed.chordTolerance).map((s) => {
    const middle = dot(frameAt(bed.member.centerline, s).origin, bed.at.z);
    return { middle, half: extentsAt(bed.member, s, bed.at.z).out };
  });
  const lowest = Math.min(...ranges.map((x) => x.middle - x.half));
  const highest = Math.max(...ranges.map((x) => x.middle + x.half));
  const shoulder = Math.max(...ranges.map((x) => x.middle + 0.35 * x.half));
  const lips = shoulder - lowest + span.room + LEAST_WALL;
  const under = 2 * LEAST_WALL + tunnelHeight(span.strap) + (span.lettered ? Math.max(0, LEAST_LIPS - lips) : 0);
  const table = lowest - span.room - under;
  const at: Placement = { ...bed.at, origin: along(bed.at.origin, bed.at.z, table - dot(bed.at.origin, bed.at.z)) };
  // Walls end where the printer does, if that is still past the middle of the tube; posts do so anyway.
  const past = Math.max(...ranges.map((x) => x.middle + PAST_MIDDLE * x.half)) - table;
  const wallTop = Math.min(shoulder - table, Math.max(past, span.tall));
  const postTop = Math.min(highest - table + OVER_TUBE, Math.max(wallTop, span.tall));
  return { bed: { ...bed, at }, levels: { under, wallTop, postTop, tubeTop: highest - table } };
}

/** Wall that a line of letters needs between strap tunnels and lip: 3.6 of letters, and 2 above and below. */
const LEAST_LIPS: Mm = 7.6;

/** Height of a strap tunnel: the strap, its play and a roof at 45 degrees. */
export const tunnelHeight = (strap: { readonly width: Mm; readonly thickness: Mm }): Mm =>
  strap.thickness + 0.5 + (strap.width + 1) / 2;

const noRoom = (request: CutRequest, grip: Mm) =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the cut at ${request.end.id} lies too near a bend or the tube's other end for a guide that holds ${lengthText(grip, 'mm')} of tube`,
    hint: 'give a smaller `grip`, another `datum`, or ask for a notch-collar',
    measured: grip,
  });
