import { execFileSync } from 'node:child_process';

/** Compiles the program that tests run as a process, once and before any of them: none may meet a half written file. */
export default function buildOnce(): void {
  const root = new URL('../../', import.meta.url).pathname;
  execFileSync(`${root}node_modules/.bin/tsc`, ['-p', 'src'], { cwd: root, stdio: 'inherit' });
  execFileSync(process.execPath, ['src/cli/bundle.mjs'], { cwd: root, stdio: 'inherit' });
}
