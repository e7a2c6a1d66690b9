import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';

const PACKAGE = new URL('../../package.json', import.meta.url);
const CODE = new URL('../', import.meta.url);

/** Version of this program, from its package file, which lies two folders up in the source tree and in the built one. */
export function programVersion(): string {
  const found: unknown = JSON.parse(readFileSync(PACKAGE, 'utf8'));
  if (typeof found === 'object' && found !== null && 'version' in found && typeof found.version === 'string') {
    return found.version;
  }
  throw new Error('internal: package.json has no version');
}

/** The same hash, over the source code, where the program is a bundle: put in its place when the bundle is made. */
declare const BUNDLED_PROGRAM: string | undefined;

/**
 * SHA-256 over this program's own code and its package file. The version alone would take the output of a program that
 * was changed without a new number for its own; the code is half a megabyte and read in a few milliseconds.
 */
export function programHash(): string {
  if (typeof BUNDLED_PROGRAM === 'string') return BUNDLED_PROGRAM;
  const hash = createHash('sha256').update(readFileSync(PACKAGE));
  const names = readdirSync(CODE, { recursive: true, encoding: 'utf8' }).map((name) => name.replaceAll('\\', '/'));
  for (const name of names.filter((file) => /\.[jt]s$/.test(file) && !file.endsWith('.d.ts')).sort()) {
    hash.update(`\0${name}\0`).update(readFileSync(new URL(name, CODE)));
  }
  return hash.digest('hex');
}
