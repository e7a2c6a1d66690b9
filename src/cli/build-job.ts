import { join, resolve } from 'node:path';
import { inputHash, type Manifest, type ManifestFile, type ManifestTool, manifestText } from '../export/manifest.ts';
import type { Job } from '../job/job.ts';
import { hasErrors, type Outcome, type Problem } from '../job/problem.ts';
import type { BuildOptions, BuildResult, Shop } from './build-result.ts';
import { changedTools } from './changes.ts';
import { deliver, removeEmpty } from './deliver.ts';
import { type FolderPlan, inspectFolder, isSafeName, outputProblem, planFolder, unwritable } from './folder.ts';
import { hashAt } from './fresh.ts';
import type { Io } from './io.ts';
import { placeOf } from './job-place.ts';
import { withLock } from './lock.ts';
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
  const prefix = (job: string): string => placeOf(job, shop.options).prefix;
  const made = await makeJob({ ...request, ...standing, prefix });
  if (!made.value) return { label, text, code: EXIT.problems, problems: made.problems };
  const taken = takeName(made.value.job.name, label, shop);
  if (taken) return { label, text, code: EXIT.usage, problems: [...made.problems, taken] };
  return write(io, { ...file, request, made: made.value, warnings: made.problems }, shop);
}

/** What an earlier build left in the job's folder; whatever hinders reading it is told when the folder is planned. */
function standingOf(io: Io, job: string, options: BuildOptions): Standing | undefined {
  const state = inspectFolder(io.files, resolve(io.cwd, placeOf(job, options).folder), placeOf(job, options)).value;
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
  const first = plannedFor(io, finished, options);
  const written = options.dryRun ? first : putInPlace(io, finished, { first, options });
  if (!written.value) return { label, text, code: EXIT.usage, problems: [...warnings, ...written.problems] };
  const { plan, before, carried } = written.value;
  return {
    label,
    text,
    code: EXIT.made,
    problems: warnings,
    done: {
      job: made.job.name,
      folder: placeOf(made.job.name, options).folder,
      plan: {
        names: plan.names,
        write: plan.write.map(({ name }) => ({ name })),
        unchanged: [...plan.unchanged, ...made.kept.files.map((file) => file.name)],
        remove: plan.remove,
        left: plan.left,
      },
      tools: made.tools,
      kept: [...made.kept.tools],
      changed: changedTools(made.tools, before),
      outdated: carried.filter((file) => isOutdated(file, made)).map((file) => file.name),
    },
  };
}

/** What is to be done in the job's folder, and what of the last build goes on standing there. */
interface Planned extends Carried {
  readonly plan: FolderPlan;
}

function plannedFor(io: Io, finished: Finished, options: BuildOptions): Outcome<Planned> {
  const { made } = finished;
  const place = placeOf(made.job.name, options);
  const state = inspectFolder(io.files, resolve(io.cwd, place.folder), place);
  if (!state.value) return { problems: state.problems };
  const { folder, manifest: before } = state.value;
  const changed = made.kept.files.find((file) => hashAt(io, join(folder, file.name)) !== file.sha256);
  if (changed) return { problems: [changedMeanwhile(join(folder, changed.name))] };
  const left = keeper(finished, options, before);
  const carried = (before?.files ?? []).filter((file) => left(file) && stands(io, folder, file));
  const kept = new Set(made.kept.files.map((file) => file.name));
  const manifest = manifestText(manifestOf(finished, { carried, before }));
  const plan = planFolder(io.files, state.value, {
    files: [...made.files, { name: place.names.manifest, bytes: new TextEncoder().encode(manifest) }],
    keep: (file) => kept.has(file.name) || left(file),
    force: options.force,
  });
  if (!plan.value) return { problems: plan.problems };
  return { value: { plan: plan.value, before, carried }, problems: plan.problems };
}

const changedMeanwhile = (path: string): Problem =>
  outputProblem('output/exists', `${path} was changed by somebody while the job was made`, 'build again');

/**
 * Carries the plan out while no other build can; what another has changed meanwhile is looked at again first. A folder that
 * another build is just writing into may look damaged, so that a plan made outside the lock says nothing final.
 */
function putInPlace(
  io: Io,
  finished: Finished,
  { first, options }: { readonly first: Outcome<Planned>; readonly options: BuildOptions },
): Outcome<Planned> {
  const folder = resolve(io.cwd, placeOf(finished.made.job.name, options).folder);
  if (first.value) {
    const { write: files, remove, leftovers } = first.value.plan;
    if (files.length + remove.length + leftovers.length === 0) return first;
  }
  let top: string | undefined;
  let outcome: Outcome<Planned>;
  try {
    if (!first.value && io.files.kindAt(folder) !== 'folder') return first;
    top = io.files.makeFolder(folder);
    const locked = withLock(io, folder, (): Outcome<Planned> => {
      const planned = plannedFor(io, finished, options);
      if (!planned.value) return planned;
      const trouble = deliver(io.files, planned.value.plan, io.random);
      return hasErrors(trouble) ? { problems: trouble } : planned;
    });
    outcome = 'value' in locked ? locked.value : { problems: [locked.problem] };
  } catch (thrown) {
    outcome = first.value ? { problems: [unwritable(folder, thrown)] } : first;
  }
  if (!outcome.value && top !== undefined) removeEmpty(io.files, folder, top);
  return outcome;
}

/**
 * Files of the last build that stay though they are not made this time: in other formats, of what is still as it was; and
 * with --only those of the job's other tools, and plates unless new ones are laid out.
 */
function keeper(
  { made, text, request }: Finished,
  options: BuildOptions,
  before: Manifest | undefined,
): (file: ManifestFile) => boolean {
  const sameJob = before?.input.sha256 === inputHash(text, request.sets);
  const asked = new Set<string>(request.formats);
  const now = new Set(made.tools.map((tool) => tool.name));
  return ({ tool, format, revision }) => {
    const others = options.only.length > 0 && tool !== undefined && made.revisions.has(tool) && !now.has(tool);
    if (others) return true;
    if (!asked.has(format)) return tool === undefined ? sameJob : made.revisions.get(tool) === revision;
    return options.only.length > 0 && tool === undefined && !options.plate;
  };
}

const stands = (io: Io, folder: string, file: ManifestFile): boolean =>
  io.files.kindAt(join(folder, file.name)) === 'file';

const isOutdated = (file: ManifestFile, made: MadeJob): boolean =>
  file.tool !== undefined && made.revisions.get(file.tool) !== file.revision;

interface Carried {
  readonly carried: readonly ManifestFile[];
  readonly before: Manifest | undefined;
}

function manifestOf({ text, made, request, warnings }: Finished, { carried, before }: Carried): Manifest {
  const stay = new Set(carried.map((file) => file.tool));
  const now = new Set(made.files.map((file) => file.name));
  const told = new Set(made.tools.map((tool) => tool.name));
  const tools: readonly ManifestTool[] = (before?.tools ?? []).filter(
    (tool) => stay.has(tool.name) && !told.has(tool.name),
  );
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
