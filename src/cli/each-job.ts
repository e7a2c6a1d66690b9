import { hasErrors } from '../job/problem.ts';
import { tellFault } from './fault.ts';
import { expandInputs, type Input, readText, type Unreadable, unreadableLine } from './inputs.ts';
import type { Io } from './io.ts';
import type { Solved } from './pipeline.ts';
import { problemJson, tellProblems } from './report.ts';
import { EXIT, type ExitCode, jsonText, worst } from './terminal.ts';

export interface ReadingOptions {
  readonly set: readonly string[];
  readonly json: boolean;
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
    const reading = await readJob(io, input, { options, reader });
    readings.push(reading);
    if (!options.json) tell(io, reading, { reader, options });
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
  { options, reader }: { readonly options: ReadingOptions; readonly reader: Reader },
): Promise<Reading> {
  const { label } = input;
  const read = 'reason' in input ? { unreadable: input } : readText(input);
  if ('unreadable' in read) {
    io.stderr.write(unreadableLine(read.unreadable));
    return { label, code: EXIT.usage, failure: read.unreadable.reason };
  }
  if ('problem' in read) return { label, code: EXIT.problems, solved: { problems: [read.problem] } };
  const { text } = read;
  try {
    const { solveText } = await import('./pipeline.ts');
    const first = solveText({ text, sets: options.set });
    const solved = reader.further ? await reader.further(first) : first;
    return { label, text, solved, code: hasErrors(solved.problems) ? EXIT.problems : EXIT.made };
  } catch (thrown) {
    const failure = thrown instanceof Error ? thrown.message : String(thrown);
    return { label, text, code: tellFault(io, thrown, label), failure };
  }
}

function tell(
  io: Io,
  { label, text, solved }: Reading,
  { options, reader }: { readonly options: ReadingOptions; readonly reader: Reader },
): void {
  if (!solved) return;
  tellProblems(io, { label, problems: solved.problems, sets: options.set, ...(text === undefined ? {} : { text }) });
  io.stdout.write(reader.text(solved, label));
}

const readingJson = ({ label, code, solved, failure }: Reading, reader: Reader): object => ({
  file: label,
  ok: code === EXIT.made,
  ...(failure === undefined ? {} : { failure }),
  problems: (solved?.problems ?? []).map(problemJson),
  ...(solved ? reader.json(solved) : {}),
});
