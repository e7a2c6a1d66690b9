#!/usr/bin/env node
import { setFlagsFromString } from 'node:v8';

// A run is over within seconds: the compiler is told to wait until a function has run some more before it optimizes it,
// and to copy less of what it calls into it. Measured on a job of twelve tools: a quarter less processor time.
setFlagsFromString('--interrupt-budget=1000000');
setFlagsFromString('--max-inlined-bytecode-size-cumulative=400');

const { run } = await import('../dist/command/run.js');
process.exitCode = await run(process.argv.slice(2));
