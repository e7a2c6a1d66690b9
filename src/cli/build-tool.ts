import type { ManifestDimension } from '../export/manifest.ts';
import { hasErrors, type Outcome, type Problem } from '../job/problem.ts';
import type { Kernel } from '../solid/kernel.ts';
import { makeTool as shapeTool } from '../tooling/registry.ts';
import type { ToolRequest } from '../tooling/request.ts';
import type { ShapedTool } from '../tooling/tool.ts';
import { type BarePart, toolMeshes } from './tool-meshes.ts';
import { type ToolSettings, toolDimensions, toolShape, toolSource } from './tool-source.ts';

/** A tool shaped and built, with no file of it yet: plain data, so that another thread can go on with it. */
export interface BuiltTool {
  readonly tool: ShapedTool;
  readonly parts: readonly BarePart[];
  readonly madeFrom: string;
  readonly shape: string;
  readonly dimensions: readonly ManifestDimension[];
  /** What was told about it so far; none of it an error. */
  readonly problems: readonly Problem[];
}

/** Shapes one tool and builds its solids. */
export function buildTool(kernel: Kernel, request: ToolRequest, settings: ToolSettings): Outcome<BuiltTool> {
  const shaped = shapeTool(request);
  if (!shaped.value || hasErrors(shaped.problems)) return { problems: shaped.problems };
  const tool = shaped.value;
  const built = toolMeshes(kernel, tool);
  const problems = [...shaped.problems, ...built.problems];
  if (!built.value) return { problems };
  return {
    value: {
      // The solids are done with; they are most of a tool.
      tool: { ...tool, parts: tool.parts.map(({ solid: _, ...part }) => part) },
      parts: built.value,
      madeFrom: toolSource(request, settings),
      shape: toolShape(request, tool, settings),
      dimensions: toolDimensions(request, tool),
      problems,
    },
    problems,
  };
}
