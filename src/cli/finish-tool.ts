import { readStl } from '../export/stl.ts';
import { readThreemf } from '../export/threemf-read.ts';
import { hasErrors } from '../job/problem.ts';
import { type PartFiles, proveTool } from '../proof/prove.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { BuiltTool } from './build-tool.ts';
import type { ToolFormat } from './formats.ts';
import { type FileContext, type MadeTool, makeFiles, toolPng } from './tool-files.ts';
import { type MadeFile, madeFile, type ToolResult } from './tool-result.ts';

/** What is wanted of built tools; plain data. */
export interface Finish {
  readonly context: FileContext;
  readonly formats: readonly ToolFormat[];
  /** Whether the parts' meshes are needed too, to be laid out on plates or shown on the sheet's page. */
  readonly meshes: boolean;
}

/** Writes the files of a built tool in memory and proves it on their bytes. Touches no file. */
export function finishTool(kernel: Kernel, built: BuiltTool, { context, formats, meshes }: Finish): ToolResult {
  const { tool, parts, madeFrom, shape, dimensions } = built;
  const made = makeFiles(tool, parts, context);
  const proof = proveTool(kernel, tool, context, readBack(made));
  const problems = [...built.problems, ...proof.problems];
  if (hasErrors(problems)) return { problems };
  const { name, kind, title, revision } = tool;
  return {
    problems,
    made: {
      tool: {
        name,
        kind,
        title,
        for: tool.for,
        revision,
        // What warned once must warn again: it is made anew each time.
        ...(problems.length === 0 ? { madeFrom, shape } : {}),
        dimensions,
        proofs: proof.parts,
        ...(proof.joined ? { joined: proof.joined } : {}),
      },
      files: toolFiles(made, formats, context),
      parts: meshes ? parts : [],
    },
  };
}

/** What will be written, read again: the proof sees nothing else of the tool than its files. */
function readBack({ parts, threemf }: MadeTool): readonly PartFiles[] {
  const { objects } = readThreemf(threemf);
  return parts.map(({ name, mesh, stl }): PartFiles => {
    const object = objects.find((candidate) => candidate.name === name);
    if (!object) throw new Error(`internal: ${name} is not in the 3MF of its tool`);
    const meshes = [{ format: 'stl', mesh: readStl(stl) } as const, { format: '3mf', mesh: object.mesh } as const];
    return { part: name, built: mesh, meshes };
  });
}

function toolFiles(made: MadeTool, formats: readonly ToolFormat[], context: FileContext): readonly MadeFile[] {
  const { name, revision } = made.tool;
  const of = { tool: name, revision };
  const all = made.parts.map((part) => part.name);
  return formats.flatMap((format) => {
    if (format === 'stl') {
      return made.parts.map((part) =>
        madeFile({ name: `${part.name}.stl`, bytes: part.stl, format, parts: [part.name], ...of }),
      );
    }
    const bytes = format === '3mf' ? made.threemf : toolPng(made, context);
    return [madeFile({ name: `${name}.${format}`, bytes, format, parts: all, ...of })];
  });
}
