// What an installation takes on the disk: the packed program, and every package it needs to run.
import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';

const ROOT = new URL('../../', import.meta.url).pathname;

/** Megabytes (millions of bytes) of files, without what the disk rounds up. */
export function installSize() {
  const argv = ['pack', '--dry-run', '--json', '--ignore-scripts', '--silent'];
  const [packed] = JSON.parse(
    execFileSync('npm', argv, { cwd: ROOT, encoding: 'utf8', stdio: ['ignore', 'pipe', 'ignore'] }),
  );
  const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8'));
  const needed = Object.entries(lock.packages).flatMap(([path, { dev }]) => (path === '' || dev ? [] : [path]));
  const bytes = needed.reduce((sum, path) => sum + sizeOf(join(ROOT, path)), 0);
  return { own: packed.unpackedSize / 1e6, needed: bytes / 1e6, packages: needed.length };
}

/** Packages inside packages are listed by themselves. */
function sizeOf(folder) {
  return readdirSync(folder, { withFileTypes: true }).reduce((sum, entry) => {
    const path = join(folder, entry.name);
    if (entry.isDirectory()) return entry.name === 'node_modules' ? sum : sum + sizeOf(path);
    return sum + statSync(path).size;
  }, 0);
}
