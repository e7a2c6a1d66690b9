import { hasErrors } from '../job/problem.ts';
import { tellFault } from './fault.ts';
import { expandInputs, type Input, readText, type Unreadable, unreadableLine } from './inputs.ts';
import type { Io } from './io.ts';
import type { Solved } from './pipeline.ts';
import { problemJson, tellProblems } from './report.ts';
import { EXIT, type ExitCode, jsonText, worst } from './terminal.ts';
import { variantsIn } from './variants.ts';

export interface ReadingOptions {
  readonly set: readonly string[];
  readonly json: boolean;
  readonly quiet: boolean;
}

interface Reader {
  /** Named in the JSON document, with its version: `kerfwright-check`. */
  readonly format: string;
  readonly text: (solved: Solved, label: string) => string;
  readonly json: (solved: Solved) => object;
  /** Adds what a later stage finds wrong. */
  readonly further?: (solved: Solved) => Promise<Solved>;
}

/** What became of one job file. */
interface Reading {
  readonly label: string;
  readonly variant?: string;
  readonly code: ExitCode;
  readonly text?: string;
  readonly solved?: Solved;
  /** Why there was no job to read, or what bug stopped it. */
  readonly failure?: string;
}

/** Reads and solves each job file and prints what a command makes of it; writes no file, and one job stops no other. */
export async function eachJob(
  io: Io,
  request: { readonly args: readonly string[]; readonly options: ReadingOptions; readonly reader: Reader },
): Promise<ExitCode> {
  const { args, options, reader } = request;
  const readings: Reading[] = [];
  for (const input of expandInputs(io, args)) {
    for (const reading of await readJob(io, input, { options, reader })) {
      readings.push(reading);
      if (!options.json) tell(io, reading, { reader, options });
    }
  }
  if (options.json) {
    const jobs = readings.map((reading) => readingJson(reading, reader));
    io.stdout.write(jsonText({ format: reader.format, version: 1, jobs }));
  }
  return worst(readings.map((reading) => reading.code));
}

async function readJob(
  io: Io,
  input: Input | Unreadable,
  means: { readonly options: ReadingOptions; readonly reader: Reader },
): Promise<readonly Reading[]> {
  const { label } = input;
  const read = 'reason' in input ? { unreadable: input } : readText(input);
  if ('unreadable' in read) {
    io.stderr.write(unreadableLine(read.unreadable));
    return [{ label, code: EXIT.usage, failure: read.unreadable.reason }];
  }
  if ('problem' in read) return [{ label, code: EXIT.problems, solved: { problems: [read.problem] } }];
  const { text } = read;
  const readings: Reading[] = [];
  for (const variant of await variantsIn(text)) {
    const named = variant === undefined ? {} : { variant };
    readings.push({ label, text, ...named, ...(await solveOne(io, { label, text, ...named }, means)) });
  }
  return readings;
}

async function solveOne(
  io: Io,
  { label, ...job }: { readonly label: string; readonly text: string; readonly variant?: string },
  { options, reader }: { readonly options: ReadingOptions; readonly reader: Reader },
): Promise<Pick<Reading, 'solved' | 'code' | 'failure'>> {
  try {
    const { solveText } = await import('./pipeline.ts');
    const first = solveText({ ...job, sets: options.set });
    const solved = reader.further ? await reader.further(first) : first;
    return { solved, code: hasErrors(solved.problems) ? EXIT.problems : EXIT.made };
  } catch (thrown) {
    const failure = thrown instanceof Error ? thrown.message : String(thrown);
    return { code: tellFault(io, thrown, label), failure };
  }
}

function tell(
  io: Io,
  { label, variant, text, solved }: Reading,
  { options, reader }: { readonly options: ReadingOptions; readonly reader: Reader },
): void {
  if (!solved) return;
  tellProblems(io, {
    label,
    problems: solved.problems,
    sets: options.set,
    ...(variant === undefined ? {} : { variant }),
    ...(text === undefined ? {} : { text }),
  });
  io.stdout.write(reader.text(solved, label));
}

const readingJson = ({ label, variant, code, solved, failure }: Reading, reader: Reader): object => ({
  file: label,
  ...(variant === undefined ? {} : { variant }),
  ok: code === EXIT.made,
  ...(failure === undefined ? {} : { failure }),
  problems: (solved?.problems ?? []).map(problemJson),
  ...(solved ? reader.json(solved) : {}),
});
