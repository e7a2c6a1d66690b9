import type { Outcome } from '../job/problem.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { Solution } from '../solve/solution.ts';
import { requestTools } from '../tooling/registry.ts';
import { type BuiltTool, buildTool } from './build-tool.ts';
import type { Finish } from './finish-tool.ts';
import type { ToolFormat } from './formats.ts';
import type { ToolSettings } from './tool-source.ts';

/** Tools to make of one solved job: plain data, so that another thread can take it. */
export interface ToolTask {
  readonly solution: Solution;
  /** Which of the job's tools, by their place in what it asks for. */
  readonly wanted: readonly number[];
  readonly formats: readonly ToolFormat[];
  /** Whether the parts' meshes are needed too, to be laid out on plates or shown on the sheet's page. */
  readonly meshes: boolean;
  readonly settings: ToolSettings;
}

/** Builds tools of a task by their place in `wanted`. What the job asks for is looked up once: `auto` tries what fits. */
export function toolBuilder(kernel: Kernel, task: ToolTask): (at: number) => Outcome<BuiltTool> {
  const { requests } = requestTools(task.solution);
  return (at) => {
    const request = requests[task.wanted[at] ?? -1];
    if (!request) throw new Error(`internal: tool ${at} of the task is not asked for`);
    return buildTool(kernel, request, task.settings);
  };
}

/** What is wanted of a task's tools once they are built; no more of the job than that, since it is sent with each. */
export function finishOf({ solution, formats, meshes, settings }: ToolTask): Finish {
  const { name, shop } = solution.job;
  const { madeBy, sourceDateEpoch } = settings;
  const context = { job: { name, shop }, madeBy, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) };
  return { context, formats, meshes };
}
