import { MANIFEST_NAME, type Manifest, type ManifestFile, type ManifestTool } from '../export/manifest.ts';
import type { ViewScript } from '../export/sheet-view.ts';
import type { Job } from '../job/job.ts';
import type { JobSource } from '../job/locate.ts';
import { hasErrors, type Outcome, type Problem } from '../job/problem.ts';
import type { Solution } from '../solve/solution.ts';
import { makeTool, requestTools } from '../tooling/registry.ts';
import type { ToolRequest } from '../tooling/request.ts';
import type { Crew } from './crew.ts';
import { chooseTools } from './design.ts';
import { type Format, isPaperFormat, isToolFormat, isWholeJobFormat, type ToolFormat } from './formats.ts';
import { paperOf, showsTools } from './paper.ts';
import { type JobText, located, solveText } from './pipeline.ts';
import { type MadeFile, madeFile, type ToolResult } from './tool-result.ts';
import { toolShape, toolSource } from './tool-source.ts';

export interface MakeRequest extends JobText {
  /** Patterns of tool names; none means all. */
  readonly only: readonly string[];
  readonly formats: readonly Format[];
  readonly plate: boolean;
  /** Put before the name of every file, from the job's name. */
  readonly prefix?: (job: string) => string;
  /** Name and version of this program, for the files. */
  readonly madeBy: string;
  /** Hash of this program's code: what another build of it made is made again. */
  readonly program: string;
  readonly sourceDateEpoch?: number;
  /** What draws the 3D view on the sheet's page, where it is at hand. */
  readonly viewScript?: () => ViewScript | undefined;
  /** Whoever makes the tools; asked for when there is one to make. */
  readonly crew: () => Promise<Crew>;
  /** What an earlier build left of this job, to be kept where nothing it depends on has changed. */
  readonly standing?: (job: Job) => Standing | undefined;
}

/** An earlier build's manifest, and whether a file of it is still as it was written. */
export interface Standing {
  readonly manifest: Manifest;
  readonly intact: (file: ManifestFile) => boolean;
}

export interface MadeJob {
  readonly job: Job;
  readonly files: readonly MadeFile[];
  /** Tools made or kept this time, in the job's order, with what was measured on them. */
  readonly tools: readonly ManifestTool[];
  /** Of these the names that were kept, and their files as they stand. */
  readonly kept: { readonly tools: ReadonlySet<string>; readonly files: readonly ManifestFile[] };
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
  const { job, solution, source } = solved;
  const asked = requestTools(solution);
  const sofar = [...solved.problems, ...located(asked.problems, source)];
  if (hasErrors(sofar)) return { problems: sofar };
  const chosen =
    asked.requests.length === 0 && hasOtherFiles(job, request)
      ? { value: [], problems: [] }
      : chooseTools(asked.requests, request.only);
  if (!chosen.value) return { problems: [...sofar, ...located(chosen.problems, source)] };
  const standing = request.standing?.(job);
  const plans = asked.requests.map((tool): ToolPlan => {
    if (!chosen.value?.includes(tool)) return { tool, fate: 'leave' };
    const all = request.plate || showsTools(request.formats.filter(isPaperFormat));
    const kept = standing && !all ? stillGood(tool, standing, request) : undefined;
    return kept ? { tool, fate: 'keep', kept } : { tool, fate: 'make' };
  });
  const made = await makeTools({ job, solution, source, plans }, request);
  const problems = [...sofar, ...made.problems];
  if (!made.value || hasErrors(problems)) return { problems };
  const revisions = new Map(made.value.tools.map((tool) => [tool.name, tool.revision]));
  for (const { tool, fate } of plans) {
    const revision = fate === 'leave' ? revisionNow(tool, standing, request) : undefined;
    if (revision !== undefined) revisions.set(tool.name, revision);
  }
  return { value: { job, revisions, ...made.value }, problems };
}

/** Whether a job with nothing to print still has files to write: flat parts, a sheet, a picture of the whole. */
const hasOtherFiles = (job: Job, { only, formats }: MakeRequest): boolean =>
  only.length === 0 && (job.plates.length > 0 || formats.some(isWholeJobFormat));

type ToolPlan = { readonly tool: ToolRequest } & (
  | { readonly fate: 'make' | 'leave' }
  | { readonly fate: 'keep'; readonly kept: Kept }
);

interface Kept {
  readonly tool: ManifestTool;
  readonly files: readonly ManifestFile[];
}

/** A tool of the last build, if it would come out the same and each of its files is there as it was written. */
function stillGood(tool: ToolRequest, { manifest, intact }: Standing, request: MakeRequest): Kept | undefined {
  const before = manifest.tools.find((candidate) => candidate.name === tool.name);
  if (before?.madeFrom === undefined || before.shape === undefined) return undefined;
  const files = manifest.files.filter(
    (file) => file.tool === tool.name && request.formats.some((format) => format === file.format),
  );
  if (!request.formats.filter(isToolFormat).every((format) => files.some((file) => file.format === format)))
    return undefined;
  const madeFrom = toolSource(tool, request);
  if (before.madeFrom !== madeFrom && before.shape !== shapeNow(tool, request)) return undefined;
  return files.every(intact) ? { tool: { ...before, madeFrom }, files } : undefined;
}

/** What the tool would be shaped like, without building it; undefined where something is to be told about it. */
function shapeNow(tool: ToolRequest, request: MakeRequest): string | undefined {
  const { value, problems } = makeTool(tool);
  return value && problems.length === 0 ? toolShape(tool, value, request) : undefined;
}

/** Revision of a tool that is not made this time; of one that cannot be shaped, none. */
function revisionNow(tool: ToolRequest, standing: Standing | undefined, request: MakeRequest): string | undefined {
  const before = standing?.manifest.tools.find((candidate) => candidate.name === tool.name);
  if (before?.madeFrom !== undefined && before.madeFrom === toolSource(tool, request)) return before.revision;
  return makeTool(tool).value?.revision;
}

interface Planned {
  readonly job: Job;
  readonly solution: Solution;
  readonly source: JobSource | undefined;
  readonly plans: readonly ToolPlan[];
}

async function makeTools(
  { job, solution, source, plans }: Planned,
  request: MakeRequest,
): Promise<Outcome<Pick<MadeJob, 'files' | 'tools' | 'kept'>>> {
  const { program, madeBy, sourceDateEpoch, plate } = request;
  const formats = request.formats.filter(isToolFormat);
  const paper = request.formats.filter(isPaperFormat);
  const drawn: readonly ToolFormat[] = showsTools(paper) && !formats.includes('png') ? [...formats, 'png'] : formats;
  const dated = sourceDateEpoch === undefined ? {} : { sourceDateEpoch };
  const wanted = plans.flatMap(({ fate }, place) => (fate === 'make' ? [place] : []));
  const results: readonly ToolResult[] =
    wanted.length === 0
      ? []
      : await (await request.crew()).make({
          solution,
          wanted,
          formats: drawn,
          meshes: plate || paper.includes('html'),
          settings: { program, madeBy, ...dated },
        });
  const problems = results.flatMap((result) => located(result.problems, source));
  if (hasErrors(problems)) return { problems };
  const made = results.flatMap((result) => result.made ?? []);
  const plates = plate
    ? (await import('./tool-files.ts')).plateFiles(
        made.flatMap(({ parts }) => parts),
        { job, madeBy, ...dated },
      )
    : { value: [], problems: [] };
  problems.push(...located(plates.problems, source));
  const prefix = request.prefix?.(job.name) ?? '';
  const papers = await paperOf({
    solution,
    formats: paper,
    // A choice of tools is for the printer; the assembly is the whole job's.
    assemblyPng: formats.includes('png') && request.only.length === 0,
    made: wanted.flatMap((place, i) => {
      const result = results[i]?.made;
      return result ? [{ request: plans[place]!.tool, result }] : [];
    }),
    warnings: problems,
    madeBy,
    ...(request.viewScript ? { viewScript: request.viewScript } : {}),
    ...dated,
  });
  const asked = ({ entry }: MadeFile): boolean => formats.some((format) => format === entry.format);
  const files = [
    ...made.flatMap((tool) => tool.files.filter(asked).map((file) => prefixed(file, prefix))),
    ...papers.map((file) => (file.name.startsWith(job.name) ? file : prefixed(file, prefix))),
    // A plate has the job's name already.
    ...(plates.value ?? []).map(({ name, bytes, parts }) => madeFile({ name, bytes, parts, format: '3mf' })),
  ];
  const kept = plans.flatMap((plan) => (plan.fate === 'keep' ? [plan.kept] : []));
  const keptFiles = kept.flatMap((tool) => tool.files);
  problems.push(...located(sameNames([...files, ...keptFiles]), source));
  const tools = plans.flatMap((plan) => {
    if (plan.fate === 'keep') return [plan.kept.tool];
    return made.flatMap(({ tool }) => (tool.name === plan.tool.name ? [tool] : []));
  });
  const names = new Set(kept.map(({ tool }) => tool.name));
  return { value: { files, tools, kept: { tools: names, files: keptFiles } }, problems };
}

const prefixed = (file: MadeFile, prefix: string): MadeFile => {
  const name = `${prefix}${file.name}`;
  return { ...file, name, entry: { ...file.entry, name } };
};

/** Names that differ in case only are one file on many systems. */
function sameNames(files: readonly { readonly name: string }[]): readonly Problem[] {
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
