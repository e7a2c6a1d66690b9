import { expect } from 'vitest';
import { type MadeTool, makeTool } from '../../src/cli/tool-files.ts';
import { readStl } from '../../src/export/stl.ts';
import { readThreemf } from '../../src/export/threemf-read.ts';
import { place, unplace } from '../../src/geometry/placement.ts';
import type { Vec3 } from '../../src/geometry/vector.ts';
import type { CutToolSpec, Job } from '../../src/job/job.ts';
import type { PartProof, ToolProof } from '../../src/proof/facts.ts';
import { type PartFiles, proveTool } from '../../src/proof/prove.ts';
import type { Kernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { makeTools } from '../../src/tooling/registry.ts';
import type { HeldTube, Tool, ToolPart } from '../../src/tooling/tool.ts';
import {
  barTube,
  bend,
  cope,
  ellipse,
  jobOf,
  oval,
  rectangle,
  round,
  runTube,
  solved,
  straight,
  trim,
} from '../support/jobs.ts';

/** A tool as it is made, with its meshes as they stand in its files. */
export interface Proved {
  readonly tool: Tool;
  readonly solution: Solution;
  readonly files: readonly PartFiles[];
}

/** A tool asked for by name. */
const asked = (kind: CutToolSpec['kind'], member: string, more: Partial<CutToolSpec> = {}): CutToolSpec => ({
  kind,
  end: { member, end: 'end', path: ['tools', member] },
  datum: 'auto',
  surface: 'outer',
  parts: 'auto',
  path: ['tools', member],
  ...more,
});

/** Every kind of tool on every section, on straights and in bends, for both kinds of saw. */
export function benchJob(): Job {
  const job = jobOf(
    [
      runTube('square', rectangle(40, 40, 4), { run: [straight(300)] }),
      runTube('miter', round(40), { at: [200, 0, 0], run: [straight(300)] }),
      runTube('bend', round(40), {
        at: [400, 0, 0],
        up: [0, 1, 0],
        run: [straight(100), bend(80, 90, 0), straight(100)],
      }),
      runTube('lean', round(40), {
        at: [400, 400, 0],
        up: [0, 1, 0],
        run: [straight(100), bend(80, 90, 0), straight(100)],
      }),
      runTube('oval', oval(60, 30), { at: [600, 0, 0], run: [straight(100)] }),
      runTube('ellipse', ellipse(60, 30), { at: [800, 0, 0], run: [straight(100)] }),
      runTube('branch', round(40), { at: [1000, 0, 0], run: [straight(150)] }),
      barTube('post', round(60), { from: [800, 5, 180], to: [1200, 5, 180] }),
    ],
    [
      trim('square.end', { kind: 'at', distance: 280 }),
      trim('miter.end', { kind: 'at', distance: 270 }, { miterDeg: 30, longPointDeg: 90 }),
      trim('bend.end', { kind: 'into-bend', bendAngleDeg: 40 }),
      trim('lean.end', { kind: 'into-bend', bendAngleDeg: 40 }, { miterDeg: 10, longPointDeg: 90 }),
      trim('oval.end', { kind: 'at', distance: 80 }, { miterDeg: 20 }),
      trim('ellipse.end', { kind: 'at', distance: 80 }, { miterDeg: 20 }),
      cope('branch.end', ['post']),
    ],
  );
  const chop = { name: 'chop', kind: 'top-down' as const, kerf: 2.4, blade: 2, clearance: 0.4 };
  return {
    ...job,
    shop: { ...job.shop, saws: [...job.shop.saws, chop] },
    tools: [
      asked('saw-guide', 'square'),
      asked('saw-guide', 'square', { saw: 'chop', name: 'square-chop' }),
      asked('saw-guide', 'miter'),
      asked('saw-guide', 'miter', { saw: 'chop', name: 'miter-chop' }),
      asked('saw-guide', 'bend'),
      asked('saw-guide', 'lean'),
      asked('marking-gauge', 'miter'),
      asked('marking-gauge', 'square'),
      asked('marking-gauge', 'oval'),
      asked('marking-gauge', 'ellipse'),
      asked('marking-gauge', 'bend'),
      asked('notch-collar', 'branch'),
      asked('notch-collar', 'branch', { surface: 'inner', name: 'branch-inner' }),
      asked('notch-collar', 'branch', { surface: 'square', name: 'branch-square' }),
      asked('notch-collar', 'branch', { parts: 2, name: 'branch-halves' }),
      asked('notch-collar', 'oval', { parts: 2 }),
    ],
  };
}

/** All tools of a job, by name. */
export function toolsOf(kernel: Kernel, job: Job): ReadonlyMap<string, Proved> {
  const solution = solved(job);
  const { value, problems } = makeTools(solution);
  if (!value || problems.length > 0) expect.fail(problems.map(({ message }) => message).join('\n'));
  return new Map(
    value.map((tool) => {
      const made = makeTool(kernel, tool, { job, madeBy: 'test' });
      if (!made.value) expect.fail(made.problems.map(({ message }) => message).join('\n'));
      return [tool.name, { tool, solution, files: readBack(made.value) }];
    }),
  );
}

/** The meshes of a tool as they stand in its files. */
export function readBack(made: MadeTool): readonly PartFiles[] {
  const { objects } = readThreemf(made.threemf);
  return made.parts.map(({ name, mesh, stl }) => {
    const object = objects.find((candidate) => candidate.partNumber === name);
    if (!object) throw new Error(`the 3MF lacks ${name}`);
    const meshes = [
      { format: 'stl', mesh: readStl(stl) },
      { format: '3mf', mesh: object.mesh },
    ] as const;
    return { part: name, built: mesh, meshes };
  });
}

export const prove = (kernel: Kernel, { tool, solution, files }: Proved): ToolProof =>
  proveTool(kernel, tool, solution, files);

/** The same tool with every file's mesh of its first part changed alike, as if the bytes said so. */
export function broken(proved: Proved, change: (mesh: Mesh) => Mesh): Proved {
  const [first, ...others] = proved.files;
  if (!first) throw new Error('a tool without files');
  const meshes = first.meshes.map(({ format, mesh }) => ({ format, mesh: change(mesh) }));
  return { ...proved, files: [{ ...first, built: change(first.built), meshes }, ...others] };
}

/** The same tool with what is claimed of its first part changed, and the files as they are. */
export function claimed(proved: Proved, change: (part: ToolPart) => ToolPart): Proved {
  const [first, ...others] = proved.tool.parts;
  if (!first) throw new Error('a tool without parts');
  return { ...proved, tool: { ...proved.tool, parts: [change(first), ...others] } };
}

/** The same tool with what is claimed of the first tube of its first part changed. */
export const tubeClaimed = (proved: Proved, change: (tube: HeldTube) => HeldTube): Proved =>
  claimed(proved, (part) => ({ ...part, tubes: part.tubes.map((tube, i) => (i === 0 ? change(tube) : tube)) }));

/** Vertices moved by a rule on where they stand in the job. */
export function movedInJob(proved: Proved, rule: (p: Vec3) => Vec3 | undefined): Proved {
  const { pose } = proved.tool.parts[0]!;
  return broken(proved, (mesh) =>
    moved(mesh, (p) => {
      const to = rule(place(pose, p));
      return to && unplace(pose, to);
    }),
  );
}

/** Vertices moved by a rule on where they stand in print pose; those it leaves out stay to the last bit. */
export function moved(mesh: Mesh, rule: (p: Vec3) => Vec3 | undefined): Mesh {
  const positions = mesh.positions.slice();
  for (let i = 0; i < positions.length; i += 3) {
    const to = rule([positions[i]!, positions[i + 1]!, positions[i + 2]!]);
    if (to) positions.set(to, i);
  }
  return { positions, triangles: mesh.triangles };
}

export const codesOf = (proof: ToolProof): readonly string[] =>
  [...new Set(proof.problems.map(({ code }) => code))].sort();

export const firstPart = (proof: ToolProof): PartProof => {
  const [part] = proof.parts;
  if (!part) expect.fail(`no part was measured: ${codesOf(proof).join(', ')}`);
  return part;
};
