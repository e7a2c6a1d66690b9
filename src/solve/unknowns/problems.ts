import { GOAL } from '../../geometry/tolerance.ts';
import type { RunMember } from '../../job/job.ts';
import type { JobPath, Problem } from '../../job/problem.ts';
import { lengthText, listed, quoted } from '../../job/wording.ts';
import { choose } from './choose.ts';
import type { CompiledGoal } from './goals.ts';
import type { Unknown } from './parameters.ts';
import { MOST_CHOICES, type Tried } from './stock.ts';
import { reaches, suggestions } from './suggest.ts';
import { missText, valuesText } from './told.ts';
import { type Answer, type Miss, type Question, type Verdict, valueText, verdictOf } from './verdict.ts';

/** Values of one member that are solved together: far more than a tube has that is drawn by hand. */
export const MOST_UNKNOWNS = 12;

type None = Extract<Verdict, { kind: 'none' }> & { readonly tried: readonly Tried[] };

export const noGoal = (spec: RunMember, { path, kind }: Unknown): Problem => ({
  code: 'unknown/no-goal',
  severity: 'error',
  path,
  message: `a ${kind} of ${quoted(spec.name)} is \`solve\`, but no goal says what it must reach`,
  hint: 'add `goal:` to the member, for instance `goal: { on-plane: { at: [0, 0, 0], normal: [1, 0, 0] } }`',
});

export const tooManyUnknowns = ({ spec, unknowns }: Question): Problem => ({
  code: 'field/out-of-range',
  severity: 'error',
  path: unknowns[MOST_UNKNOWNS]!.path,
  message: `${quoted(spec.name)} has ${unknowns.length} values to solve; at most ${MOST_UNKNOWNS} are solved together`,
  hint: 'give some of them numbers, let equal ones share a name, or part the member in two',
  measured: unknowns.length,
  limit: MOST_UNKNOWNS,
});

export const tooManyChoices = (spec: RunMember, { path }: Unknown, choices: number): Problem => ({
  code: 'field/out-of-range',
  severity: 'error',
  path,
  message: `the lists of ${quoted(spec.name)} make ${choices} choices; at most ${MOST_CHOICES} are tried`,
  hint: 'shorten the lists, or let two places share one by a name',
  measured: choices,
  limit: MOST_CHOICES,
});

/** A run of numbers only that does not reach its goal. */
export function notMet({ spec, units }: Question, miss: Miss): Problem {
  return {
    code: 'unknown/none',
    severity: 'error',
    path: miss.goal.goal.path,
    message: `nothing in the run of ${quoted(spec.name)} is \`solve\`, and it misses ${missText([miss], units)}`,
    hint: 'write `solve` for a straight, a bend angle or a rotation, or take the goal away',
    measured: miss.miss,
    limit: 0,
  };
}

const fixedBy = (goals: readonly CompiledGoal[]): number => goals.reduce((sum, { fixes }) => sum + fixes, 0);

/** More numbers are open than the goals fix. */
export function freeProblem(
  { spec, unknowns }: Question,
  { free, rank }: { readonly free: readonly Unknown[]; readonly rank: number },
): Problem {
  const more = Math.max(1, unknowns.filter(({ wanted }) => !wanted.oneOf).length - rank);
  const stay = free.length > 0 ? free : unknowns;
  return {
    code: 'unknown/too-many',
    severity: 'error',
    path: stay.at(-1)!.path,
    message: `the goals of ${quoted(spec.name)} fix ${rank} of its ${unknowns.length} values to solve: ${listed(stay.map(({ what }) => what))} ${stay.length > 1 ? 'stay' : 'stays'} free`,
    hint: `add goals that fix ${more} more, or write ${more === 1 ? 'a number for one of them' : `numbers for ${more} of them`}; equal ones may share a name: \`solve a\``,
    measured: unknowns.length,
    limit: rank,
  };
}

/** Nothing meets the goals: because they clash, or because the tube does not reach. */
export function notSolved(question: Question, verdict: None): Problem {
  const { unknowns, goals, units } = question;
  const { misses, tried } = verdict;
  const refused = [...new Set(verdict.refused)];
  if (refused.length === 0 && tried.length === 0 && goals.length > 1 && fixedBy(goals) > unknowns.length)
    return clashProblem(question, verdict);
  const first = unknowns[0]!;
  const worst = Math.max(0, ...misses.map(({ miss }) => miss));
  const problem = (message: string, hint: string): Problem => ({
    code: 'unknown/no-solution',
    severity: 'error',
    path: first.path,
    message,
    hint,
    measured: worst,
    limit: 0,
  });
  const name = quoted(question.spec.name);
  if (tried.length > 0) {
    const told = listed(tried.slice(0, 12).map(({ choice, why }) => `${choice}: ${why}`));
    const more = tried.length > 12 ? `, and ${tried.length - 12} more` : '';
    const list = unknowns.find(({ wanted }) => wanted.oneOf) ?? first;
    return {
      ...problem(`none of the choices of ${name} meets its goals (${told}${more})`, hintOf(question, verdict)),
      path: list.path,
    };
  }
  const nearest = `the nearest it comes misses ${missText(misses, units)}, with ${valuesText(unknowns, { values: verdict.nearest, units })}`;
  if (refused.length > 0)
    return problem(
      `nothing a tube can have meets the goals of ${name}: ${refused.slice(0, 3).join('; or ')}`,
      hintOf(question, verdict, worst > GOAL ? nearest : undefined),
    );
  return problem(`nothing meets the goals of ${name}: ${nearest}`, hintOf(question, verdict));
}

function hintOf(question: Question, { nearest }: None, more?: string): string {
  const would = [...withoutLists(question), ...suggestions(question, nearest)];
  const cure = would.length > 0 ? `${listed(would, 'or')} would do` : 'move the goal, or leave another number to solve';
  return more === undefined ? cure : `${cure}; as it is, ${more}`;
}

/** What would be chosen if everything were in stock. */
function withoutLists(question: Question): readonly string[] {
  if (!question.unknowns.some(({ wanted }) => wanted.oneOf)) return [];
  const unknowns = question.unknowns.map((unknown): Unknown => {
    const { oneOf: _, ...wanted } = unknown.wanted;
    return { ...unknown, wanted };
  });
  const verdict = verdictOf({ ...question, unknowns });
  if (verdict.kind !== 'answers') return [];
  const { answers } = choose(unknowns, verdict.answers);
  return [valuesText(unknowns, { values: answers[0]!.values, units: question.units })];
}

/** Says what the best compromise misses, and which goal alone stands in the way. */
function clashProblem(question: Question, { misses, nearest }: None): Problem {
  const { spec, goals, units } = question;
  const worst = misses.reduce((most, miss) => (miss.miss > most.miss ? miss : most));
  const alone = goals.filter((goal) => {
    const rest = goals.filter((other) => other.goal !== goal.goal);
    return rest.length > 0 && reaches({ ...question, goals: rest }, nearest);
  });
  const names = [...new Set(alone.map(({ name }) => name))];
  return {
    code: 'unknown/goals-clash',
    severity: 'error',
    path: worst.goal.goal.path,
    message: `the goals of ${quoted(spec.name)} clash: the best compromise misses ${missText(misses, units)}`,
    hint:
      names.length > 0
        ? `without ${listed(names, 'or')} the others can be met; or leave another number to solve`
        : 'take goals away, or leave more numbers to solve',
    measured: worst.miss,
    limit: 0,
  };
}

/** Several answers, and the file does not say which is wanted. */
export function severalAnswers({ spec, unknowns, units }: Question, answers: readonly Answer[]): Problem {
  const told = answers
    .slice(0, 6)
    .map(
      ({ values, developedLength }) =>
        `${valuesText(unknowns, { values, units })} (${lengthText(developedLength, units)} of tube)`,
    );
  const more = answers.length > 6 ? `; and ${answers.length - 6} more` : '';
  const [best, next] = answers;
  const differ = unknowns.findIndex((_, k) => Math.abs(best!.values[k]! - next!.values[k]!) > 1e-3);
  const unknown = unknowns[Math.max(0, differ)]!;
  return {
    code: 'unknown/two-solutions',
    severity: 'warning',
    path: unknown.path,
    message: `${answers.length} answers meet the goals of ${quoted(spec.name)}: ${told.join('; ')}${more}; the first is taken, it has the least bend in all`,
    hint: nearHint(unknown, plainValue(unknown, next!.values[Math.max(0, differ)]!, units)),
    measured: answers.length,
    limit: 1,
  };
}

/** How to ask for another answer than the one taken. */
function nearHint({ wanted, what }: Unknown, value: string): string {
  const { near, between, oneOf, name } = wanted;
  if (near !== undefined) return `near is as far from one as from the other; for instance near: ${value} for ${what}`;
  if (between || oneOf) return `say which: add for instance near: ${value} to the ${what}`;
  return `say which, for instance { ${name === undefined ? '' : `solve: ${name}, `}near: ${value} } in place of solve`;
}

const plainValue = (unknown: Unknown, value: number, units: 'mm' | 'in'): string =>
  valueText(unknown, value, units).split(' ')[0]!;

/** Goals written to a few decimals that agree only so well. */
export const roundedGoals = ({ spec, units }: Question, misses: readonly Miss[]): Problem => ({
  code: 'unknown/goals-clash',
  severity: 'warning',
  path: pathOfWorst(misses),
  message: `the goals of ${quoted(spec.name)} do not quite agree: they are met but for ${missText(misses, units)}`,
  hint: 'give their numbers to more decimals, or leave one of them out',
  measured: Math.max(...misses.map(({ miss }) => miss)),
  limit: 0,
});

const pathOfWorst = (misses: readonly Miss[]): JobPath =>
  misses.reduce((most, miss) => (miss.miss > most.miss ? miss : most)).goal.goal.path;

/** What the file asks of the answer, for the report. */
export function asked(unknown: Unknown, units: 'mm' | 'in'): readonly string[] {
  const { what, wanted } = unknown;
  const { near, between, oneOf } = wanted;
  const tell = (value: number): string => valueText(unknown, value, units);
  return [
    ...(near === undefined ? [] : [`${what} near ${tell(near)}`]),
    ...(between === undefined ? [] : [`${what} between ${tell(between[0])} and ${tell(between[1])}`]),
    ...(oneOf === undefined ? [] : [`${what} one of ${oneOf.map(tell).join(', ')}`]),
  ];
}
