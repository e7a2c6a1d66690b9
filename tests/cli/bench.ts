import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync, unlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Files, type Io, nodeFiles } from '../../src/cli/io.ts';
import { run } from '../../src/cli/run.ts';
import type { WatchedPlaces } from '../../src/cli/watching.ts';

/** A folder of its own for one test, and commands run in it without a process. */
export interface Bench {
  readonly folder: string;
  readonly put: (name: string, text: string | Uint8Array) => string;
  readonly kerfwright: (argv: readonly string[], around?: Around) => Promise<Ran>;
  /** Every file and folder below, by relative path. */
  readonly all: (below?: string) => readonly string[];
  readonly text: (name: string) => string;
  readonly bytes: (name: string) => Uint8Array;
  readonly remove: (name: string) => void;
  readonly modified: (name: string) => number;
  readonly clear: () => void;
}

export interface Around {
  readonly stdin?: string;
  readonly env?: Io['env'];
  readonly files?: Partial<Files>;
  readonly self?: Partial<Io['self']>;
  readonly watching?: NonNullable<Io['watching']>;
  /** Called with every piece of text that goes to stdout or stderr, when it goes. */
  readonly heard?: (text: string) => void;
  readonly stdoutIsTerminal?: boolean;
  readonly stderrIsTerminal?: boolean;
}

export interface Ran {
  readonly code: number;
  readonly out: string;
  readonly outBytes: Uint8Array;
  readonly err: string;
}

export function bench(): Bench {
  const folder = mkdtempSync(join(tmpdir(), 'kerfwright-test-'));
  const at = (name: string): string => join(folder, name);
  return {
    folder,
    put: (name, text) => {
      writeFileSync(at(name), text);
      return name;
    },
    kerfwright: (argv, around = {}) => runIn(folder, argv, around),
    all: (below = '.') =>
      readdirSync(at(below), { recursive: true, encoding: 'utf8' }).sort((p, q) => (p < q ? -1 : 1)),
    text: (name) => readFileSync(at(name), 'utf8'),
    bytes: (name) => readFileSync(at(name)),
    remove: (name) => unlinkSync(at(name)),
    modified: (name) => statSync(at(name)).mtimeMs,
    clear: () => rmSync(folder, { recursive: true, force: true }),
  };
}

async function runIn(cwd: string, argv: readonly string[], around: Around): Promise<Ran> {
  const out: Uint8Array[] = [];
  const err: Uint8Array[] = [];
  const into = (chunks: Uint8Array[]) => (data: string | Uint8Array) => {
    chunks.push(typeof data === 'string' ? new TextEncoder().encode(data) : data);
    if (typeof data === 'string') around.heard?.(data);
  };
  let made = 0;
  const code = await run(argv, {
    stdout: { write: into(out), isTerminal: around.stdoutIsTerminal ?? false },
    stderr: { write: into(err), isTerminal: around.stderrIsTerminal ?? false },
    readStdin: () => new TextEncoder().encode(around.stdin ?? ''),
    cwd,
    env: around.env ?? {},
    files: { ...nodeFiles, ...around.files },
    random: () => `test${made++}`,
    self: { id: 1, host: 'here', isAlive: () => true, pause: () => undefined, ...around.self },
    drained: async () => undefined,
    ...(around.watching ? { watching: around.watching } : {}),
  });
  const outBytes = Buffer.concat(out);
  return { code, out: outBytes.toString('utf8'), outBytes, err: Buffer.concat(err).toString('utf8') };
}

/** A rail trimmed square at one end and coped to a post at the other: a guide, a collar, done in a moment. */
export const RAIL = `job: rail
shop: { labels: false }
sections:
  tube: { kind: round, od: 30, wall: 2 }
  post: { kind: round, od: 40, wall: 2 }
members:
  post: { section: post, points: [[0, 0, -200], [0, 0, 200]] }
  rail: { section: tube, points: [[0, 0, 0], [300, 0, 0]] }
joints:
  - cope: { branch: rail.start, run: post }
  - trim: { end: rail.end, at: 280, miter: 20, long-point: up }
`;

export const RAIL_TOOLS = ['rail-end-saw-guide', 'rail-start-notch-collar'] as const;

/** The same with a mistake on line 4. */
export const BAD_RAIL = RAIL.replace('od: 30', 'od: -30');
export const BAD_LINE = 4;

/** A watcher that tells of a change, and a person who stops, when the test says so. */
export function byHand() {
  const hand = {
    changed: (): void => undefined,
    stopped: (): void => undefined,
    watching: {
      start: async (_: WatchedPlaces, tell: () => void) => {
        hand.changed = tell;
        return async () => undefined;
      },
      untilStopped: () =>
        new Promise<void>((resolve) => {
          hand.stopped = resolve;
        }),
    },
  };
  return hand;
}
