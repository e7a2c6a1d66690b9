import { join, resolve } from 'node:path';
import {
  inputHash,
  MANIFEST_NAME,
  type Manifest,
  type ManifestFile,
  type ManifestTool,
  manifestText,
} from '../export/manifest.ts';
import type { Job } from '../job/job.ts';
import { hasErrors, type Problem } from '../job/problem.ts';
import type { BuildOptions, BuildResult, Shop } from './build-result.ts';
import { changedTools } from './changes.ts';
import { deliver } from './deliver.ts';
import { type FolderState, inspectFolder, isSafeName, outputProblem, planFolder } from './folder.ts';
import { hashAt } from './fresh.ts';
import type { Io } from './io.ts';
import { type MadeJob, type MakeRequest, makeJob, type Standing } from './make-job.ts';
import { EXIT } from './terminal.ts';

interface JobFile {
  readonly label: string;
  readonly text: string;
  readonly variant?: string;
}

/** Makes the job of one file and puts it into its folder, or tells why not; an output in the way is usage, not the job's. */
export async function buildText(io: Io, file: JobFile, shop: Shop): Promise<BuildResult> {
  const { label, text } = file;
  const request = shop.request(file);
  const standing = shop.options.force ? {} : { standing: (job: Job) => standingOf(io, job.name, shop.options) };
  const made = await makeJob({ ...request, ...standing });
  if (!made.value) return { label, text, code: EXIT.problems, problems: made.problems };
  const taken = takeName(made.value.job.name, label, shop);
  if (taken) return { label, text, code: EXIT.usage, problems: [...made.problems, taken] };
  return write(io, { ...file, request, made: made.value, warnings: made.problems }, shop);
}

/** What an earlier build left in the job's folder; whatever hinders reading it is told when the folder is planned. */
function standingOf(io: Io, job: string, options: BuildOptions): Standing | undefined {
  const state = inspectFolder(io.files, resolve(io.cwd, join(options.out, job)), job).value;
  if (!state?.manifest) return undefined;
  return {
    manifest: state.manifest,
    intact: (file) => isSafeName(file.name) && hashAt(io, join(state.folder, file.name)) === file.sha256,
  };
}

function takeName(name: string, label: string, { taken }: Shop): Problem | undefined {
  const before = taken.get(name.toLowerCase());
  if (before === undefined) {
    taken.set(name.toLowerCase(), label);
    return undefined;
  }
  const message = `${before} has the job name ${name} too: both would go into one folder`;
  return outputProblem('output/exists', message, 'give each job a name of its own, or build them with another --out');
}

interface Finished extends JobFile {
  readonly request: MakeRequest;
  readonly made: MadeJob;
  readonly warnings: readonly Problem[];
}

function write(io: Io, finished: Finished, { options }: Shop): BuildResult {
  const { label, text, made, warnings } = finished;
  const folder = join(options.out, made.job.name);
  const failed = (problems: readonly Problem[]): BuildResult => ({
    label,
    text,
    code: EXIT.usage,
    problems: [...warnings, ...problems],
  });
  const state = inspectFolder(io.files, resolve(io.cwd, folder), made.job.name);
  if (!state.value) return failed(state.problems);
  const left = keeper(made, options);
  const before = state.value.manifest;
  const carried = (before?.files ?? []).filter((file) => left(file) && stands(io, state.value!, file));
  const kept = new Set(made.kept.files.map((file) => file.name));
  const keep = (file: ManifestFile): boolean => kept.has(file.name) || left(file);
  const manifest = manifestText(manifestOf(finished, { carried, before }));
  const plan = planFolder(io.files, state.value, {
    files: [...made.files, { name: MANIFEST_NAME, bytes: new TextEncoder().encode(manifest) }],
    keep,
    force: options.force,
  });
  if (!plan.value) return failed(plan.problems);
  const trouble = options.dryRun ? [] : deliver(io.files, plan.value, io.random);
  if (hasErrors(trouble)) return failed(trouble);
  return {
    label,
    text,
    code: EXIT.made,
    problems: warnings,
    done: {
      job: made.job.name,
      folder,
      plan: { ...plan.value, unchanged: [...plan.value.unchanged, ...kept] },
      tools: made.tools,
      kept: [...made.kept.tools],
      changed: changedTools(made.tools, before),
      outdated: carried.filter((file) => isOutdated(file, made)).map((file) => file.name),
    },
  };
}

/** With --only, files of the job's other tools stay, and so do plates unless new ones are laid out. */
function keeper(made: MadeJob, options: BuildOptions): (file: ManifestFile) => boolean {
  if (options.only.length === 0) return () => false;
  const now = new Set(made.tools.map((tool) => tool.name));
  return ({ tool }) => (tool === undefined ? !options.plate : made.revisions.has(tool) && !now.has(tool));
}

const stands = (io: Io, state: FolderState, file: ManifestFile): boolean =>
  io.files.kindAt(join(state.folder, file.name)) === 'file';

const isOutdated = (file: ManifestFile, made: MadeJob): boolean =>
  file.tool !== undefined && made.revisions.get(file.tool) !== file.revision;

interface Carried {
  readonly carried: readonly ManifestFile[];
  readonly before: Manifest | undefined;
}

function manifestOf({ text, made, request, warnings }: Finished, { carried, before }: Carried): Manifest {
  const stay = new Set(carried.map((file) => file.tool));
  const now = new Set(made.files.map((file) => file.name));
  const tools: readonly ManifestTool[] = (before?.tools ?? []).filter((tool) => stay.has(tool.name));
  const { program, sets, formats, plate, only, sourceDateEpoch } = request;
  return {
    madeBy: request.madeBy,
    program,
    job: made.job.name,
    input: { sha256: inputHash(text, sets), sets },
    settings: { formats, plate, only, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) },
    warnings,
    files: [
      ...made.files.map((file) => file.entry),
      ...made.kept.files,
      ...carried.filter((file) => !now.has(file.name)),
    ],
    tools: [...made.tools, ...tools],
  };
}
