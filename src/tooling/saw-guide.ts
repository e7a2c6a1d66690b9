import { atan2d, turnDeg } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { dot, scale } from '../geometry/vector.ts';
import type { Outcome } from '../job/problem.ts';
import { stockSpan } from './datum.ts';
import { type ToolMaker, toolProblem } from './request.ts';
import { angleText, lengthText, revisionOf } from './revision.ts';
import { type GuidePlan, planGuide } from './saw-guide-plan.ts';
import { guideSolid, witnessOf } from './saw-guide-solid.ts';
import { slantFacts } from './slant.ts';
import { slidingFit } from './stations.ts';
import type { Datum, Tool } from './tool.ts';
import { lineText } from './witness.ts';

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

function guideTool(plan: GuidePlan): Tool {
  const { request, flat, datum, bed, dir } = plan;
  const units = request.solution.job.units;
  const notch = witnessOf(plan);
  const revision = revisionOf(request, {
    datum,
    more: [
      plan.keptEnd - dir * datum.s,
      plan.wasteEnd - dir * datum.s,
      plan.slotWidth,
      ...(plan.lettersOnPad ? [1] : []),
      notch ? notch.turnDeg : -1,
    ],
  });
  const { solid, pose } = guideSolid(plan, revision);
  const line = request.end.member.centerline;
  const stop = {
    point: frameAt(line, datum.s).origin,
    normal: scale(frameAt(line, datum.s).heading, datum.kind === 'stock' ? -dir : dir),
  };
  return {
    name: request.name,
    kind: 'saw-guide',
    title: `Saw guide for ${request.end.id}`,
    for: request.end.id,
    end: request.end,
    path: request.path,
    revision,
    saw: request.saw,
    datum,
    parts: [
      {
        name: request.name,
        solid,
        pose,
        tubes: [
          {
            member: request.end.member,
            ...stockSpan(request, datum, plan.wasteEnd + 10),
            insertion: { kind: 'lift', out: bed.at.z },
            clearance: slidingFit(request.shop, request.end.member),
          },
        ],
        leastWall: LEAST_WALL,
        features: [
          {
            kind: 'slot',
            cut: flat.plane,
            keptOffset: (request.saw.kerf - plan.slotWidth) / 2,
            width: plan.slotWidth,
            kerf: request.saw.kerf,
          },
          ...(datum.kind === 'mark' ? [] : [{ kind: 'datum', plane: stop, s: datum.s, by: 'stop' } as const]),
        ],
      },
    ],
    facts: [
      { label: 'saw', value: `${request.saw.name} (${request.saw.kind})` },
      { label: 'from square', value: flat.miterDeg, unit: 'deg' },
      ...(request.end.bend
        ? [{ label: 'into the bend', value: request.end.bend.intoBendDeg, unit: 'deg' } as const]
        : []),
      { label: `${datum.kind} to long point`, value: datum.distance, unit: 'mm' },
      ...slantFacts(request.end, datum),
      { label: 'witness line', value: witnessText(plan) },
      ...(notch ? [{ label: 'notch in the lip', value: lineText(notch.turnDeg) } as const] : []),
      { label: 'slot', value: plan.slotWidth, unit: 'mm' },
      { label: 'kerf on the waste side', value: request.saw.kerf, unit: 'mm' },
    ],
    use: [
      useOfDatum(datum, units),
      `Drop the tube in with its witness line ${witnessText(plan)}${notch ? `: the notch in the guide's lip stands on ${lineText(notch.turnDeg)}` : ''}; strap it down through the base, check that the arrow points to the part you keep.`,
      request.saw.kind === 'vertical-band'
        ? 'Slide the guide flat on the table, open side of the slot to the blade; stop when the tube is through: the bridge stays whole.'
        : 'Clamp the base; bring the blade down between the posts; stop when the tube is through: the base stays whole.',
      `The cut stands ${angleText(flat.miterDeg)} from square; the kerf is all on the waste side.`,
    ],
  };
}

/** How the tube is rolled in the guide: where its witness line stands. */
function witnessText({ request, flat, bed }: GuidePlan): string {
  const frame = frameAt(request.end.member.centerline, flat.s);
  const deg = turnDeg(-atan2d(dot(bed.at.z, frame.right), dot(bed.at.z, frame.up)));
  return `${angleText(deg)} from the top, clockwise looking from start to end`;
}

const useOfDatum = (datum: Datum, units: 'mm' | 'in'): string =>
  datum.kind === 'end'
    ? `Push the tube's other end against the stop: the cut's long point comes ${lengthText(datum.distance, units)} from it.`
    : datum.kind === 'stock'
      ? `Push the raw end against the stop: it stands ${lengthText(datum.distance, units)} beyond the long point.`
      : `Scribe a line ${lengthText(datum.distance, units)} from where the long point will be and set it flush with the guide's end face on the kept side.`;
