import type { Deg, Mm } from '../geometry/vector.ts';
import { figure, type JobPath, type Problem } from './problem.ts';

const SHOWN = 40;

/** A value from the file between quotes, shortened. */
export function quoted(text: string): string {
  const line = text.replace(/\s+/g, ' ');
  return `"${line.length > SHOWN ? `${line.slice(0, SHOWN - 3)}...` : line}"`;
}

/** A length in the words of the job: 31 mm, or 1.22 in. */
export function lengthText(mm: Mm, units: 'mm' | 'in'): string {
  return units === 'mm' ? `${figure(mm)} mm` : `${figure(mm / 25.4)} in`;
}

const MM = /(-?\d+(?:\.\d+)?(?:(?: x | to )-?\d+(?:\.\d+)?)*) mm(?![\w^])/g;
const MM2 = /(-?\d+(?:\.\d+)?(?:, -?\d+(?:\.\d+)?)*) mm\^2/g;
const NUMBER = /-?\d+(?:\.\d+)?/g;

/**
 * A problem of a job in inches, told in inches: stages work in mm, and so do most of their messages. What is measured on a
 * print stays in mm, as slicers and printers are.
 */
export function inJobUnits(problem: Problem, units: 'mm' | 'in'): Problem {
  if (units === 'mm' || problem.code.startsWith('proof/')) return problem;
  const told = (text: string): string =>
    text
      .replace(MM, (_, numbers: string) => `${numbers.replace(NUMBER, (x) => figure(Number(x) / 25.4))} in`)
      .replace(MM2, (_, numbers: string) => `${numbers.replace(NUMBER, (x) => figure(Number(x) / 25.4 ** 2))} in^2`);
  return { ...problem, message: told(problem.message), ...(problem.hint ? { hint: told(problem.hint) } : {}) };
}

export const angleText = (deg: Deg): string => `${figure(deg)} deg`;

/** What kind of value the file holds at a place, in plain words. */
export function kindOf(value: unknown): string {
  if (value === null || value === undefined) return 'empty';
  if (Array.isArray(value)) return 'a list';
  if (typeof value === 'object') return 'a map of fields';
  if (typeof value === 'boolean') return String(value);
  if (typeof value === 'number') return `the number ${String(value)}`;
  return `the text ${quoted(String(value))}`;
}

const NAMED: Readonly<Record<string, string>> = {
  sections: 'section',
  members: 'member',
  'keep-out': 'keep-out',
  openings: 'opening',
};
const ORDINARY: Readonly<Record<string, string>> = { joints: 'joint', tools: 'tool' };

/** A field by name and owner, as a person would say it: "od of leg", "gap of joint 2", "clr of trunk, run item 3". */
export function fieldLabel(path: JobPath): string {
  const [top, second] = path;
  const last = path.at(-1);
  if (last === undefined) return 'the job';
  const named = typeof top === 'string' && Object.hasOwn(NAMED, top) && typeof second === 'string';
  if (named && path.length === 2) return `${NAMED[top]} ${second}`;
  const listed = typeof top === 'string' && Object.hasOwn(ORDINARY, top) && typeof second === 'number';
  if (listed && path.length === 2) return `${ORDINARY[top]} ${second + 1}`;
  const owner = named
    ? second
    : listed
      ? `${ORDINARY[top]} ${second + 1}`
      : top === 'shop' && path.length > 1
        ? 'the shop'
        : '';
  return `${innerLabel(path)}${owner && ` of ${owner}`}`;
}

/** Name of the last field; a number is counted from one, in the list that holds it. */
function innerLabel(path: JobPath): string {
  const last = path.at(-1);
  const parent = path.at(-2);
  const inRun = path.indexOf('run') === 2 && typeof path[3] === 'number' && path[0] === 'members';
  const item = inRun ? `run item ${Number(path[3]) + 1}` : '';
  if (typeof last !== 'number') return inRun && path.length > 4 ? `${last} in ${item}` : String(last);
  if (inRun && path.length === 4) return item;
  return `${parent === 'points' ? 'point' : `item`} ${last + 1}${parent === 'points' || parent === undefined ? '' : ` of ${parent}`}`;
}

/** a, b and c. */
export function listed(words: readonly string[], joining: 'and' | 'or' = 'and'): string {
  if (words.length <= 1) return words.join('');
  return `${words.slice(0, -1).join(', ')} ${joining} ${words.at(-1)}`;
}
