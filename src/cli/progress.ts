import { visible } from '../job/render.ts';
import type { Io } from './io.ts';

/** One line on a terminal that tells how far a run of several jobs is; nowhere else a single byte. */
export interface Progress {
  readonly at: (done: number, label: string) => void;
  /** Takes the line away, before anything else is written. */
  readonly clear: () => void;
}

const WIDTH = 79;

export function progressOf(io: Io, { of, quiet }: { readonly of: number; readonly quiet: boolean }): Progress {
  if (!io.stderr.isTerminal || quiet || of < 2 || io.env.TERM === 'dumb') return { at: () => {}, clear: () => {} };
  return {
    at: (done, label) => io.stderr.write(`\r\u001b[K${`[${done + 1}/${of}] ${visible(label)}`.slice(0, WIDTH)}`),
    clear: () => io.stderr.write('\r\u001b[K'),
  };
}
