import type * as z from 'zod';
import type { Refusal } from './fields.ts';
import { FILE_LIMITS } from './limits.ts';
import type { JobPath, Problem, ProblemCode } from './problem.ts';
import { nameHint, nearestName } from './suggest.ts';
import { fieldLabel, kindOf, listed } from './wording.ts';

type Issue = z.core.$ZodIssue;

const EXPECTED: Readonly<Record<string, string>> = {
  object: 'a map of fields',
  record: 'a map of names',
  array: 'a list',
  number: 'a number',
  int: 'a whole number',
  string: 'text',
  boolean: 'true or false',
};

interface Told {
  readonly code: ProblemCode;
  readonly path: JobPath;
  readonly message: string;
  readonly hint?: string | undefined;
  readonly measured?: number;
  readonly limit?: number;
}

const problem = ({ hint, ...rest }: Told): Problem => ({
  ...rest,
  severity: 'error',
  ...(hint === undefined ? {} : { hint }),
});

/** What a schema found, as problems in plain words; `base` is the path of the part that was looked at. */
export function issueProblems(issues: readonly Issue[], base: JobPath): Problem[] {
  return issues
    .filter(isNoFollowUp)
    .flatMap((issue) =>
      issueProblem(issue, [...base, ...issue.path.map((step) => (typeof step === 'symbol' ? String(step) : step))]),
    );
}

/** A text where a list belongs has a length too, and is measured like one: that it is no list is told already. */
const isNoFollowUp = (issue: Issue, _: number, issues: readonly Issue[]): boolean =>
  (issue.code !== 'too_small' && issue.code !== 'too_big') ||
  !issues.some(({ code, path }) => code === 'invalid_type' && path.join('\n') === issue.path.join('\n'));

function issueProblem(issue: Issue, path: JobPath): Problem[] {
  const label = fieldLabel(path);
  switch (issue.code) {
    case 'custom':
      return [refused(issue, path)];
    case 'invalid_type':
      return [wrongType(path, issue.input, EXPECTED[issue.expected] ?? issue.expected)];
    case 'unrecognized_keys':
      // One more than is listed shows that there are more.
      return issue.keys
        .slice(0, FILE_LIMITS.problems + 1)
        .map((key) => unknownField(key, { path, known: issue.message.split(' ') }));
    case 'invalid_value':
      return [wrongChoice(path, issue.input, issue.values.map(String))];
    case 'invalid_union':
      if (issue.discriminator !== undefined) return [wrongKind(issue, path)];
      return unionProblems(issue, path);
    case 'invalid_key':
      return issueProblems(issue.issues, path);
    case 'too_small':
    case 'too_big':
      return [wrongAmount(issue, path)];
    default:
      return [
        problem({
          code: 'field/wrong-type',
          path,
          message: `${label} is ${kindOf(issue.input)}, which cannot stand here`,
        }),
      ];
  }
}

function refused(issue: z.core.$ZodIssueCustom, path: JobPath): Problem {
  const refusal: Refusal | undefined = issue.params?.refusal;
  if (!refusal) throw new Error(`internal: a check without a refusal at ${path.join('.')}`);
  const { label: how, ...rest } = refusal;
  const label = how === 'none' ? '' : `${fieldLabel(path)}${how === 'colon' ? ':' : ''} `;
  return problem({ ...rest, path, message: `${label}${rest.message}` });
}

const YES_NO: ReadonlyMap<unknown, string> = new Map([
  ['yes', 'true'],
  ['on', 'true'],
  ['y', 'true'],
  ['no', 'false'],
  ['off', 'false'],
  ['n', 'false'],
]);

function wrongType(path: JobPath, input: unknown, expected: string): Problem {
  const label = fieldLabel(path);
  if (input === undefined)
    return problem({
      code: 'field/missing',
      path,
      message: `${label} is missing`,
      hint: `add ${String(path.at(-1))}: ${expected}`,
    });
  if (input === null)
    return problem({ code: 'field/missing', path, message: `${label} is empty; it takes ${expected}` });
  const word =
    expected === 'true or false' ? YES_NO.get(typeof input === 'string' ? input.toLowerCase() : input) : undefined;
  const hint = word ? `write ${word}` : expected === 'text' ? `put it between quotes` : undefined;
  const shown = typeof input === 'object' || expected !== 'text' ? undefined : hint;
  return problem({
    code: 'field/wrong-type',
    path,
    message: `${label} is ${kindOf(input)}; it takes ${expected}`,
    hint: word ? hint : shown,
  });
}

function unknownField(key: string, { path, known }: { path: JobPath; known: readonly string[] }): Problem {
  const owner = path.length === 0 ? 'a job' : fieldLabel(path);
  const inRun = path[0] === 'members' && path[2] === 'run' && path.length === 4;
  if (key === 'taper' && inRun) {
    return problem({
      code: 'field/unsupported',
      path: [...path, key],
      message: 'a taper in a run is not made by this version',
      hint: 'use straights and bends',
    });
  }
  return problem({
    code: 'field/unknown',
    path: [...path, key],
    message: `"${key.slice(0, 40)}" is not a field of ${owner}`,
    hint: nameHint(key, known, 'fields'),
  });
}

function wrongChoice(path: JobPath, input: unknown, choices: readonly string[]): Problem {
  const label = fieldLabel(path);
  const takes = `it takes ${listed(choices, 'or')}`;
  if (input === undefined) return problem({ code: 'field/missing', path, message: `${label} is missing; ${takes}` });
  if (input === null) return problem({ code: 'field/missing', path, message: `${label} is empty; ${takes}` });
  const guess = typeof input === 'string' ? nearestName(input, choices) : undefined;
  const code = typeof input === 'object' || typeof input === 'boolean' ? 'field/wrong-type' : 'field/unknown-choice';
  return problem({
    code,
    path,
    message: `${label} is ${kindOf(input)}; ${takes}`,
    hint: guess && `did you mean ${guess}?`,
  });
}

/** The field that says which kind a map is. zod hands over the whole map. */
function wrongKind(issue: z.core.$ZodIssueInvalidUnion, path: JobPath): Problem {
  const field = issue.discriminator!;
  const input: unknown = issue.input;
  const value = typeof input === 'object' && input !== null ? Reflect.get(input, field) : undefined;
  const options = 'options' in issue ? (issue.options ?? []) : [];
  return wrongChoice(path, value, options.map(String));
}

/** Choices differ by the kind of value (text, list, map): only the choice of the given kind is worth talking about. */
function unionProblems(issue: z.core.$ZodIssueInvalidUnion, path: JobPath): Problem[] {
  const fitting = issue.errors.find((errors) => !errors.some((e) => otherKind(e, issue.input)));
  const expected = [...new Set(issue.errors.flatMap((errors) => errors.flatMap(expectedKinds)))];
  const word = fitting?.length === 1 && fitting[0]?.code === 'invalid_value' && fitting[0].path.length === 0;
  if (word) return [wrongChoice(path, issue.input, expected)];
  if (fitting) return issueProblems(fitting, path);
  if (expected.join() === 'a number,text') return [wrongType(path, issue.input, 'a number, with or without a unit')];
  return [wrongType(path, issue.input, listed(expected, 'or'))];
}

function otherKind(issue: Issue, input: unknown): boolean {
  if (issue.path.length > 0) return false;
  if (issue.code === 'invalid_type') return true;
  if (issue.code === 'invalid_value') return typeof input !== 'string' && typeof input !== 'number';
  return issue.code === 'invalid_union' && issue.errors.every((errors) => errors.some((e) => otherKind(e, input)));
}

function expectedKinds(issue: Issue): string[] {
  if (issue.path.length > 0) return [];
  if (issue.code === 'invalid_type') return [EXPECTED[issue.expected] ?? issue.expected];
  if (issue.code === 'invalid_value') return issue.values.map(String);
  return issue.code === 'invalid_union' ? issue.errors.flatMap((errors) => errors.flatMap(expectedKinds)) : [];
}

function wrongAmount(issue: z.core.$ZodIssueTooSmall | z.core.$ZodIssueTooBig, path: JobPath): Problem {
  const label = fieldLabel(path);
  const limit = Number(issue.code === 'too_small' ? issue.minimum : issue.maximum);
  const bound = issue.exact ? 'exactly' : issue.code === 'too_small' ? 'at least' : 'at most';
  const input: unknown = issue.input;
  const measured = Array.isArray(input) ? input.length : Number(input);
  const unit = Array.isArray(input) ? (measured === 1 ? ' entry' : ' entries') : '';
  return problem({
    code: 'field/out-of-range',
    path,
    message: `${label} ${Array.isArray(input) ? 'has' : 'is'} ${measured}${unit}; it takes ${bound} ${limit}`,
    ...(Number.isFinite(measured) ? { measured } : {}),
    limit,
  });
}
