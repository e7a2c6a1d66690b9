#!/usr/bin/env node
import { loadProgram, tuneCompiler } from '../dist/command/load.js';

tuneCompiler();
process.exitCode = await loadProgram().program.run(process.argv.slice(2));
