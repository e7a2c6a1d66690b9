import { buildOne, openShop, tell } from './build-one.ts';
import { buildJson, buildText, resultJson } from './build-report.ts';
import { type BuildOptions, type Shop, type Tally, tallyOf } from './build-result.ts';
import { expandInputs, type Input, readText, type Unreadable, unreadableLine } from './inputs.ts';
import type { Io } from './io.ts';
import { progressOf } from './progress.ts';
import { tellProblems } from './report.ts';
import { inShard, othersByName } from './shard.ts';
import { EXIT, type ExitCode, worst } from './terminal.ts';
import { variantsIn } from './variants.ts';

/** `kerfwright build`: each job made whole in memory, then written; one that fails does not stop the others. */
export async function buildCommand(io: Io, args: readonly string[], options: BuildOptions): Promise<ExitCode> {
  const usage = usageFault(io, options);
  if (usage !== undefined) return refuse(io, usage);
  const inputs = expandInputs(io, args);
  const shop = openShop(io, options);
  const listed = inputs.map((input, place) => ({ input, place }));
  const part = options.shard ? inShard(listed, options.shard) : listed;
  const others: ReturnType<typeof othersByName> = options.shard ? othersByName(inputs, options.shard) : new Map();
  // No more of a job than is told at the end: a batch may have thousands.
  const results: Tally[] = [];
  const json: object[] = [];
  try {
    if (options.stdout) return await buildToStdout(io, inputs, shop);
    let done = 0;
    const progress = progressOf(io, { of: part.length, quiet: options.quiet });
    for (const { input, place } of part) {
      for (const [name, other] of others)
        if (other.place < place && !shop.taken.has(name)) shop.taken.set(name, other.label);
      progress.at(done++, input.label);
      const made = await buildOne(io, input, shop);
      progress.clear();
      for (const result of made) {
        tell(io, result, options);
        results.push(tallyOf(result));
        if (options.json) json.push(resultJson(result));
      }
    }
  } finally {
    await shop.crew.close();
  }
  if (options.json) io.stdout.write(buildJson(json, options.dryRun));
  else if (results.length > 1 && !options.quiet) io.stderr.write(buildText.total(results));
  return worst(results.map((result) => result.code));
}

function usageFault(io: Io, options: BuildOptions): string | undefined {
  const epoch = io.env.SOURCE_DATE_EPOCH;
  if (epoch && !/^\d{1,11}$/.test(epoch)) return 'SOURCE_DATE_EPOCH must be a whole number of seconds since 1970';
  if (!options.stdout) return undefined;
  if (options.shard) return '--stdout writes the file of one job; it cannot go with --shard';
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
  const variants = 'text' in read ? await variantsIn(read.text) : [];
  if (variants[0] !== undefined)
    return refuse(io, `--stdout writes one file; this job has ${variants.length} variants`);
  const made = 'text' in read ? await makeJob(shop.request(read)) : { problems: [read.problem] };
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
