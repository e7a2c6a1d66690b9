import { ROUNDED_GOAL, SAME_PLACE } from '../geometry/tolerance.ts';
import type { RunItem, RunMember } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import type { Member, Solving } from './solution.ts';
import { choose } from './unknowns/choose.ts';
import { type CompiledGoal, compileGoal } from './unknowns/goals.ts';
import { unknownsOf, withValues } from './unknowns/parameters.ts';
import {
  asked,
  freeProblem,
  MOST_UNKNOWNS,
  noGoal,
  notMet,
  notSolved,
  roundedGoals,
  severalAnswers,
  tooManyChoices,
  tooManyUnknowns,
} from './unknowns/problems.ts';
import { MOST_CHOICES, stockVerdict } from './unknowns/stock.ts';
import { verdictOf } from './unknowns/verdict.ts';

export interface SolvedRun {
  readonly run: readonly RunItem[];
  readonly solved: Member['solved'];
  readonly solving?: Solving;
}

export interface Surroundings {
  readonly units: 'mm' | 'in';
  readonly memberNamed: (name: string) => Member | undefined;
}

/**
 * Find the straights, bend angles and rotations of a run that are left to its goals: known patterns in closed form, the
 * rest by damped least squares; an answer meets every goal to 1e-9 mm.
 */
export function solveRun(spec: RunMember, { units, memberNamed }: Surroundings): Outcome<SolvedRun> {
  const compiled = spec.goals.map((goal) => compileGoal(goal, memberNamed));
  const goals = compiled.flatMap(({ value }) => value ?? []);
  if (compiled.some(({ value }) => !value)) return { problems: compiled.flatMap(({ problems }) => problems) };
  const unknowns = unknownsOf(spec.run);
  if (unknowns.length === 0) return checkKnown(spec, goals, units);
  const first = unknowns[0]!;
  if (goals.length === 0) return { problems: [noGoal(spec, first)] };
  const choices = unknowns.reduce((count, { wanted }) => count * (wanted.oneOf?.length ?? 1), 1);
  if (choices > MOST_CHOICES) return { problems: [tooManyChoices(spec, first, choices)] };
  const question = { spec, unknowns, goals, units };
  if (unknowns.length > MOST_UNKNOWNS) return { problems: [tooManyUnknowns(question)] };
  const verdict = stockVerdict(question);
  if (verdict.kind === 'free') return { problems: [freeProblem(question, verdict)] };
  if (verdict.kind === 'none') return { problems: [notSolved(question, verdict)] };
  const { answers, by } = choose(unknowns, verdict.answers);
  const best = answers[0]!;
  const problems: Problem[] = [
    ...(by === 'least bend' ? [severalAnswers(question, answers)] : []),
    ...(best.misses ? [roundedGoals(question, best.misses)] : []),
  ];
  const rows = (values: readonly number[]): Member['solved'] =>
    unknowns.map(({ path, what, unit }, k) => ({ path, what, unit, value: values[k]! }));
  return {
    value: {
      run: withValues(spec.run, unknowns, best.values),
      solved: rows(best.values),
      solving: {
        by,
        others: answers.slice(1).map(({ values, developedLength }) => ({ solved: rows(values), developedLength })),
        tried: verdict.tried,
        wanted: unknowns.flatMap((unknown) => asked(unknown, units)),
      },
    },
    problems,
  };
}

/** Goals of a run without unknowns are checks. */
function checkKnown(spec: RunMember, goals: readonly CompiledGoal[], units: 'mm' | 'in'): Outcome<SolvedRun> {
  const value = { run: spec.run, solved: [] };
  if (goals.length === 0) return { value, problems: [] };
  const question = { spec, unknowns: [], goals, units };
  const verdict = verdictOf(question);
  if (verdict.kind === 'answers') {
    const misses = verdict.answers[0]?.misses ?? [];
    const told = misses.some(({ miss }) => miss > SAME_PLACE * 1e3);
    return { value, problems: told ? [roundedGoals(question, misses)] : [] };
  }
  if (verdict.kind === 'free') throw new Error('internal: no unknowns, and some are free');
  return { problems: verdict.misses.filter(({ miss }) => miss > ROUNDED_GOAL).map((miss) => notMet(question, miss)) };
}
