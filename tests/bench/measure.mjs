// Runs the built program as processes and measures them; nothing here is asserted.
import { spawn } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { performance } from 'node:perf_hooks';

export const BIN = new URL('../../bin/kerfwright.js', import.meta.url).pathname;

export const median = (numbers) => [...numbers].sort((p, q) => p - q)[Math.floor(numbers.length / 2)];

/** Wall time in seconds, peak memory in MB of one run and what it held every 20 ms (Linux tells; elsewhere they are left out). */
export function run(argv, { cwd }) {
  return new Promise((resolve, reject) => {
    const from = performance.now();
    const child = spawn(process.execPath, [BIN, ...argv], { cwd, stdio: ['ignore', 'ignore', 'pipe'] });
    let told = '';
    let peak = 0;
    const held = [];
    child.stderr.on('data', (data) => {
      told += data;
    });
    const look = setInterval(() => {
      try {
        const status = readFileSync(`/proc/${child.pid}/status`, 'utf8');
        const megabytes = (field) => Number(new RegExp(`${field}:\\s+(\\d+)`).exec(status)?.[1] ?? 0) / 1024;
        peak = Math.max(peak, megabytes('VmHWM'));
        if (megabytes('VmRSS') > 0) held.push(megabytes('VmRSS'));
      } catch {
        // The process is gone, or this system has no /proc.
      }
    }, 20);
    child.on('exit', (code) => {
      clearInterval(look);
      const seconds = (performance.now() - from) / 1000;
      if (code === 0) resolve({ seconds, peak, held });
      else reject(new Error(`kerfwright ${argv.join(' ')} ended with ${code}:\n${told}`));
    });
  });
}

/** Median over several runs; `before` puts things as they should be for each. */
export async function medianRun(argv, { cwd, runs, before = () => {} }) {
  const found = [];
  for (let i = 0; i < runs; i++) {
    before(i);
    found.push(await run(argv, { cwd }));
  }
  return { seconds: median(found.map((x) => x.seconds)), peak: Math.max(...found.map((x) => x.peak)) };
}

/** Starts `watch` and gives a function that saves a text and waits for the account of it, in seconds. */
export async function startWatch(file, { cwd, save }) {
  const child = spawn(process.execPath, [BIN, 'watch', file], { cwd, stdio: ['ignore', 'ignore', 'pipe'] });
  let heard = () => {};
  let told = '';
  child.stderr.on('data', (data) => {
    told += data;
    heard();
  });
  const until = (what) =>
    new Promise((resolve, reject) => {
      heard = () => told.includes(what) && resolve();
      child.on('exit', () => reject(new Error(`watch ended:\n${told}`)));
      heard();
    });
  await until('Ctrl-C stops');
  return {
    rebuild: async (text) => {
      told = '';
      const from = performance.now();
      save(text);
      await until(' unchanged');
      const seconds = (performance.now() - from) / 1000;
      // The next save is not to fall into the moment in which saves count as one.
      await new Promise((resolve) => setTimeout(resolve, 300));
      return seconds;
    },
    stop: () => child.kill('SIGINT'),
  };
}
