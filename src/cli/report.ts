import type { Problem } from '../job/problem.ts';
import { renderProblems, visible } from '../job/render.ts';
import { WIDTH, wrapText } from '../job/wrap-text.ts';
import type { Io } from './io.ts';
import { colored, counted } from './terminal.ts';

/** A job file's problems on stderr, then how many there are and what that means. */
export function tellProblems(
  io: Io,
  told: {
    readonly label: string;
    readonly text?: string;
    readonly problems: readonly Problem[];
    readonly outcome?: string;
    /** Which of the file's variants they are of. */
    readonly variant?: string;
    /** Values put over the file: a problem that names a whole joint does not say which of its values came from here. */
    readonly sets?: readonly string[];
  },
): void {
  if (told.problems.length === 0) return;
  const options = {
    fileName: told.label,
    color: colored(io, io.stderr),
    width: WIDTH,
    ...(told.text === undefined ? {} : { text: told.text }),
  };
  const sets = (told.sets ?? []).map((set) => ` --set ${visible(set)}`).join('');
  const variant = told.variant === undefined ? '' : `, variant ${visible(told.variant)}`;
  const outcome = told.outcome === undefined ? '' : `; ${told.outcome}`;
  const account = `${visible(told.label)}${variant}${sets === '' ? '' : ` with${sets}`}: ${countsOf(told.problems)}${outcome}`;
  const lines = wrapText(account, { indent: 0, hanging: 2 });
  io.stderr.write(`${renderProblems(told.problems, options)}\n\n${lines.join('\n')}\n`);
}

/** `2 errors, 1 warning`. */
export function countsOf(problems: readonly Problem[]): string {
  const errors = problems.filter((problem) => problem.severity === 'error').length;
  const warnings = problems.length - errors;
  const parts = [errors > 0 ? counted(errors, 'error') : '', warnings > 0 ? counted(warnings, 'warning') : ''];
  return parts.filter((part) => part !== '').join(', ') || 'no problems';
}

/** A problem as JSON carries it, always with the same keys in the same order. */
export const problemJson = (problem: Problem): object => ({
  code: problem.code,
  severity: problem.severity,
  line: problem.at?.line ?? null,
  col: problem.at?.col ?? null,
  path: problem.path,
  message: problem.message,
  hint: problem.hint ?? null,
  measured: problem.measured ?? null,
  limit: problem.limit ?? null,
});
