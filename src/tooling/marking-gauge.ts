import type { Outcome } from '../job/problem.ts';
import { sleeveUse } from './notch-collar.ts';
import { type ToolMaker, toolProblem } from './request.ts';
import { lengthText } from './revision.ts';
import { slantFacts } from './slant.ts';
import { planSleeve } from './sleeve-plan.ts';
import { sleeveParts } from './sleeve-tool.ts';
import type { Tool } from './tool.ts';

/** Sleeve exactly as long as the mark is from the datum: a flat face to mark along, flat sides to slide on the saw table. */
export const markingGauge: ToolMaker = (request): Outcome<Tool> => {
  const { end } = request;
  if (!end.flat) {
    const message = `${end.id} is not a flat cut, and a marking gauge has a flat face`;
    return { problems: [toolProblem(request, { code: 'tool/not-flat', message, hint: 'ask for a notch-collar' })] };
  }
  const planned = planSleeve({ ...request, surface: 'outer' }, 'box');
  if (!planned.value) return { problems: planned.problems };
  const plan = planned.value;
  const { revision, parts } = sleeveParts(plan);
  const tool: Tool = {
    name: request.name,
    kind: 'marking-gauge',
    title: `Marking gauge for ${end.id}`,
    for: end.id,
    end,
    path: request.path,
    revision,
    datum: plan.datum,
    parts,
    facts: [
      { label: 'from square', value: end.flat.miterDeg, unit: 'deg' },
      { label: `${plan.datum.kind} to mark, long side`, value: plan.datum.distance, unit: 'mm' },
      { label: `${plan.datum.kind} to mark, short side`, value: Math.abs(end.shortPoint - plan.datum.s), unit: 'mm' },
      ...slantFacts(end, plan.datum),
    ],
    use: [
      ...sleeveUse(plan),
      'Mark along the flat face all round.',
      `On the saw table the flat sides slide on the table and the fence; the mark stands ${lengthText(plan.datum.distance, request.solution.job.units)} from the datum on the long side.`,
    ],
  };
  return { value: tool, problems: planned.problems };
};
