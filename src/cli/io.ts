import { randomBytes } from 'node:crypto';
import {
  closeSync,
  fstatSync,
  fsyncSync,
  lstatSync,
  mkdirSync,
  openSync,
  readdirSync,
  readSync,
  renameSync,
  rmdirSync,
  statSync,
  unlinkSync,
  writeSync,
} from 'node:fs';
import { hostname } from 'node:os';
import { dirname } from 'node:path';
import type { Hand } from './crew.ts';
import { startHand, usualThreads } from './threads.ts';
import { nodeWatching, type Watching } from './watching.ts';

/** Everything a command touches outside itself; tests put their own in its place. */
export interface Io {
  readonly stdout: Sink;
  readonly stderr: Sink;
  /** All of standard input, up to `limit` bytes and one more to show that there is more. */
  readonly readStdin: (limit: number) => Uint8Array;
  readonly cwd: string;
  readonly env: Readonly<Record<string, string | undefined>>;
  readonly files: Files;
  /** This process among others: who holds a lock, and whether he still runs. */
  readonly self: Self;
  /** Letters and digits for a name that nobody else has. */
  readonly random: () => string;
  /** Starts threads that help to make tools, where there is somewhere to start them from; `usual` counts this one too. */
  readonly threads?: { readonly usual: number; readonly start: () => Hand };
  /** Absent where files cannot be watched. */
  readonly watching?: Watching;
  /** Waits until all that was written is out; tells the system's code when it could not be (a closed pipe is no failure). */
  readonly drained: () => Promise<string | undefined>;
}

export interface Self {
  readonly id: number;
  readonly host: string;
  readonly isAlive: (process: number) => boolean;
  /** Stands still for so many milliseconds. */
  readonly pause: (milliseconds: number) => void;
}

export interface Sink {
  readonly write: (data: string | Uint8Array) => void;
  readonly isTerminal: boolean;
}

export type EntryKind = 'file' | 'folder' | 'link' | 'other';

/** The file system as far as it is used; every call throws node's own errors, which carry a `code`. */
export interface Files {
  /** What stands at the path itself; a link is told as a link. Undefined when nothing does. */
  readonly kindAt: (path: string) => EntryKind | undefined;
  /** What the path leads to, through links. */
  readonly kindBehind: (path: string) => EntryKind | undefined;
  /** Bytes of a file, up to `limit` and one more to show that there is more. */
  readonly read: (path: string, limit?: number) => Uint8Array;
  readonly list: (folder: string) => readonly string[];
  /** Makes the folder and those above it; tells the topmost one that was made. */
  readonly makeFolder: (path: string) => string | undefined;
  /** Writes a file that must not exist yet, and waits until it is on the disk. */
  readonly writeNew: (path: string, bytes: Uint8Array) => void;
  readonly rename: (from: string, to: string) => void;
  readonly remove: (path: string) => void;
  readonly removeFolder: (path: string) => void;
  /** Makes renames in a folder last through a power cut, where the system can. */
  readonly syncFolder: (path: string) => void;
}

/** The system's word for what went wrong (ENOENT, EACCES ...), if the thrown value is the system's. */
export function systemCode(thrown: unknown): string | undefined {
  if (!(thrown instanceof Error) || !('code' in thrown)) return undefined;
  return typeof thrown.code === 'string' && /^E[A-Z0-9]+$/.test(thrown.code) ? thrown.code : undefined;
}

const CHUNK = 1 << 16;

function readAll(descriptor: number, limit: number): Uint8Array {
  const size = fstatSync(descriptor).size;
  const chunks: Uint8Array[] = [];
  let total = 0;
  while (total <= limit) {
    const chunk = new Uint8Array(Math.min(limit + 1 - total, Math.max(CHUNK, size + 1 - total)));
    const got = readSome(descriptor, chunk);
    if (got === 0) break;
    chunks.push(chunk.subarray(0, got));
    total += got;
  }
  return Buffer.concat(chunks);
}

/** A terminal or a pipe that is set not to wait says EAGAIN for "nothing yet". */
function readSome(descriptor: number, chunk: Uint8Array): number {
  for (;;) {
    try {
      return readSync(descriptor, chunk);
    } catch (thrown) {
      const code = systemCode(thrown);
      if (code === 'EOF') return 0;
      if (code !== 'EAGAIN') throw thrown;
      pause(10);
    }
  }
}

const pause = (milliseconds: number): void => {
  Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, milliseconds);
};

function kindFrom(stat: typeof lstatSync, path: string): EntryKind | undefined {
  try {
    const found = stat(path);
    if (found.isSymbolicLink()) return 'link';
    if (found.isDirectory()) return 'folder';
    return found.isFile() ? 'file' : 'other';
  } catch (thrown) {
    if (systemCode(thrown) === 'ENOENT') return undefined;
    throw thrown;
  }
}

function writeNew(path: string, bytes: Uint8Array): void {
  const descriptor = openSync(path, 'wx');
  try {
    for (let at = 0; at < bytes.length; ) at += writeSync(descriptor, bytes, at);
    fsyncSync(descriptor);
  } finally {
    closeSync(descriptor);
  }
}

/** Scanners and slicers hold files open for moments on some systems; a rename is tried again for half a second. */
function renamePatiently(from: string, to: string): void {
  for (let tries = 0; ; tries++) {
    try {
      renameSync(from, to);
      return;
    } catch (thrown) {
      const busy = ['EPERM', 'EBUSY', 'EACCES'].includes(systemCode(thrown) ?? '');
      if (process.platform !== 'win32' || !busy || tries >= 10) throw thrown;
      pause(50);
    }
  }
}

/**
 * One folder at a time, from the first that is missing: node's own recursive way never comes back where the system
 * says that a folder which is there is not (below /proc).
 */
function makeFolder(path: string): string | undefined {
  const missing: string[] = [];
  let at = path;
  while (kindFrom(statSync as typeof lstatSync, at) === undefined && dirname(at) !== at) {
    missing.unshift(at);
    at = dirname(at);
  }
  // When all of it is there, the system says whether it is a folder.
  if (missing.length === 0) readdirSync(path);
  for (const folder of missing) {
    try {
      mkdirSync(folder);
    } catch (thrown) {
      // Another build of the same moment may have made it.
      if (systemCode(thrown) !== 'EEXIST' || kindFrom(statSync as typeof lstatSync, folder) !== 'folder') throw thrown;
    }
  }
  return missing[0];
}

function syncFolder(path: string): void {
  let descriptor: number | undefined;
  try {
    descriptor = openSync(path, 'r');
    fsyncSync(descriptor);
  } catch {
    // Not every system lets a folder be opened or synced; the files themselves are on the disk already.
  } finally {
    if (descriptor !== undefined) closeSync(descriptor);
  }
}

export const nodeFiles: Files = {
  kindAt: (path) => kindFrom(lstatSync, path),
  kindBehind: (path) => kindFrom(statSync as typeof lstatSync, path),
  read: (path, limit = Number.MAX_SAFE_INTEGER) => {
    const descriptor = openSync(path, 'r');
    try {
      return readAll(descriptor, limit);
    } finally {
      closeSync(descriptor);
    }
  },
  list: (folder) => readdirSync(folder),
  makeFolder,
  writeNew,
  rename: renamePatiently,
  remove: (path) => unlinkSync(path),
  removeFolder: (path) => rmdirSync(path),
  syncFolder,
};

/** The real thing: this process's own streams and file system. */
export function nodeIo(): Io {
  let broken: string | undefined;
  const sink = (stream: NodeJS.WriteStream): Sink => {
    stream.on('error', (thrown) => {
      const code = systemCode(thrown) ?? 'EIO';
      // Who reads our list may stop reading: `kerfwright build job.yaml | head -1` is no failure.
      if (code !== 'EPIPE') broken ??= code;
    });
    return { write: (data) => void stream.write(data), isTerminal: stream.isTTY === true };
  };
  const [stdout, stderr] = [sink(process.stdout), sink(process.stderr)];
  return {
    stdout,
    stderr,
    readStdin: (limit) => readAll(0, limit),
    cwd: process.cwd(),
    env: process.env,
    files: nodeFiles,
    self: { id: process.pid, host: hostname(), isAlive, pause },
    random: () => randomBytes(6).toString('hex'),
    watching: nodeWatching,
    threads: { usual: usualThreads(), start: startHand },
    drained: async () => {
      await Promise.all([process.stdout, process.stderr].map(drain));
      return broken;
    },
  };
}

/** A process that belongs to somebody else is alive too. */
function isAlive(id: number): boolean {
  try {
    process.kill(id, 0);
    return true;
  } catch (thrown) {
    return systemCode(thrown) !== 'ESRCH';
  }
}

const drain = (stream: NodeJS.WriteStream): Promise<void> =>
  new Promise((resolve) => {
    stream.write('', () => setImmediate(resolve));
  });
