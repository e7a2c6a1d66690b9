import { InvalidArgumentError } from 'commander';
import { FORMATS, type Format } from './formats.ts';
import type { Shard } from './shard.ts';

/** `stl,3mf` in the order files are listed. */
export function parseFormats(value: string): readonly Format[] {
  const wanted = value.split(',').map((word) => word.trim().toLowerCase());
  const unknown = wanted.find((word) => !FORMATS.some((format) => format === word));
  if (unknown !== undefined) {
    throw new InvalidArgumentError(`${JSON.stringify(unknown)} is none of ${FORMATS.join(', ')}.`);
  }
  return FORMATS.filter((format) => wanted.includes(format));
}

/** `2/8`: the second of eight parts. */
export function parseShard(value: string): Shard {
  const [, part, of] = /^(\d{1,6})\/(\d{1,6})$/.exec(value) ?? [];
  const shard = { part: Number(part), of: Number(of) };
  if (shard.part >= 1 && shard.part <= shard.of) return shard;
  throw new InvalidArgumentError('i/n is wanted, with 1 <= i <= n, e.g. 2/8.');
}

/** More threads than any machine that runs this has. */
const MOST_THREADS = 64;

export function parseThreads(value: string): number {
  const threads = Number(value);
  if (/^[1-9]\d?$/.test(value) && threads <= MOST_THREADS) return threads;
  throw new InvalidArgumentError(`a whole number from 1 to ${MOST_THREADS} is wanted.`);
}
