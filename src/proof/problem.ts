import type { Problem, ProblemCode } from '../job/problem.ts';
import type { ShapedTool } from '../tooling/tool.ts';

/** A measurement that fails, before it is known whose. */
export interface Fault {
  readonly code: Extract<ProblemCode, `proof/${string}`>;
  readonly message: string;
  readonly hint: string;
  readonly measured?: number;
  readonly limit?: number;
}

/** What a measurement gives: numbers, and what of them is out of limits. */
export interface Measured<T> {
  readonly value: T;
  readonly faults: readonly Fault[];
}

/** The fault of one part as a problem of the job. */
export const proofProblem = (tool: ShapedTool, part: string, fault: Fault): Problem => ({
  severity: 'error',
  path: tool.path,
  ...fault,
  message: `${part}: ${fault.message}`,
});

/** For faults no change of the job is known to mend. */
export const OUR_FAULT = 'this tool is not written; it is a fault of ours: please report the job file';
