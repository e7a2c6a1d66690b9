import { tand } from '../geometry/angle.ts';
import { frameAt, type BendSegment } from '../geometry/centerline.ts';
import { placementFrom, type Placement } from '../geometry/placement.ts';
import { sectionHeight, sectionWidth } from '../geometry/section.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { along, cross, dot, scale, unit, type Mm, type Vec3 } from '../geometry/vector.ts';
import type { Outcome } from '../job/problem.ts';
import type { FlatCut } from '../solve/solution.ts';
import type { Bed } from './cradle.ts';
import { chooseDatum } from './datum.ts';
import { directionOf, toolProblem, type ToolMaker, type ToolRequest } from './request.ts';
import { angleText, lengthText, revisionOf } from './revision.ts';
import { guideSolid } from './saw-guide-solid.ts';
import { extentsOf, facetRoom, framesAt, levelStretch, stationsBetween } from './stations.ts';
import type { Datum, Tool } from './tool.ts';

/** Waste tube held beyond the slot, and the shortest stub that is still held. */
const WASTE_HOLD: Mm = 20;
const LEAST_HOLD: Mm = 8;

/** All sizes of one guide; t is the outward coordinate (dir * s), heights are over the table. */
export interface GuidePlan {
  readonly request: ToolRequest;
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
}

/**
 * Cradle that the tube drops into, with a blade slot at a flat cut. The base stands so that the cut plane is square to
 * the table: up is heading x plane normal on a straight, the bend's axis freed of the normal's share in a bend.
 */
export const sawGuide: ToolMaker = (request): Outcome<Tool> => {
  const { flat } = request.end;
  if (!flat) {
    const message = `${request.end.id} is not a flat cut, and a saw guide carries a blade along one plane`;
    return { problems: [toolProblem(request, { code: 'tool/not-flat', message, hint: 'ask for a notch-collar' })] };
  }
  const planned = planGuide(request, flat);
  if (!planned.value) return { problems: planned.problems };
  return { value: guideTool(planned.value), problems: [] };
};

/** The way up from the table; undefined where no base can have the blade square to it and the tube still drops in. */
export function upFromTable(request: ToolRequest, flat: FlatCut): Vec3 | undefined {
  const { member, segments } = request.end;
  const frame = frameAt(member.centerline, flat.s);
  const bend = member.centerline.segments.slice(segments.first, segments.last + 1).find((x): x is BendSegment => x.kind === 'bend');
  if (bend) {
    const n = unit(flat.plane.normal);
    const standing = along(bend.axis, n, -dot(bend.axis, n));
    if (Math.hypot(...standing) < 0.7) return undefined;
    return upward(unit(standing), frame);
  }
  if (flat.miterDeg > 0) return upward(unit(cross(frame.heading, flat.plane.normal)), frame);
  return sectionWidth(member.section) >= sectionHeight(member.section) ? frame.up : frame.right;
}

/** Of the two ways up, the one on the witness line's side. */
function upward(z: Vec3, frame: { readonly up: Vec3; readonly right: Vec3 }): Vec3 {
  const lean = Math.abs(dot(z, frame.up)) > 1e-6 ? dot(z, frame.up) : dot(z, frame.right);
  return lean >= 0 ? z : scale(z, -1);
}

function planGuide(request: ToolRequest, flat: FlatCut): Outcome<GuidePlan> {
  const { shop, end, saw } = request;
  const up = upFromTable(request, flat);
  if (!up) {
    const message = `the bend would lean more than 45 deg over the table for the blade to stand square to it`;
    return { problems: [toolProblem(request, { code: 'tool/cannot-insert', message, hint: 'cut nearer to square across the bend, or ask for a notch-collar' })] };
  }
  const dir = directionOf(end);
  const frame = frameAt(end.member.centerline, flat.s);
  const half = extentsOf(end.member.section, frame, up);
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const sideReach = half.across + room + shop.wall;
  const slotWidth = Math.max(saw.kerf, saw.blade + saw.clearance);
  const slant = sideReach * tand(flat.miterDeg);
  const slotHalf = slotWidth / Math.cos((flat.miterDeg * Math.PI) / 180);
  const slotKept = dir * flat.s - slant - slotHalf;
  const slotWaste = dir * flat.s + slant + slotHalf + saw.kerf;
  const strapRoom = shop.strap.width + 7;
  const grip = request.grip ?? Math.max(strapRoom, Math.min(70, Math.max(42, 0.9 * 2 * half.across)));
  const stretch = levelStretch(end.member, flat.s, up);
  const longest = Math.max(shop.printer.bed[0], shop.printer.bed[1]) - 16;
  const datum = chooseDatum(request, {
    stretch, kept: slotKept, waste: slotWaste + WASTE_HOLD, longest, grip, stub: 0, prefer: ['end', 'mark', 'stock'],
  });
  if (!datum) return { problems: [noRoom(request, grip)] };
  const span = blockSpan({ datum, dir, slotKept, slotWaste, grip, stretch, stop: shop.wall + 2 });
  if (!span) return { problems: [noRoom(request, grip)] };
  const bed: Bed = { member: end.member, at: placementFrom(frame.origin, up, scale(frame.heading, dir)), chordTolerance: shop.chordTolerance };
  const heights = guideHeights(bed, { from: dir * span.keptEnd, to: dir * span.wasteEnd, room, strap: shop.strap });
  return {
    value: { request, flat, bed: heights.bed, dir, datum, ...span, slotKept, slotWaste, slotWidth, room, sideReach, ...heights.levels },
    problems: [],
  };
}

/** Ends of the block along the tube; a stop adds its thickness at the datum. */
function blockSpan(plan: {
  readonly datum: Datum; readonly dir: 1 | -1; readonly slotKept: Mm; readonly slotWaste: Mm; readonly grip: Mm;
  readonly stretch: { readonly from: Mm; readonly to: Mm }; readonly stop: Mm;
}): { readonly keptEnd: Mm; readonly wasteEnd: Mm } | undefined {
  const { datum, dir } = plan;
  // A hair inside the stretch, so that the tube's room can be cut through past the block.
  const lowest = (dir > 0 ? plan.stretch.from : -plan.stretch.to) + 1;
  const highest = (dir > 0 ? plan.stretch.to : -plan.stretch.from) - 1;
  const t = dir * datum.s;
  const keptEnd = datum.kind === 'end' ? t - plan.stop : datum.kind === 'mark' ? Math.max(t, lowest) : Math.max(lowest, plan.slotKept - plan.grip);
  const wasteEnd = datum.kind === 'stock' ? t + plan.stop : Math.min(highest, plan.slotWaste + WASTE_HOLD);
  if (plan.slotKept - keptEnd < LEAST_HOLD || wasteEnd - plan.slotWaste < LEAST_HOLD / 2) return undefined;
  return { keptEnd, wasteEnd };
}

/** Set the table below the lowest place of the tube, with room for strap tunnels under it. */
function guideHeights(bed: Bed, span: { readonly from: Mm; readonly to: Mm; readonly room: Mm; readonly strap: { readonly width: Mm; readonly thickness: Mm } }) {
  const frames = framesAt(bed.member, stationsBetween(bed.member, span, bed.chordTolerance));
  const ranges = frames.map((frame) => {
    const middle = dot(frame.origin, bed.at.z);
    const half = extentsOf(bed.member.section, frame, bed.at.z).out;
    return { middle, half };
  });
  const lowest = Math.min(...ranges.map((x) => x.middle - x.half));
  const highest = Math.max(...ranges.map((x) => x.middle + x.half));
  const shoulder = Math.max(...ranges.map((x) => x.middle + 0.35 * x.half));
  const under = 2 * LEAST_WALL + tunnelHeight(span.strap);
  const table = lowest - span.room - under;
  const at: Placement = { ...bed.at, origin: along(bed.at.origin, bed.at.z, table - dot(bed.at.origin, bed.at.z)) };
  return { bed: { ...bed, at }, levels: { under, wallTop: shoulder - table, tubeTop: highest - table } };
}

/** Height of a strap tunnel: the strap, its play and a roof at 45 degrees. */
export const tunnelHeight = (strap: { readonly width: Mm; readonly thickness: Mm }): Mm => strap.thickness + 0.5 + (strap.width + 1) / 2;

const noRoom = (request: ToolRequest, grip: Mm) =>
  toolProblem(request, {
    code: 'tool/crosses-bend',
    message: `the cut at ${request.end.id} lies too near a bend or the tube's other end for a guide that holds ${lengthText(grip, 'mm')} of tube`,
    hint: 'give a smaller `grip`, another `datum`, or ask for a notch-collar',
    measured: grip,
  });

function guideTool(plan: GuidePlan): Tool {
  const { request, flat, datum, bed, dir } = plan;
  const units = request.solution.job.units;
  const revision = revisionOf(request, { datum, more: [plan.keptEnd - dir * datum.s, plan.wasteEnd - dir * datum.s, plan.slotWidth] });
  const { solid, pose } = guideSolid(plan, revision);
  const line = request.end.member.centerline;
  const stop = { point: frameAt(line, datum.s).origin, normal: scale(frameAt(line, datum.s).heading, datum.kind === 'stock' ? -dir : dir) };
  return {
    name: request.name,
    kind: 'saw-guide',
    title: `Saw guide for ${request.end.id}`,
    end: request.end,
    revision,
    saw: request.saw,
    datum,
    parts: [
      {
        name: request.name,
        solid,
        pose,
        tube: tubeSpan(plan),
        insertion: { kind: 'lift', out: bed.at.z },
        clearance: { least: request.shop.fit.slide, most: request.shop.fit.slide + 4 * request.shop.chordTolerance },
        leastWall: LEAST_WALL,
        features: [
          { kind: 'slot', cut: flat.plane, keptOffset: (request.saw.kerf - plan.slotWidth) / 2, width: plan.slotWidth, kerf: request.saw.kerf },
          ...(datum.kind === 'mark' ? [] : [{ kind: 'datum', plane: stop, s: datum.s } as const]),
        ],
      },
    ],
    facts: [
      { label: 'saw', value: `${request.saw.name} (${request.saw.kind})` },
      { label: 'from square', value: flat.miterDeg, unit: 'deg' },
      ...(request.end.bend ? [{ label: 'into the bend', value: request.end.bend.intoBendDeg, unit: 'deg' } as const] : []),
      { label: `${datum.kind} to long point`, value: datum.distance, unit: 'mm' },
      { label: 'slot', value: plan.slotWidth, unit: 'mm' },
      { label: 'kerf on the waste side', value: request.saw.kerf, unit: 'mm' },
    ],
    use: [
      useOfDatum(datum, units),
      'Drop the tube in, strap it down through the base, check that the arrow points to the part you keep.',
      request.saw.kind === 'vertical-band'
        ? 'Slide the guide flat on the table, open side of the slot to the blade; stop when the tube is through: the bridge stays whole.'
        : 'Clamp the base; bring the blade down between the posts; stop when the tube is through: the base stays whole.',
      `The cut stands ${angleText(flat.miterDeg)} from square; the kerf is all on the waste side.`,
    ],
  };
}

/** The stock as it lies in the guide: from what it leans on, or its drawn end, to past the guide. */
function tubeSpan({ request, datum, dir, wasteEnd }: GuidePlan): { readonly from: Mm; readonly to: Mm } {
  const whole = request.end.member.centerline.length;
  const kept = datum.kind === 'end' ? dir * datum.s : dir > 0 ? 0 : -whole;
  const waste = datum.kind === 'stock' ? dir * datum.s : Math.max(dir > 0 ? whole : 0, wasteEnd + 10);
  return dir > 0 ? { from: kept, to: waste } : { from: -waste, to: -kept };
}

const useOfDatum = (datum: Datum, units: 'mm' | 'in'): string =>
  datum.kind === 'end'
    ? `Push the tube's other end against the stop: the cut's long point comes ${lengthText(datum.distance, units)} from it.`
    : datum.kind === 'stock'
      ? `Push the raw end against the stop: it stands ${lengthText(datum.distance, units)} beyond the long point.`
      : `Scribe a line ${lengthText(datum.distance, units)} from where the long point will be and set it flush with the guide's end face on the kept side.`;
