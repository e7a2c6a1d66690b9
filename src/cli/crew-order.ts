import type { BuiltTool } from './build-tool.ts';
import type { Finish } from './finish-tool.ts';
import type { ToolResult } from './tool-result.ts';
import type { ToolTask } from './tool-task.ts';

/** What a thread is told. It answers a `make`, and each `end` of a job it finished tools of, with `rest` or `fault`. */
export type Order =
  /** Make whole tools until none is left; `next` is the place in `wanted` that is taken next, which every thread counts up. */
  | { readonly kind: 'make'; readonly task: ToolTask; readonly next: Int32Array }
  /** Finish the built tool at a place in `wanted`, unless another thread has claimed it. */
  | ({ readonly kind: 'finish' } & Unfinished)
  /** No more of this job. */
  | { readonly kind: 'end' };

export interface Unfinished {
  readonly at: number;
  readonly built: BuiltTool;
  readonly finish: Finish;
  /** A number for each place in `wanted`, 0 until a thread goes to finish it; in memory that all threads share. */
  readonly claims: Int32Array;
}

export type Report =
  | { readonly kind: 'made'; readonly at: number; readonly result: ToolResult }
  | { readonly kind: 'rest' }
  | { readonly kind: 'fault'; readonly message: string; readonly stack?: string };

/** No thread takes another tool of a job that cannot be finished. */
export function layDown({ next, claims }: { readonly next?: Int32Array; readonly claims?: Int32Array }): void {
  if (next) Atomics.store(next, 0, NONE_LEFT);
  for (let at = 0; at < (claims?.length ?? 0); at++) Atomics.store(claims!, at, 1);
}

/** More than any job's tools, with room to be counted up by every thread. */
const NONE_LEFT = 2 ** 30;

/** The next place nobody has taken; counted up in memory that all threads share. */
export const taken = (next: Int32Array): number => Atomics.add(next, 0, 1);

/** Whether this thread is the first to want to finish the tool at a place. */
export const claim = (claims: Int32Array, at: number): boolean => Atomics.exchange(claims, at, 1) === 0;
