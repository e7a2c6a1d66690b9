import type { Outcome, Problem } from '../job/problem.ts';
import { evaluate } from '../solid/evaluate.ts';
import { SolidFault } from '../solid/fault.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { Tool } from '../tooling/tool.ts';

/** A printed part as it lies on the bed. */
export interface BarePart {
  readonly name: string;
  readonly mesh: Mesh;
}

/** Meshes of a tool's parts. Problems: a solid that cannot be built as asked. */
export function toolMeshes(kernel: Kernel, tool: Tool): Outcome<readonly BarePart[]> {
  try {
    const value = tool.parts.map(
      ({ name, solid }): BarePart => ({ name, mesh: evaluate(kernel, solid, { partName: name }) }),
    );
    return { value, problems: [] };
  } catch (thrown) {
    if (!(thrown instanceof SolidFault)) throw thrown;
    return { problems: [cannotBuild(tool, thrown)] };
  }
}

const cannotBuild = (tool: Tool, fault: SolidFault): Problem => ({
  code: 'tool/cannot-build',
  severity: 'error',
  path: tool.path,
  message: `${tool.name}: ${fault.message}`,
  hint: 'change the grip, the wall or the strap of the shop, or ask for another kind of tool at this end',
});
