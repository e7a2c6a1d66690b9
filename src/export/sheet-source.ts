import type { Problem } from '../job/problem.ts';
import type { JoinedProof, PartProof } from '../proof/facts.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { Solution } from '../solve/solution.ts';
import type { Tool } from '../tooling/tool.ts';
import type { AssemblyPicture } from './assembly-picture.ts';
import type { CutTable } from './cut-table.ts';
import type { SheetSection } from './sheet-blocks.ts';
import type { Units } from './sheet-figures.ts';

/** A tool as it was made: its picture, and what was measured on the files. */
export interface SheetTool {
  readonly tool: Tool;
  readonly proofs: readonly PartProof[];
  /** What was measured on parts put together. */
  readonly joined?: JoinedProof;
  /** Its parts in print pose, for the view that can be turned. */
  readonly meshes?: readonly { readonly name: string; readonly mesh: Mesh }[];
  readonly picture?: { readonly png: Uint8Array; readonly width: number; readonly height: number };
}

export interface JobSheetOptions {
  readonly tools: readonly SheetTool[];
  /** What the job was warned of. */
  readonly warnings?: readonly Problem[];
  readonly madeBy: string;
  /** Where it has been drawn already. */
  readonly assembly?: AssemblyPicture;
}

/** What the parts of a job sheet are written from. */
export interface SheetSource {
  readonly solution: Solution;
  readonly table: CutTable;
  readonly units: Units;
  readonly assembly: AssemblyPicture;
  readonly options: JobSheetOptions;
}

/** One part of the job sheet; none where the job has nothing of it. */
export type SheetPart = (source: SheetSource) => readonly SheetSection[];
