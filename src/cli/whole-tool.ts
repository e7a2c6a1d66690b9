import type { Kernel } from '../solid/kernel.ts';
import { finishTool } from './finish-tool.ts';
import type { ToolResult } from './tool-result.ts';
import { finishOf, type ToolTask, toolBuilder } from './tool-task.ts';

/** Makes whole tools of a task by their place in `wanted`: shapes, builds, writes in memory and proves. */
export function toolMaker(kernel: Kernel, task: ToolTask): (at: number) => ToolResult {
  const build = toolBuilder(kernel, task);
  const finish = finishOf(task);
  return (at) => {
    const { value, problems } = build(at);
    return value ? finishTool(kernel, value, finish) : { problems };
  };
}
