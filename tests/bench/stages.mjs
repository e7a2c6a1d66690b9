// Where the time of one job goes, stage by stage, in this process: once cold, then warm.
import { performance } from 'node:perf_hooks';
import { solveText } from '../../dist/cli/pipeline.js';
import { makeTool } from '../../dist/cli/tool-files.js';
import { readStl, stlBytes } from '../../dist/export/stl.js';
import { readThreemf } from '../../dist/export/threemf-read.js';
import { proveTool } from '../../dist/proof/prove.js';
import { evaluate } from '../../dist/solid/evaluate.js';
import { openKernel } from '../../dist/solid/kernel.js';
import { makeTools } from '../../dist/tooling/registry.js';

/** Milliseconds by stage for each round; the files and proofs are those of `build`. */
export async function stageTimes(text, rounds) {
  const all = [];
  for (let round = 0; round < rounds; round++) {
    const times = {};
    const timed = (name, work) => {
      const from = performance.now();
      const done = work();
      times[name] = (times[name] ?? 0) + performance.now() - from;
      return done;
    };
    const start = performance.now();
    const kernel = await openKernel();
    times['open kernel'] = performance.now() - start;
    const { solution, job } = timed('read, check, solve', () => solveText({ text, sets: [] }));
    const tools = timed('shape tools', () => makeTools(solution).value);
    const context = { job, madeBy: 'bench' };
    for (const tool of tools) {
      const solids = () => tool.parts.map(({ name, solid }) => evaluate(kernel, solid, { partName: name }));
      const meshes = timed('solids', solids);
      const stls = timed('write STL', () => meshes.map(stlBytes));
      const both = performance.now();
      const made = makeTool(kernel, tool, context).value;
      // makeTool does the solids and the STL again: what is left is the 3MF with its picture and its zip.
      times['write 3MF'] = (times['write 3MF'] ?? 0) + performance.now() - both;
      const again = performance.now();
      for (const mesh of solids()) stlBytes(mesh);
      times['write 3MF'] -= performance.now() - again;
      const stlMeshes = timed('read STL', () => stls.map(readStl));
      const { objects } = timed('read 3MF', () => readThreemf(made.threemf));
      const files = made.parts.map(({ name, mesh }, i) => ({
        part: name,
        built: mesh,
        meshes: [
          { format: 'stl', mesh: stlMeshes[i] },
          { format: '3mf', mesh: objects.find((object) => object.name === name).mesh },
        ],
      }));
      timed('prove', () => proveTool(kernel, tool, solution, files));
    }
    all.push(times);
  }
  return all;
}

/** Triangles of all parts, and milliseconds for their solids, at a chord tolerance in mm. */
export async function triangleCount(text, chordTolerance) {
  const kernel = await openKernel();
  const { solution } = solveText({ text, sets: [`shop.chord-tolerance=${chordTolerance}mm`] });
  let triangles = 0;
  const from = performance.now();
  for (const tool of makeTools(solution).value) {
    for (const { name, solid } of tool.parts) {
      triangles += evaluate(kernel, solid, { partName: name }).triangles.length / 3;
    }
  }
  return { triangles, milliseconds: performance.now() - from };
}
