import type { Job } from '../job/job.ts';
import { loadJob } from '../job/load.ts';
import { type JobSource, locateProblem } from '../job/locate.ts';
import type { Problem } from '../job/problem.ts';
import { inJobUnits } from '../job/wording.ts';
import type { Solution } from '../solve/solution.ts';
import { type KnownCuts, solveJob } from '../solve/solve.ts';

export interface JobText {
  readonly text: string;
  /** `path=value` texts put over the file. */
  readonly sets: readonly string[];
  /** Which of the job's variants. */
  readonly variant?: string;
  /** Cut ends of a run before, where the same jobs are solved again and again. */
  readonly known?: KnownCuts;
}

/** How far a job came, with every problem met on the way, each with line and column. */
export interface Solved {
  readonly job?: Job;
  readonly source?: JobSource;
  readonly solution?: Solution;
  readonly problems: readonly Problem[];
}

/** Job text to numbers: read, check, solve. Touches no file. */
export function solveText({ text, sets, variant, known }: JobText): Solved {
  const loaded = loadJob(text, { sets, ...(variant === undefined ? {} : { variant }) });
  const source = loaded.source ? { source: loaded.source } : {};
  if (!loaded.value) return { ...source, problems: loaded.problems };
  const solved = solveJob(loaded.value, known);
  const problems = [...loaded.problems, ...located(solved.problems, loaded.source)];
  return { job: loaded.value, ...source, problems, ...(solved.value ? { solution: solved.value } : {}) };
}

/** Problems of a later stage carry a path only, and mm; the text at hand gives the line, and what the job is in. */
export const located = (problems: readonly Problem[], source: JobSource | undefined): readonly Problem[] =>
  source ? problems.map((problem) => locateProblem(inJobUnits(problem, source.units ?? 'mm'), source)) : problems;
