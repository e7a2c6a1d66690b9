import { MANIFEST_NAME, type ManifestFile, type ManifestTool, sha256 } from '../export/manifest.ts';
import { readStl } from '../export/stl.ts';
import { readThreemf } from '../export/threemf-read.ts';
import type { Job } from '../job/job.ts';
import type { JobSource } from '../job/locate.ts';
import { hasErrors, type Outcome, type Problem } from '../job/problem.ts';
import { type PartFiles, proveTool } from '../proof/prove.ts';
import type { Kernel } from '../solid/kernel.ts';
import type { Solution } from '../solve/solution.ts';
import type { Tool } from '../tooling/tool.ts';
import { chooseTools, designTools } from './design.ts';
import type { OutputFile } from './folder.ts';
import type { Format } from './formats.ts';
import { type JobText, located, solveText } from './pipeline.ts';
import { type FileContext, type MadeTool, makeTool, plateFiles, toolPng } from './tool-files.ts';

export interface MakeRequest extends JobText {
  /** Patterns of tool names; none means all. */
  readonly only: readonly string[];
  readonly formats: readonly Format[];
  readonly plate: boolean;
  /** Name and version of this program, for the files. */
  readonly madeBy: string;
  readonly sourceDateEpoch?: number;
  /** Starts the solid kernel, once for all jobs. */
  readonly openKernel: () => Promise<Kernel>;
}

/** A file to write, with its line in the manifest. */
export interface MadeFile extends OutputFile {
  readonly entry: ManifestFile;
}

export interface MadeJob {
  readonly job: Job;
  readonly files: readonly MadeFile[];
  /** Tools made this time, with what was measured on them. */
  readonly tools: readonly ManifestTool[];
  /** Revision of every tool of the job by name, made this time or not. */
  readonly revisions: ReadonlyMap<string, string>;
}

/**
 * A job from its text to the bytes of its files, each tool proved on those bytes. Touches no file; there is a value only
 * when nothing at all is wrong, and every problem of the stage that stopped it is told.
 */
export async function makeJob(request: MakeRequest): Promise<Outcome<MadeJob>> {
  const solved = solveText(request);
  if (!solved.job || !solved.solution || hasErrors(solved.problems)) return { problems: solved.problems };
  const designed = designTools(solved.solution, solved.source);
  const sofar = [...solved.problems, ...designed.problems];
  if (!designed.value || hasErrors(sofar)) return { problems: sofar };
  const chosen = chooseTools(designed.value, request.only);
  if (!chosen.value) return { problems: [...sofar, ...located(chosen.problems, solved.source)] };
  const { job, solution, source } = solved;
  const made = await makeFiles({ job, solution, source, tools: chosen.value }, request);
  const problems = [...sofar, ...made.problems];
  if (!made.value || hasErrors(problems)) return { problems };
  const revisions = new Map(designed.value.map((tool) => [tool.name, tool.revision]));
  return { value: { job, revisions, ...made.value }, problems };
}

interface Designed {
  readonly job: Job;
  readonly solution: Solution;
  readonly source: JobSource | undefined;
  readonly tools: readonly Tool[];
}

async function makeFiles(
  { job, solution, source, tools }: Designed,
  request: MakeRequest,
): Promise<Outcome<Pick<MadeJob, 'files' | 'tools'>>> {
  const kernel = await request.openKernel();
  const { madeBy, sourceDateEpoch } = request;
  const context: FileContext = { job, madeBy, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) };
  const problems: Problem[] = [];
  const done: { readonly made: MadeTool; readonly proved: ManifestTool }[] = [];
  for (const tool of tools) {
    const made = makeTool(kernel, tool, context);
    problems.push(...located(made.problems, source));
    if (!made.value) continue;
    const proof = proveTool(kernel, tool, solution, readBack(made.value));
    problems.push(...located(proof.problems, source));
    const { name, kind, title, revision } = tool;
    done.push({ made: made.value, proved: { name, kind, title, end: tool.end.id, revision, proofs: proof.parts } });
  }
  if (hasErrors(problems)) return { problems };
  const plates = request.plate
    ? plateFiles(
        done.map(({ made }) => made),
        context,
      )
    : { value: [], problems: [] };
  problems.push(...located(plates.problems, source));
  const files = [
    ...done.flatMap(({ made }) => toolFiles(made, request.formats, context)),
    ...(plates.value ?? []).map(({ name, bytes, parts }) => madeFile({ name, bytes, parts, format: '3mf' })),
  ];
  problems.push(...located(sameNames(files), source));
  return { value: { files, tools: done.map(({ proved }) => proved) }, problems };
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

function toolFiles(made: MadeTool, formats: readonly Format[], context: FileContext): readonly MadeFile[] {
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

const madeFile = ({ bytes, ...entry }: OutputFile & Omit<ManifestFile, 'sha256' | 'bytes'>): MadeFile => ({
  name: entry.name,
  bytes,
  entry: { ...entry, sha256: sha256(bytes), bytes: bytes.length },
});

/** Names that differ in case only are one file on many systems. */
function sameNames(files: readonly MadeFile[]): readonly Problem[] {
  const seen = new Map<string, string>([[MANIFEST_NAME, MANIFEST_NAME]]);
  return files.flatMap(({ name }): readonly Problem[] => {
    const key = name.toLowerCase();
    const other = seen.get(key);
    seen.set(key, name);
    if (other === undefined) return [];
    const message =
      other === name ? `two files would be named ${name}` : `${other} and ${name} are one file on many systems`;
    return [
      {
        code: 'tool/duplicate-name',
        severity: 'error',
        path: ['tools'],
        message,
        hint: 'give one of the tools another name',
      },
    ];
  });
}
