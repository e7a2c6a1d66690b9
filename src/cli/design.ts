import type { JobSource } from '../job/locate.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import type { Solution } from '../solve/solution.ts';
import { makeTools } from '../tooling/registry.ts';
import type { Tool } from '../tooling/tool.ts';
import { globMatches } from './glob.ts';
import { located } from './pipeline.ts';

/** The tools of a solved job, as expressions: nothing is built yet. */
export function designTools(solution: Solution, source: JobSource | undefined): Outcome<readonly Tool[]> {
  const made = makeTools(solution);
  return { ...made, problems: located(made.problems, source) };
}

interface Named {
  readonly name: string;
}

/** Tools whose name matches one of the patterns; all of them without a pattern. None at all is a problem. */
export function chooseTools<T extends Named>(tools: readonly T[], only: readonly string[]): Outcome<readonly T[]> {
  const chosen = only.length === 0 ? tools : tools.filter((tool) => only.some((glob) => globMatches(glob, tool.name)));
  if (chosen.length > 0) return { value: chosen, problems: [] };
  return { problems: [noTool(tools, only)] };
}

const MOST_LISTED = 12;

function noTool(tools: readonly Named[], only: readonly string[]): Problem {
  const base = { code: 'tools/none', severity: 'error', path: ['tools'] } as const;
  if (tools.length === 0) {
    const hint =
      'give the job a joint or a trim: tools are made for cut ends; --format html,pdf writes its sheet without';
    return { ...base, message: 'the job has no tool to make', hint };
  }
  const names = tools.map((tool) => tool.name);
  const more = names.length > MOST_LISTED ? `, and ${names.length - MOST_LISTED} more` : '';
  const hint = `tools of this job: ${names.slice(0, MOST_LISTED).join(', ')}${more}`;
  return { ...base, message: `no tool matches --only ${only.join(', ')}`, hint };
}
