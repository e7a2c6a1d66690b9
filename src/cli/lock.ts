import { join } from 'node:path';
import type { Problem } from '../job/problem.ts';
import { visible } from '../job/render.ts';
import { outputProblem, temporaryName } from './folder.ts';
import { type Io, systemCode } from './io.ts';

/** Stands in a job's folder while a build puts its files there; hidden, and nothing a slicer takes for a model. */
export const LOCK_NAME = '.kerfwright-lock';

/** ms. Putting files in place takes milliseconds; a slow disk may take seconds. */
const LONGEST_WAIT = 20_000;
const LOOK_AGAIN = 25;

/**
 * Does the work while no other build may write into the folder, which must be there. Waits for another build; a lock that a
 * build left behind when it was killed on this machine is taken away. Problems: another build does not finish.
 * Errors: the system's own, when the lock cannot be written.
 */
export function withLock<T>(
  io: Io,
  folder: string,
  work: () => T,
): { readonly value: T } | { readonly problem: Problem } {
  const path = join(folder, LOCK_NAME);
  const own = new TextEncoder().encode(JSON.stringify({ process: io.self.id, host: io.self.host, mark: io.random() }));
  for (let waited = 0; !acquired(io, path, own); waited += LOOK_AGAIN) {
    if (clearedStale(io, { path, folder })) continue;
    if (waited >= LONGEST_WAIT) return { problem: locked(path) };
    io.self.pause(LOOK_AGAIN);
  }
  try {
    return { value: work() };
  } finally {
    io.files.remove(path);
  }
}

function acquired(io: Io, path: string, own: Uint8Array): boolean {
  try {
    io.files.writeNew(path, own);
    return true;
  } catch (thrown) {
    if (systemCode(thrown) === 'EEXIST') return false;
    throw thrown;
  }
}

const locked = (path: string): Problem =>
  outputProblem(
    'output/unwritable',
    `${visible(path)}: another build has been writing into this folder for more than ${LONGEST_WAIT / 1000} s`,
    'wait for it; if no build runs, on no machine, remove that file',
  );

/** Whether the lock was one that its process left behind. It is taken away under another name, so that a new lock never is. */
function clearedStale(io: Io, { path, folder }: { readonly path: string; readonly folder: string }): boolean {
  const before = holderOf(io, path);
  if (before === 'gone') return true;
  if (before === undefined || before.host !== io.self.host || io.self.isAlive(before.process)) return false;
  const aside = join(folder, temporaryName(io.random()));
  try {
    io.files.rename(path, aside);
    const taken = holderOf(io, aside);
    if (taken !== 'gone' && taken?.mark !== before.mark) {
      // Somebody else was quicker and holds the lock: back with it.
      io.files.rename(aside, path);
      return false;
    }
    io.files.remove(aside);
    return true;
  } catch (thrown) {
    if (systemCode(thrown) === 'ENOENT') return true;
    throw thrown;
  }
}

interface Holder {
  readonly process: number;
  readonly host: string;
  readonly mark: string;
}

/** Who holds a lock; undefined when the file says nothing that can be read (it may be half written). */
function holderOf(io: Io, path: string): Holder | 'gone' | undefined {
  try {
    const found: unknown = JSON.parse(new TextDecoder().decode(io.files.read(path, 1000)));
    const isHolder = (value: unknown): value is Holder =>
      typeof value === 'object' &&
      value !== null &&
      'process' in value &&
      typeof value.process === 'number' &&
      'host' in value &&
      typeof value.host === 'string' &&
      'mark' in value &&
      typeof value.mark === 'string';
    return isHolder(found) ? found : undefined;
  } catch (thrown) {
    if (systemCode(thrown) === 'ENOENT') return 'gone';
    if (thrown instanceof SyntaxError) return undefined;
    throw thrown;
  }
}
