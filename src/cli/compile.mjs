// Run by the bundler as a process of its own, with jobs to make: leaves the code that this compiles beside the bundle.
// A run takes a tenth longer without it.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { loadProgram, tuneCompiler } from '../../dist/command/load.js';

const out = mkdtempSync(join(tmpdir(), 'kerfwright-compile-'));
try {
  // The compiler's settings are part of what it looks at before it takes compiled code.
  tuneCompiler();
  const { program, script } = loadProgram();
  const status = await program.run(['build', ...process.argv.slice(2), '--out', out, '--threads', '1', '--quiet']);
  if (status !== 0) throw new Error(`the jobs to compile by ended with ${status}`);
  writeFileSync(new URL('../../dist/command/program.code', import.meta.url), script.createCachedData());
} finally {
  rmSync(out, { recursive: true, force: true });
}
