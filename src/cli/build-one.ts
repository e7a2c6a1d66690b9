import { resolve } from 'node:path';
import type { Problem } from '../job/problem.ts';
import { buildText } from './build-report.ts';
import type { BuildOptions, BuildResult, Done, Shop } from './build-result.ts';
import { callCrew } from './call-crew.ts';
import type { Crew } from './crew.ts';
import { tellFault } from './fault.ts';
import { freshBuild } from './fresh.ts';
import { type Input, readText, type Unreadable, unreadableLine } from './inputs.ts';
import type { Io } from './io.ts';
import { placeOf } from './job-place.ts';
import { tellProblems } from './report.ts';
import { EXIT } from './terminal.ts';
import { variantsIn } from './variants.ts';
import { programHash, programVersion } from './version.ts';
import { viewScript } from './view-script.ts';

/** Everything the jobs of one command share; its crew is sent home by whoever opened it. */
export function openShop(io: Io, options: BuildOptions): Shop {
  const crew = callCrew(io, options.threads);
  return { options, crew, request: makeRequests(io, options, crew.get), taken: new Map() };
}

function makeRequests(io: Io, options: BuildOptions, crew: () => Promise<Crew>): Shop['request'] {
  const epoch = io.env.SOURCE_DATE_EPOCH;
  const madeBy = `kerfwright ${programVersion()}`;
  const program = programHash();
  return ({ text, variant }) => ({
    text,
    ...(variant === undefined ? {} : { variant }),
    sets: options.set,
    only: options.only,
    formats: options.format,
    plate: options.plate,
    madeBy,
    program,
    viewScript,
    crew,
    ...(epoch ? { sourceDateEpoch: Number(epoch) } : {}),
  });
}

/**
 * Makes one job file, each of its variants by itself, or tells why not; where all is as it was, nothing is loaded and
 * nothing done. Throws nothing.
 */
export async function buildOne(io: Io, input: Input | Unreadable, shop: Shop): Promise<readonly BuildResult[]> {
  const { label } = input;
  const read = 'reason' in input ? { unreadable: input } : readText(input);
  if ('unreadable' in read) return [{ label, code: EXIT.usage, problems: [], failure: read.unreadable.reason }];
  if ('problem' in read) return [{ label, code: EXIT.problems, problems: [read.problem] }];
  const { text } = read;
  const results: BuildResult[] = [];
  for (const variant of await variantsIn(text)) {
    const job = { label, text, ...(variant === undefined ? {} : { variant }) };
    results.push({ ...(await buildJob(io, job, shop)), ...(variant === undefined ? {} : { variant }) });
  }
  return results;
}

interface JobFile {
  readonly label: string;
  readonly text: string;
  readonly variant?: string;
}

async function buildJob(io: Io, file: JobFile, shop: Shop): Promise<BuildResult> {
  const { label, text } = file;
  try {
    const fresh = shop.options.force ? undefined : unchangedJob(io, file, shop);
    if (fresh && !shop.taken.has(fresh.done.job.toLowerCase())) {
      shop.taken.set(fresh.done.job.toLowerCase(), label);
      return { label, text, code: EXIT.made, ...fresh };
    }
    // The whole pipeline is loaded only now: a job that is as it was needs none of it.
    shop.crew.comeSoon();
    const { buildText: build } = await import('./build-job.ts');
    return await build(io, file, shop);
  } catch (thrown) {
    const failure = thrown instanceof Error ? thrown.message : String(thrown);
    return { label, text, code: tellFault(io, thrown, label), problems: [], failure };
  }
}

function unchangedJob(
  io: Io,
  file: JobFile,
  { options, request }: Shop,
): { readonly done: Done; readonly problems: readonly Problem[] } | undefined {
  const { text, variant, program, sets, formats, plate, only, sourceDateEpoch } = request(file);
  const fresh = freshBuild(io, {
    text,
    sets,
    ...(variant === undefined ? {} : { variant }),
    out: resolve(io.cwd, options.out),
    flat: options.flat,
    settings: { formats, plate, only, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) },
    program,
  });
  if (!fresh) return undefined;
  const { job, manifest } = fresh;
  const place = placeOf(job, options);
  const unchanged = manifest.files.map((file) => file.name);
  const plan = { write: [], unchanged: [...unchanged, place.names.manifest], remove: [], left: [], names: place.names };
  const done = {
    job,
    folder: place.folder,
    plan,
    tools: manifest.tools,
    kept: manifest.tools.map(({ name }) => name),
    changed: [],
    outdated: [],
  };
  return { done, problems: manifest.warnings };
}

/** What became of a job: problems and the account of it on stderr, the files written on stdout. */
export function tell(io: Io, result: BuildResult, options: BuildOptions): void {
  const { label, variant, text, code, problems, failure, done } = result;
  if (failure !== undefined) {
    if (code !== EXIT.internal) io.stderr.write(unreadableLine({ label, reason: failure }));
    return;
  }
  if (options.json) return;
  const outcome = done ? {} : { outcome: 'nothing was written' };
  tellProblems(io, {
    label,
    problems,
    sets: options.set,
    ...(variant === undefined ? {} : { variant }),
    ...(text === undefined ? {} : { text }),
    ...outcome,
  });
  if (!done) return;
  io.stdout.write(buildText.files(done));
  if (!options.quiet) io.stderr.write(buildText.summary(done, options.dryRun));
}
