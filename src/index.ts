import { crewOf } from './cli/crew.ts';
import type { Format } from './cli/formats.ts';
import { makeJob } from './cli/make-job.ts';
import { programHash, programVersion } from './cli/version.ts';
import { viewScript } from './cli/view-script.ts';
import type { Outcome } from './job/problem.ts';
import type { PartProof } from './proof/facts.ts';
import { openKernel } from './solid/kernel.ts';

/** The pipeline for scripts: each stage by itself, and `buildJob` for all of them. Touches no file, ends no process. */
export { type CutTable, cutTable } from './export/cut-table.ts';
export { stlBytes } from './export/stl.ts';
export { type ThreemfPackage, threemfBytes } from './export/threemf.ts';
export type { Job } from './job/job.ts';
export { type LoadOptions, loadJob } from './job/load.ts';
export { hasErrors, type Outcome, type Problem, type ProblemCode } from './job/problem.ts';
export { renderProblems } from './job/render.ts';
export { jobJsonSchema } from './job/schema.ts';
export { variantsOf } from './job/variants.ts';
export type { PartProof, ToolProof } from './proof/facts.ts';
export { type PartFiles, proveTool } from './proof/prove.ts';
export { evaluate } from './solid/evaluate.ts';
export { type Kernel, openKernel } from './solid/kernel.ts';
export type { Mesh } from './solid/mesh.ts';
export type { CutEnd, Member, Piece, Solution } from './solve/solution.ts';
export { solveJob } from './solve/solve.ts';
export { makeTools } from './tooling/registry.ts';
export type { Tool, ToolPart } from './tooling/tool.ts';

export interface BuildJobOptions {
  /** `path=value` texts put over the job. */
  readonly sets?: readonly string[];
  /** Which of the job's variants. */
  readonly variant?: string;
  /** Patterns of tool names; all tools without one. */
  readonly only?: readonly string[];
  /** STL and 3MF unless given. */
  readonly formats?: readonly Format[];
  /** Also a 3MF of all parts laid out on the bed. */
  readonly plate?: boolean;
}

/** What the command line would write, and what was measured on it. */
export interface BuiltJob {
  readonly job: string;
  readonly files: readonly { readonly name: string; readonly bytes: Uint8Array; readonly sha256: string }[];
  readonly tools: readonly {
    readonly name: string;
    readonly revision: string;
    readonly proofs: readonly PartProof[];
  }[];
}

/** Job text to proved files, all or nothing, the same bytes as `kerfwright build` writes. */
export async function buildJob(text: string, options: BuildJobOptions = {}): Promise<Outcome<BuiltJob>> {
  const { sets = [], variant, only = [], formats = ['stl', '3mf', 'dxf'], plate = false } = options;
  const { value, problems } = await makeJob({
    text,
    sets,
    only,
    formats,
    plate,
    madeBy: `kerfwright ${programVersion()}`,
    program: programHash(),
    viewScript,
    crew: async () => crewOf(openKernel, []),
    ...(variant === undefined ? {} : { variant }),
  });
  if (!value) return { problems };
  const files = value.files.map(({ name, bytes, entry }) => ({ name, bytes, sha256: entry.sha256 }));
  const tools = value.tools.map(({ name, revision, proofs }) => ({ name, revision, proofs }));
  return { value: { job: value.job.name, files, tools }, problems };
}
