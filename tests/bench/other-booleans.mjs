// The same solids with the booleans of @jscad/modeling: what this program's kernel is compared with. Leaves (sleeves,
// letters, hulls) come ready made and are not counted there, so the ratio is no larger than it is.
import { performance } from 'node:perf_hooks';
import modeling from '@jscad/modeling';
import { solveText } from '../../dist/cli/pipeline.js';
import { evaluate } from '../../dist/solid/evaluate.js';
import { openKernel } from '../../dist/solid/kernel.js';
import { makeTools } from '../../dist/tooling/registry.js';
import { median } from './measure.mjs';

const { booleans, geometries, modifiers, transforms } = modeling;

/** Rounds of ours, of which the median counts; theirs take too long for more than one. */
const ROUNDS = 5;

/** Tools of a job by kind with milliseconds for their solids: ours with everything, theirs the booleans and what makes a mesh to print of them. */
export async function compareBooleans(text) {
  const kernel = await openKernel();
  const { solution } = solveText({ text, sets: [] });
  const kinds = new Map();
  for (const { kind, parts } of makeTools(solution).value) {
    const sum = kinds.get(kind) ?? { kind, tools: 0, ours: 0, theirs: 0, triangles: 0, polygons: 0 };
    sum.tools++;
    for (const part of parts) {
      const one = compareOne(kernel, part);
      for (const what of Object.keys(one)) sum[what] += one[what];
    }
    kinds.set(kind, sum);
  }
  return [...kinds.values()];
}

function compareOne(kernel, { name, solid }) {
  const options = { partName: name };
  const one = solid.kind === 'either' ? solid.of[0] : solid;
  const rounds = Array.from({ length: ROUNDS }, () => {
    const from = performance.now();
    const { triangles } = evaluate(kernel, one, options);
    return { time: performance.now() - from, triangles: triangles.length / 3 };
  });
  const ours = median(rounds.map(({ time }) => time));
  let theirs = 0;
  const timed = (work) => {
    const start = performance.now();
    const done = work();
    theirs += performance.now() - start;
    return done;
  };
  const build = (node) => {
    if (node.kind === 'subtract') {
      const [body, ...cuts] = [node.from, ...node.cuts].map(build);
      return timed(() => booleans.subtract(body, ...cuts));
    }
    if (node.kind === 'union' || node.kind === 'intersect') {
      const parts = node.of.map(build);
      return timed(() => booleans[node.kind](...parts));
    }
    if (node.kind === 'place') {
      const { origin, x, y, z } = node.at;
      return transforms.transform([...x, 0, ...y, 0, ...z, 0, ...origin, 1], build(node.of));
    }
    return facetsOf(evaluate(kernel, node, options));
  };
  const cut = build(one);
  // What comes out has T-joints: this is what its own makers say to do before it is written to a file.
  const other = timed(() => modifiers.generalize({ snap: true, simplify: true, triangulate: true }, cut));
  return { ours, theirs, triangles: rounds[0].triangles, polygons: geometries.geom3.toPolygons(other).length };
}

function facetsOf({ positions, triangles }) {
  const at = (i) => [positions[3 * i], positions[3 * i + 1], positions[3 * i + 2]];
  const facets = [];
  for (let i = 0; i < triangles.length; i += 3)
    facets.push([at(triangles[i]), at(triangles[i + 1]), at(triangles[i + 2])]);
  return geometries.geom3.fromPoints(facets);
}
