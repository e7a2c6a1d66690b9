import { join, resolve } from 'node:path';
import { MANIFEST_NAME } from '../export/manifest.ts';
import type { Problem } from '../job/problem.ts';
import { buildJson, buildText } from './build-report.ts';
import type { BuildOptions, BuildResult, Done, Shop } from './build-result.ts';
import { callCrew } from './call-crew.ts';
import type { Crew } from './crew.ts';
import { tellFault } from './fault.ts';
import { freshBuild } from './fresh.ts';
import { expandInputs, type Input, readText, type Unreadable, unreadableLine } from './inputs.ts';
import type { Io } from './io.ts';
import { tellProblems } from './report.ts';
import { EXIT, type ExitCode, worst } from './terminal.ts';
import { programHash, programVersion } from './version.ts';

/** `kerfwright build`: each job made whole in memory, then written; one that fails does not stop the others. */
export async function buildCommand(io: Io, args: readonly string[], options: BuildOptions): Promise<ExitCode> {
  const usage = usageFault(io, options);
  if (usage !== undefined) return refuse(io, usage);
  const inputs = expandInputs(io, args);
  const crew = callCrew(io, options.threads);
  const shop: Shop = { options, crew, request: makeRequests(io, options, crew.get), taken: new Map() };
  const results: BuildResult[] = [];
  try {
    if (options.stdout) return await buildToStdout(io, inputs, shop);
    for (const input of inputs) {
      const result = await buildOne(io, input, shop);
      results.push(result);
      tell(io, result, options);
    }
  } finally {
    await crew.close();
  }
  if (options.json) io.stdout.write(buildJson(results, options.dryRun));
  return worst(results.map((result) => result.code));
}

function usageFault(io: Io, options: BuildOptions): string | undefined {
  const epoch = io.env.SOURCE_DATE_EPOCH;
  if (epoch && !/^\d{1,11}$/.test(epoch)) return 'SOURCE_DATE_EPOCH must be a whole number of seconds since 1970';
  if (!options.stdout) return undefined;
  if (options.format.length !== 1) return '--stdout writes one file: choose one --format';
  if (options.json) return '--stdout and --json cannot both have standard output';
  if (options.plate) return '--stdout writes the file of one tool; it cannot go with --plate';
  if (options.dryRun) return '--stdout writes no file, so there is nothing to try with --dry-run';
  if (io.stdout.isTerminal) return '--stdout would put bytes on the terminal; send them into a file or a pipe';
  return undefined;
}

function refuse(io: Io, why: string): ExitCode {
  io.stderr.write(`kerfwright build: ${why}\n`);
  return EXIT.usage;
}

function makeRequests(io: Io, options: BuildOptions, crew: () => Promise<Crew>): Shop['request'] {
  const epoch = io.env.SOURCE_DATE_EPOCH;
  const madeBy = `kerfwright ${programVersion()}`;
  const program = programHash();
  return (text) => ({
    text,
    sets: options.set,
    only: options.only,
    formats: options.format,
    plate: options.plate,
    madeBy,
    program,
    crew,
    ...(epoch ? { sourceDateEpoch: Number(epoch) } : {}),
  });
}

async function buildOne(io: Io, input: Input | Unreadable, shop: Shop): Promise<BuildResult> {
  const { label } = input;
  const read = 'reason' in input ? { unreadable: input } : readText(input);
  if ('unreadable' in read) return { label, code: EXIT.usage, problems: [], failure: read.unreadable.reason };
  if ('problem' in read) return { label, code: EXIT.problems, problems: [read.problem] };
  const { text } = read;
  try {
    const fresh = shop.options.force ? undefined : unchangedJob(io, text, shop);
    if (fresh && !shop.taken.has(fresh.done.job.toLowerCase())) {
      shop.taken.set(fresh.done.job.toLowerCase(), label);
      return { label, text, code: EXIT.made, ...fresh };
    }
    // The whole pipeline is loaded only now: a job that is as it was needs none of it.
    shop.crew.comeSoon();
    const { buildText: build } = await import('./build-job.ts');
    return await build(io, { label, text }, shop);
  } catch (thrown) {
    const failure = thrown instanceof Error ? thrown.message : String(thrown);
    return { label, text, code: tellFault(io, thrown, label), problems: [], failure };
  }
}

function unchangedJob(
  io: Io,
  text: string,
  { options, request }: Shop,
): { readonly done: Done; readonly problems: readonly Problem[] } | undefined {
  const { program, sets, formats, plate, only, sourceDateEpoch } = request(text);
  const fresh = freshBuild(io, {
    text,
    sets,
    out: resolve(io.cwd, options.out),
    settings: { formats, plate, only, ...(sourceDateEpoch === undefined ? {} : { sourceDateEpoch }) },
    program,
  });
  if (!fresh) return undefined;
  const { job, manifest } = fresh;
  const unchanged = manifest.files.map((file) => file.name);
  const plan = { write: [], unchanged: [...unchanged, MANIFEST_NAME], remove: [], left: [] };
  const done = {
    job,
    folder: join(options.out, job),
    plan,
    tools: manifest.tools,
    kept: manifest.tools.map(({ name }) => name),
    changed: [],
    outdated: [],
  };
  return { done, problems: manifest.warnings };
}

function tell(io: Io, result: BuildResult, options: BuildOptions): void {
  const { label, text, code, problems, failure, done } = result;
  if (failure !== undefined) {
    if (code !== EXIT.internal) io.stderr.write(unreadableLine({ label, reason: failure }));
    return;
  }
  if (options.json) return;
  const outcome = done ? {} : { outcome: 'nothing was written' };
  tellProblems(io, { label, problems, sets: options.set, ...(text === undefined ? {} : { text }), ...outcome });
  if (!done) return;
  io.stdout.write(buildText.files(done));
  if (!options.quiet) io.stderr.write(buildText.summary(done, options.dryRun));
}

async function buildToStdout(io: Io, inputs: readonly (Input | Unreadable)[], shop: Shop): Promise<ExitCode> {
  const [input] = inputs;
  if (!input || inputs.length !== 1) return refuse(io, `--stdout takes one job; there are ${inputs.length}`);
  const { label } = input;
  const read = 'reason' in input ? { unreadable: input } : readText(input);
  if ('unreadable' in read) {
    io.stderr.write(unreadableLine(read.unreadable));
    return EXIT.usage;
  }
  const text = 'text' in read ? { text: read.text } : {};
  const { makeJob } = await import('./make-job.ts');
  const made = 'text' in read ? await makeJob(shop.request(read.text)) : { problems: [read.problem] };
  tellProblems(io, { label, problems: made.problems, sets: shop.options.set, ...text });
  if (!made.value) return EXIT.problems;
  const [file, ...more] = made.value.files;
  if (!file || more.length > 0) {
    const names = made.value.files.map(({ name }) => name);
    return refuse(
      io,
      `--stdout writes one file; this job makes ${names.length}: ${names.join(', ')}. Choose with --only and --format`,
    );
  }
  io.stdout.write(file.bytes);
  return EXIT.made;
}
