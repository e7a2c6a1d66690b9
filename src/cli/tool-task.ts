import { type ManifestFile, type ManifestTool, sha256 } from '../export/manifest.ts';
import { readStl } from '../export/stl.ts';
import { readThreemf } from '../export/threemf-read.ts';
import { hasErrors, type Problem } from '../job/problem.ts';
import { type PartFiles, proveTool } from '../proof/prove.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { Solution } from '../solve/solution.ts';
import { requestTools, makeTool as shapeTool } from '../tooling/registry.ts';
import type { ToolRequest } from '../tooling/request.ts';
import type { ToolFormat } from './formats.ts';
import type { OutputFile } from './output-file.ts';
import { type BarePart, makeTool as buildTool, type FileContext, type MadeTool, toolPng } from './tool-files.ts';
import { type ToolSettings, toolDimensions, toolShape, toolSource } from './tool-source.ts';

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

/** A file to write, with its line in the manifest. */
export interface MadeFile extends OutputFile {
  readonly entry: ManifestFile;
}

/** What became of one tool: its files, proved, or only problems; these carry a path and no line yet. */
export interface ToolResult {
  readonly problems: readonly Problem[];
  readonly made?: {
    readonly tool: ManifestTool;
    readonly files: readonly MadeFile[];
    readonly parts: readonly BarePart[];
  };
}

/** Makes tools of a task by their place in `wanted`. What the job asks for is looked up once: `auto` tries what fits. */
export function toolMaker(kernel: Kernel, task: ToolTask): (at: number) => ToolResult {
  const { requests } = requestTools(task.solution);
  return (at) => {
    const request = requests[task.wanted[at] ?? -1];
    if (!request) throw new Error(`internal: tool ${at} of the task is not asked for`);
    return makeTool(kernel, task, request);
  };
}

/** Shapes one tool, builds it, proves it on the bytes of its files. Touches no file. */
function makeTool(kernel: Kernel, task: ToolTask, request: ToolRequest): ToolResult {
  const { solution, settings } = task;
  const designed = shapeTool(request);
  const tool = designed.value;
  if (!tool || hasErrors(designed.problems)) return { problems: designed.problems };
  const { madeBy, sourceDateEpoch } = settings;
  const context = { job: solution.job, madeBy, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) };
  const made = buildTool(kernel, tool, context);
  if (!made.value) return { problems: [...designed.problems, ...made.problems] };
  const proof = proveTool(kernel, tool, solution, readBack(made.value));
  const problems = [...designed.problems, ...made.problems, ...proof.problems];
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
        ...(problems.length === 0
          ? { madeFrom: toolSource(request, settings), shape: toolShape(request, tool, settings) }
          : {}),
        dimensions: toolDimensions(request, tool),
        proofs: proof.parts,
        ...(proof.joined ? { joined: proof.joined } : {}),
      },
      files: toolFiles(made.value, task.formats, context),
      parts: task.meshes ? made.value.parts.map((part) => ({ name: part.name, mesh: part.mesh })) : [],
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

export const madeFile = ({ bytes, ...entry }: OutputFile & Omit<ManifestFile, 'sha256' | 'bytes'>): MadeFile => ({
  name: entry.name,
  bytes,
  entry: { ...entry, sha256: sha256(bytes), bytes: bytes.length },
});
