import { basename, join, resolve } from 'node:path';
import { FILE_LIMITS } from '../job/limits.ts';
import type { Problem } from '../job/problem.ts';
import { visible } from '../job/render.ts';
import { reasonOf } from './folder.ts';
import { globMatches } from './glob.ts';
import type { Io } from './io.ts';

/** A job file as named on the command line. */
export interface Input {
  /** As shown in messages. */
  readonly label: string;
  readonly read: () => Uint8Array;
}

/** An argument that leads to no job file: shown, and counted as usage, not as a problem of a job. */
export interface Unreadable {
  readonly label: string;
  readonly reason: string;
}

export const STDIN_LABEL = '<stdin>';

/** Bytes of a job file: four for each character it may have. */
const MOST_BYTES = 4 * FILE_LIMITS.characters;

/**
 * Job files behind the arguments, each once, in the order given: a file as it is, a folder as all of its .yaml and .yml
 * (not those in folders inside it, nor hidden ones) by name, a pattern as the files that match, `-` as standard input.
 */
export function expandInputs(io: Io, args: readonly string[]): readonly (Input | Unreadable)[] {
  const seen = new Set<string>();
  const once = (path: string): boolean => !seen.has(path) && seen.add(path).size > 0;
  return args.flatMap((arg): readonly (Input | Unreadable)[] => {
    if (arg === '-') return once('-') ? [{ label: STDIN_LABEL, read: () => io.readStdin(MOST_BYTES) }] : [];
    const path = resolve(io.cwd, arg);
    try {
      const kind = io.files.kindBehind(path);
      if (kind === undefined) return globbed(io, arg, once);
      if (kind !== 'folder') return once(path) ? [fileInput(io, arg, path)] : [];
      const names = io.files.list(path).filter(isJobFileName).sort(byCodeUnits);
      if (names.length === 0) return [{ label: arg, reason: 'the folder holds no .yaml or .yml file' }];
      return names.flatMap((name) =>
        once(join(path, name)) ? [fileInput(io, join(arg, name), join(path, name))] : [],
      );
    } catch (thrown) {
      return [{ label: arg, reason: reasonOf(thrown) }];
    }
  });
}

/** An argument that names nothing may be a pattern that the shell did not unfold: `jobs/rail-*.yaml`, `**` for any folders. */
function globbed(io: Io, arg: string, once: (path: string) => boolean): readonly (Input | Unreadable)[] {
  if (!/[*?[{]/.test(arg)) return [{ label: arg, reason: 'there is no such file or folder' }];
  const labels = matchingFiles(io, arg);
  if (labels.length === 0) return [{ label: arg, reason: 'no file matches' }];
  return labels.flatMap((label) => {
    const path = resolve(io.cwd, label);
    return once(path) ? [fileInput(io, label, path)] : [];
  });
}

/** Files that match a pattern, folder by folder, by name; hidden ones only where the pattern says the dot. */
function matchingFiles(io: Io, pattern: string): readonly string[] {
  const [first = '', ...rest] = pattern.split(/[/\\]+/);
  const absolute = first === '' || /^[A-Za-z]:$/.test(first);
  const walk = (at: string, steps: readonly string[]): readonly string[] => {
    const [step, ...more] = steps;
    if (step === undefined) return io.files.kindBehind(resolve(io.cwd, at)) === 'file' ? [at] : [];
    if (step === '' || step === '.') return walk(at, more);
    if (step === '..') return walk(join(at, '..'), more);
    if (io.files.kindBehind(resolve(io.cwd, at === '' ? '.' : at)) !== 'folder') return [];
    const names = io.files.list(resolve(io.cwd, at === '' ? '.' : at)).toSorted(byCodeUnits);
    const seen = names.filter((name) => !name.startsWith('.') || step.startsWith('.'));
    if (step !== '**')
      return seen.filter((name) => globMatches(step, name)).flatMap((name) => walk(join(at, name), more));
    const inside = seen.filter((name) => io.files.kindAt(resolve(io.cwd, at, name)) === 'folder');
    return [...walk(at, more), ...inside.flatMap((name) => walk(join(at, name), steps))];
  };
  return absolute ? walk(`${first}/`, rest) : walk('', [first, ...rest]);
}

const fileInput = (io: Io, label: string, path: string): Input => ({
  label,
  read: () => io.files.read(path, MOST_BYTES),
});

const isJobFileName = (name: string): boolean => /^[^.].*\.ya?ml$/i.test(basename(name));
const byCodeUnits = (p: string, q: string): number => (p < q ? -1 : p > q ? 1 : 0);

export type ReadText = { readonly text: string } | { readonly unreadable: Unreadable } | { readonly problem: Problem };

/** Text of a job file. A file that cannot be read is usage; one that is too large or no UTF-8 is a problem of the job. */
export function readText(input: Input): ReadText {
  let bytes: Uint8Array;
  try {
    bytes = input.read();
  } catch (thrown) {
    return { unreadable: { label: input.label, reason: reasonOf(thrown) } };
  }
  if (bytes.length > MOST_BYTES) {
    const message = `the file has more than ${MOST_BYTES} bytes, far more than a job needs`;
    return { problem: { code: 'yaml/too-large', severity: 'error', path: [], message, limit: MOST_BYTES } };
  }
  try {
    return { text: new TextDecoder('utf-8', { fatal: true }).decode(bytes) };
  } catch {
    const message = 'the file is not UTF-8 text';
    const hint = 'save it as UTF-8; a job is plain text, not a document or an archive';
    return { problem: { code: 'yaml/unreadable', severity: 'error', path: [], message, hint } };
  }
}

export const unreadableLine = ({ label, reason }: Unreadable): string => `kerfwright: ${visible(label)}: ${reason}\n`;
