// Runs the whole suite and closes with the plain line `N passed, N failed, N skipped`, counted from vitest's own report.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const folder = mkdtempSync(join(tmpdir(), 'kerfwright-tests-'));
const report = join(folder, 'report.json');
const vitest = join(import.meta.dirname, '..', 'node_modules', 'vitest', 'vitest.mjs');
const run = spawnSync(
  process.execPath,
  [
    vitest,
    'run',
    '--config',
    'tests/vitest.config.ts',
    '--reporter=default',
    '--reporter=json',
    `--outputFile.json=${report}`,
    ...process.argv.slice(2),
  ],
  { cwd: join(import.meta.dirname, '..'), stdio: 'inherit' },
);
if (!existsSync(report)) {
  console.error('vitest wrote no report');
  process.exit(1);
}
const { numPassedTests, numFailedTests, numPendingTests, numTodoTests, numFailedTestSuites } = JSON.parse(
  readFileSync(report, 'utf8'),
);
rmSync(folder, { recursive: true });
// A file that fails before its tests counts as one failure, or it would vanish from the line.
const failed = numFailedTests === 0 && (run.status !== 0 || numFailedTestSuites > 0) ? 1 : numFailedTests;
console.log(`${numPassedTests} passed, ${failed} failed, ${numPendingTests + numTodoTests} skipped`);
process.exit(failed > 0 || run.status !== 0 || numPassedTests === 0 ? 1 : 0);
