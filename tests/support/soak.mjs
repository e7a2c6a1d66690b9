// Builds a folder of jobs in this one process and prints, as JSON, the bytes held after every tenth of them, all garbage
// collected: objects, and what lies outside (files' bytes, the solid kernel's memory). Run with --expose-gc by a test.
import { nodeIo } from '../../dist/cli/io.js';
import { run } from '../../dist/cli/run.js';

const [folder, leak] = process.argv.slice(2);
const io = nodeIo();
const samples = [];
const kept = [];
let jobs = 0;
const stdout = {
  isTerminal: false,
  // Called once a job, with the names of its files.
  write: () => {
    if (leak) kept.push(new Uint8Array(Number(leak)));
    if (++jobs % 10 > 0) return;
    // What one collection frees outside the heap is given back by the next.
    for (let i = 0; i < 3; i++) globalThis.gc();
    const { heapUsed, external, arrayBuffers } = process.memoryUsage();
    samples.push({ jobs, heapUsed, external, arrayBuffers });
  },
};
const code = await run(['build', '.', '-q', '--threads', '1'], { ...io, stdout, cwd: folder });
process.stdout.write(JSON.stringify({ code, samples, kept: kept.length }));
