import { resolve } from 'node:path';
import { visible } from '../job/render.ts';
import { buildOne, openShop, tell } from './build-one.ts';
import { resultJson } from './build-report.ts';
import type { BuildOptions, BuildResult, Shop } from './build-result.ts';
import { expandInputs, type Input, readText, STDIN_LABEL, type Unreadable } from './inputs.ts';
import type { Io } from './io.ts';
import { knownCuts } from './known-cuts.ts';
import { EXIT, type ExitCode, jsonLine } from './terminal.ts';
import type { WatchedPlaces } from './watching.ts';

export type WatchOptions = Pick<
  BuildOptions,
  'out' | 'only' | 'set' | 'format' | 'plate' | 'flat' | 'quiet' | 'threads' | 'json'
>;

/** What is known of a job file from the last time it was built. */
interface Known {
  readonly text: string | undefined;
  readonly results: readonly BuildResult[];
}

/** ms. A save is several events; an editor that empties a file before it writes it needs the longer one. */
const SETTLED = 30;
const EMPTY = 150;
/**
 * ms after the last event, for another look. The watcher swallows what happens to a file within 50 ms of an event it told
 * of (100 ms for one that went away) and never makes up for it: the second of two quick saves would be lost for good. A
 * look at unchanged text costs nothing.
 */
const SWALLOWED = 200;

/**
 * `kerfwright watch`: builds each job, then again whenever its file is saved, until the person stops it. A job with
 * problems keeps its last good files; when the problems are gone it says so.
 */
export async function watchCommand(io: Io, args: readonly string[], given: WatchOptions): Promise<ExitCode> {
  const fault = usageFault(io, args);
  if (fault !== undefined || !io.watching) {
    io.stderr.write(`kerfwright watch: ${fault ?? 'files cannot be watched here'}\n`);
    return EXIT.usage;
  }
  const options: BuildOptions = { ...given, force: false, stdout: false, dryRun: false };
  const opened = openShop(io, options);
  // Most of a job is as it was before the last save.
  const cuts = knownCuts();
  const shop: Shop = { ...opened, request: (job) => ({ ...opened.request(job), known: cuts }) };
  const known = new Map<string, Known>();
  const pass = async (): Promise<void> => {
    const inputs = expandInputs(io, args);
    tellMissing(io, inputs, { shop, known });
    for (const input of inputs) await buildChanged(io, input, { shop, known });
  };
  const signal = io.watching.untilStopped();
  try {
    await pass();
    const round = rounds(pass);
    const stop = await io.watching.start(watchedPlaces(io, args), round.again);
    // What was saved while the first pass ran and nobody watched yet.
    round.again();
    if (options.json) tellEvent(io, { event: 'watching', places: args });
    else if (!options.quiet) io.stderr.write(`watching ${args.map(visible).join(', ')}; Ctrl-C stops\n`);
    await Promise.race([signal, round.fault]);
    round.end();
    await stop();
    if (options.json) tellEvent(io, { event: 'stopped' });
    return EXIT.interrupted;
  } finally {
    await shop.crew.close();
  }
}

function usageFault(io: Io, args: readonly string[]): string | undefined {
  if (args.includes('-')) return 'standard input cannot be watched; name a file';
  const missing = expandInputs(io, args).filter((input): input is Unreadable => 'reason' in input);
  const [first] = missing;
  return first && !/[*?[{]/.test(first.label) && first.reason.startsWith('there is no')
    ? `${visible(first.label)}: ${first.reason}`
    : undefined;
}

/** The folder of a pattern's first plain steps, a folder itself, or a file: whatever is saved below is looked at. */
const watchedPlaces = (io: Io, args: readonly string[]): WatchedPlaces => {
  const paths = args.map((arg) => {
    const steps = arg.split('/');
    const wild =
      io.files.kindBehind(resolve(io.cwd, arg)) === undefined ? steps.findIndex((step) => /[*?[{]/.test(step)) : -1;
    const plain = wild < 0 ? arg : steps.slice(0, wild).join('/');
    return resolve(io.cwd, plain === '' ? (arg.startsWith('/') && wild > 0 ? '/' : '.') : plain);
  });
  return { paths, deep: args.some((arg) => /[*?[{][^/]*\//.test(arg)) };
};

interface Rounds {
  readonly again: () => void;
  readonly fault: Promise<never>;
  /** Starts no more passes. */
  readonly end: () => void;
}

/**
 * Runs a pass a moment after the last of several calls and another one a while later, never two at once, and once more
 * when called meanwhile.
 */
function rounds(pass: () => Promise<void>): Rounds {
  let timers: readonly NodeJS.Timeout[] = [];
  let running = false;
  let wanted = false;
  let fail = (_: unknown): void => undefined;
  const fault = new Promise<never>((_, reject) => {
    fail = reject;
  });
  fault.catch(() => undefined);
  const run = async (): Promise<void> => {
    wanted = true;
    if (running) return;
    running = true;
    while (wanted) {
      wanted = false;
      try {
        await pass();
      } catch (thrown) {
        fail(thrown);
      }
    }
    running = false;
  };
  const end = (): void => {
    for (const timer of timers) clearTimeout(timer);
  };
  const again = (): void => {
    end();
    timers = [SETTLED, SWALLOWED].map((ms) => setTimeout(() => void run(), ms));
  };
  return { again, fault, end };
}

interface Watched {
  readonly shop: Shop;
  readonly known: Map<string, Known>;
}

async function buildChanged(io: Io, input: Input | Unreadable, { shop, known }: Watched): Promise<void> {
  const text = await settledText(input);
  const before = known.get(input.label);
  // It was there when the folder was listed.
  if (before && text === undefined && io.files.kindBehind(resolve(io.cwd, input.label)) === undefined)
    return tellGone(io, input.label, { shop, known });
  if (before && before.text === text && text !== undefined) return;
  if (before && text === undefined && before.text === undefined && before.results[0]?.failure === failureOf(input))
    return;
  const taken = new Map<string, string>();
  for (const [label, { results }] of known) {
    for (const { done } of label === input.label ? [] : results) if (done) taken.set(done.job.toLowerCase(), label);
  }
  const results = await buildOne(io, text === undefined ? input : asRead(input.label, text), { ...shop, taken });
  known.set(input.label, { text, results });
  for (const result of results) {
    tell(io, result, shop.options);
    const old = before?.results.find(({ variant }) => variant === result.variant);
    if (shop.options.json)
      tellEvent(io, {
        event: 'job',
        ...resultJson(result),
        ...(old?.done && !result.done ? { lastGood: old.done.folder } : {}),
      });
    if (!old || shop.options.quiet || shop.options.json) continue;
    const name = `${visible(input.label)}${result.variant === undefined ? '' : `, variant ${result.variant}`}`;
    if (!old.done && result.done) io.stderr.write(`${name}: the problems are gone\n`);
    if (old.done && !result.done) {
      io.stderr.write(`${name}: the last good files stay in ${visible(old.done.folder)}\n`);
    }
  }
}

const failureOf = (input: Input | Unreadable): string | undefined => ('reason' in input ? input.reason : undefined);

const asRead = (label: string, text: string): Input => ({ label, read: () => new TextEncoder().encode(text) });

/** An editor may empty a file before it fills it: an empty one is looked at again. */
async function settledText(input: Input | Unreadable): Promise<string | undefined> {
  if ('reason' in input) return undefined;
  const read = readText(input);
  const text = 'text' in read ? read.text : undefined;
  if (text !== '') return text;
  await new Promise((done) => setTimeout(done, EMPTY));
  const later = readText(input);
  return 'text' in later ? later.text : undefined;
}

/** A job file that went away keeps its tools: whoever moves a file does not mean to throw prints away. */
function tellMissing(io: Io, inputs: readonly (Input | Unreadable)[], watched: Watched): void {
  const there = new Set(inputs.map((input) => input.label));
  for (const label of [...watched.known.keys()]) {
    if (!there.has(label) && label !== STDIN_LABEL) tellGone(io, label, watched);
  }
}

function tellGone(io: Io, label: string, { shop, known }: Watched): void {
  const folders = (known.get(label)?.results ?? []).flatMap(({ done }) => (done ? [done.folder] : []));
  known.delete(label);
  const kept = folders.length > 0 ? `; its files stay in ${folders.map(visible).join(', ')}` : '';
  if (shop.options.json) tellEvent(io, { event: 'gone', file: label, folders });
  else io.stderr.write(`${visible(label)}: the job file is gone${kept}\n`);
}

/** One line of JSON on stdout. */
function tellEvent(io: Io, event: object): void {
  io.stdout.write(jsonLine({ format: 'kerfwright-watch', version: 1, ...event }));
}
