// The same solids with the booleans of @jscad/modeling: what this program's kernel is compared with. Leaves (sleeves,
// letters, hulls) come ready made and are not counted there, so the ratio is no larger than it is.
import { performance } from 'node:perf_hooks';
import modeling from '@jscad/modeling';
import { solveText } from '../../dist/cli/pipeline.js';
import { evaluate } from '../../dist/solid/evaluate.js';
import { openKernel } from '../../dist/solid/kernel.js';
import { makeTools } from '../../dist/tooling/registry.js';

const { booleans, geometries, modifiers, transforms } = modeling;

/** Milliseconds for one solid: ours with everything, theirs the booleans and what makes a mesh to print of them. */
export async function compareBooleans(text, toolName) {
  const kernel = await openKernel();
  const { solution } = solveText({ text, sets: [] });
  const tool = makeTools(solution).value.find(({ name }) => name === toolName);
  const { name, solid } = tool.parts[0];
  const options = { partName: name };
  const one = solid.kind === 'either' ? solid.of[0] : solid;
  evaluate(kernel, one, options);
  const from = performance.now();
  const mesh = evaluate(kernel, one, options);
  const ours = performance.now() - from;
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
  return { ours, theirs, triangles: mesh.triangles.length / 3, polygons: geometries.geom3.toPolygons(other).length };
}

function facetsOf({ positions, triangles }) {
  const at = (i) => [positions[3 * i], positions[3 * i + 1], positions[3 * i + 2]];
  const facets = [];
  for (let i = 0; i < triangles.length; i += 3)
    facets.push([at(triangles[i]), at(triangles[i + 1]), at(triangles[i + 2])]);
  return geometries.geom3.fromPoints(facets);
}
