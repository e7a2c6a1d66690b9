import { readFileSync } from 'node:fs';
import { place } from '../../src/geometry/placement.ts';
import type { Vec3 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Problem } from '../../src/job/problem.ts';
import { evaluate } from '../../src/solid/evaluate.ts';
import { openKernel } from '../../src/solid/kernel.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { makeTools } from '../../src/tooling/registry.ts';
import type { Tool, ToolPart } from '../../src/tooling/tool.ts';

export const kernel = await openKernel();

export interface Made {
  readonly solution: Solution;
  readonly tools: readonly Tool[];
}

/** Tools of a job text; any problem of error grade fails the test with its words. */
export function made(yaml: string): Made {
  const { solution, tools, problems } = tried(yaml);
  const errors = problems.filter((problem) => problem.severity === 'error');
  if (!solution || errors.length > 0)
    throw new Error(errors.map((problem) => `${problem.code}: ${problem.message}`).join('\n'));
  return { solution, tools };
}

export function tried(yaml: string): {
  readonly solution?: Solution;
  readonly tools: readonly Tool[];
  readonly problems: readonly Problem[];
} {
  const job = loadJob(yaml, {});
  if (!job.value) return { tools: [], problems: job.problems };
  const solved = solveJob(job.value);
  if (!solved.value) return { tools: [], problems: [...job.problems, ...solved.problems] };
  const tools = makeTools(solved.value);
  return {
    solution: solved.value,
    tools: tools.value ?? [],
    problems: [...job.problems, ...solved.problems, ...tools.problems],
  };
}

export const example = (name: string): string =>
  readFileSync(new URL(`../../fixtures-examples/${name}/job.yaml`, import.meta.url), 'utf8');

export const meshOf = (part: ToolPart): Mesh => evaluate(kernel, part.solid, { partName: part.name });

export function vertices(mesh: Mesh): readonly Vec3[] {
  return Array.from({ length: mesh.positions.length / 3 }, (_, i) => [
    mesh.positions[3 * i]!,
    mesh.positions[3 * i + 1]!,
    mesh.positions[3 * i + 2]!,
  ]);
}

/** Vertices where the part stands on the tube in the job. */
export const inJob = (part: ToolPart, mesh: Mesh): readonly Vec3[] => vertices(mesh).map((p) => place(part.pose, p));
