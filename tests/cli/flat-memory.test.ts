import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { RAIL } from './bench.ts';

const place = mkdtempSync(join(tmpdir(), 'kerfwright-soak-'));
afterAll(() => rmSync(place, { recursive: true, force: true }));

interface Soak {
  readonly code: number;
  readonly samples: readonly {
    readonly jobs: number;
    readonly heapUsed: number;
    readonly external: number;
    readonly arrayBuffers: number;
  }[];
}

/** Bytes a job by which each kind of memory grew from one job to the last, in a process that built them all. */
function growth({ from, jobs, leak = 0 }: { readonly from: number; readonly jobs: number; readonly leak?: number }): {
  readonly objects: number;
  readonly outside: number;
  readonly bytes: number;
} {
  for (let i = 0; i < jobs; i++) {
    const text = RAIL.replace('job: rail', `job: rail-${i}`).replace('wall: 2', `wall: ${(2 + i / 100).toFixed(2)}`);
    writeFileSync(join(place, `${i}.yaml`), `${text}tools: [saw-guide: rail.end]\n`);
  }
  const child = new URL('../support/soak.mjs', import.meta.url).pathname;
  const argv = ['--expose-gc', child, place, ...(leak > 0 ? [String(leak)] : [])];
  const { code, samples }: Soak = JSON.parse(execFileSync(process.execPath, argv, { encoding: 'utf8' }));
  for (const name of readdirSync(place)) rmSync(join(place, name), { recursive: true });
  expect(code).toBe(0);
  const first = samples.find((sample) => sample.jobs === from)!;
  const last = samples.at(-1)!;
  expect(last.jobs).toBe(jobs);
  const a = (key: 'heapUsed' | 'external' | 'arrayBuffers'): number =>
    (last[key] - first[key]) / (last.jobs - first.jobs);
  return { objects: a('heapUsed'), outside: a('external'), bytes: a('arrayBuffers') };
}

describe('a batch in one process', () => {
  it('holds no more memory after its fiftieth job than after its twentieth', () => {
    const { objects, outside, bytes } = growth({ from: 20, jobs: 50 });
    // What the language learns of the code still grows a little. A job of one tool has 300 KB of files.
    expect(objects).toBeLessThan(30_000);
    expect(bytes).toBeLessThan(5_000);
    expect(outside).toBeLessThan(20_000);
  });

  it('would be seen to hold on to the files', () => {
    expect(growth({ from: 10, jobs: 20, leak: 300_000 }).bytes).toBeGreaterThan(250_000);
  });
});
