import { isTapered } from '../geometry/tube-shape.ts';
import type { Outcome } from '../job/problem.ts';
import type { CutRequest, ToolMaker } from './request.ts';
import { lengthText } from './revision.ts';
import { slantFacts } from './slant.ts';
import { planSleeve, type SleevePlan } from './sleeve-plan.ts';
import { sleeveParts } from './sleeve-tool.ts';
import type { Tool } from './tool.ts';

/** Sleeve whose rim is the cut curve, to scribe or cut along: for copes and merges, and any other cut, on straights and bends. */
export const notchCollar: ToolMaker = (request): Outcome<Tool> => {
  const planned = planSleeve(request, 'even');
  if (!planned.value) return { problems: planned.problems };
  const plan = planned.value;
  const { revision, parts } = sleeveParts(plan);
  const tool: Tool = {
    name: request.name,
    kind: 'notch-collar',
    title: `Notch collar for ${request.end.id}`,
    for: request.end.id,
    end: request.end,
    path: request.path,
    revision,
    datum: plan.datum,
    parts,
    facts: [
      { label: 'surface', value: surfaceText[request.surface] },
      { label: `${plan.datum.kind} to long point`, value: plan.datum.distance, unit: 'mm' },
      ...slantFacts(request.end, plan.datum),
      { label: 'rim, high to low', value: Math.abs(request.end.longPoint - request.end.shortPoint), unit: 'mm' },
      ...(request.end.gap > 0 ? [{ label: 'weld gap in the curve', value: request.end.gap, unit: 'mm' } as const] : []),
    ],
    use: [
      ...sleeveUse(plan),
      plan.datum.kind === 'stock'
        ? 'Scribe along the rim; the collar sits on the waste.'
        : 'Scribe along the rim; the collar sits on the part you keep.',
    ],
  };
  return { value: tool, problems: planned.problems };
};

const surfaceText: { readonly [surface in CutRequest['surface']]: string } = {
  outer: 'outer: scribe, then cut to the line and bevel inward',
  inner: 'inner: where the bore meets the other tube',
  square: 'square: cut square to the wall, leaves no gap',
};

/** How to set a sleeve, for people at the bench. */
export function sleeveUse({ request, datum, parts, shape }: SleevePlan): readonly string[] {
  const { units } = request.solution.job;
  const on = parts === 1 ? 'Slip it on' : 'Close both parts round the tube with two straps';
  const turn = 'the wide notch on the witness line';
  if (datum.kind === 'mark') {
    return [
      `Scribe a ring ${lengthText(datum.distance, units)} from where the long point will be. ${on}, its flat face on the ring, ${turn}.`,
    ];
  }
  if (datum.kind === 'stock') {
    const { end } = request;
    const drawn = end.end === 'end' ? end.member.centerline.length : 0;
    if (isTapered(end.member) && datum.s === drawn) {
      const far = lengthText(datum.distance, units);
      return [
        `${on} until the raw end, as it comes, stands on the ledge, ${turn}: it lies ${far} beyond the long point.`,
      ];
    }
    return [
      `Saw the stock square ${lengthText(datum.distance, units)} beyond the long point. ${on} until the raw end stands on the ledge, ${turn}.`,
    ];
  }
  return [`${on} until the tube's other end stands on the ledge${shape.ledge ? '' : ' face'}, ${turn}.`];
}
