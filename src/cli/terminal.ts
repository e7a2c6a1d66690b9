import type { Letters } from './dot-canvas.ts';
import type { Io, Sink } from './io.ts';

/** Exit codes, the same for every command. */
export const EXIT = {
  /** Made, or nothing to complain of. */
  made: 0,
  /** The job has problems; nothing of it was written. */
  problems: 1,
  /** Usage, an unreadable file, or an output that cannot be written. */
  usage: 2,
  /** A bug of this program. */
  internal: 70,
  /** Stopped by the person, with Ctrl-C. */
  interrupted: 130,
} as const;

export type ExitCode = (typeof EXIT)[keyof typeof EXIT];

/** Of several jobs the worst counts. */
export const worst = (codes: readonly ExitCode[]): ExitCode =>
  ([EXIT.internal, EXIT.usage, EXIT.problems] as const).find((code) => codes.includes(code)) ?? EXIT.made;

/** Color only on a terminal that can show it, and not where NO_COLOR is set to anything. */
export const colored = (io: Io, sink: Sink): boolean => sink.isTerminal && !io.env.NO_COLOR && io.env.TERM !== 'dumb';

/** Signs that whoever reads the output can show: more than ASCII only where the locale says UTF-8 (POSIX order of names). */
export function lettersOf({ env }: Io): Letters {
  const locale = env.LC_ALL || env.LC_CTYPE || env.LANG || '';
  return /utf-?8/i.test(locale) ? 'unicode' : 'ascii';
}

/** One JSON document, two spaces, ASCII controls and line separators escaped. */
export const jsonText = (value: unknown): string => `${escaped(JSON.stringify(value, null, 2))}\n`;

/** The same on one line, for a stream of them. */
export const jsonLine = (value: unknown): string => `${escaped(JSON.stringify(value))}\n`;

const escaped = (json: string): string =>
  json.replaceAll(
    /[\u007f-\u009f\u2028-\u202e\u2066-\u2069]/gu,
    (c) => `\\u${c.charCodeAt(0).toString(16).padStart(4, '0')}`,
  );

/** `1 file`, `3 files`. */
export const counted = (n: number, noun: string): string => `${n} ${noun}${n === 1 ? '' : 's'}`;

/** The value JSON carries: rounded to a nanometer, so that it does not wobble in its last bits. */
export const rounded = (x: number): number => Math.round(x * 1e6) / 1e6 + 0;
