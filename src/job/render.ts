import { styleText } from 'node:util';
import type { Problem } from './problem.ts';
import { wrapText } from './wrap-text.ts';

export interface RenderOptions {
  readonly fileName: string;
  /** Text of the file, for the source line. */
  readonly text?: string;
  /** Color the parts for a terminal. */
  readonly color?: boolean;
  /** Columns that messages and hints are set within, and the line of the file is cut to; whole lines unless given. */
  readonly width?: number;
}

/** Columns of source shown; longer lines are cut round the place. Beside them stand the line's number and a rule. */
const SHOWN = 100;
const BESIDE = 11;
const LEAST_SHOWN = 40;
/** What stands for the parts of a line that are left out. */
const LEFT_OUT = '...';

/**
 * A problem as people read it: place and code, message, the line of the file with the place marked, hint. Nothing from the
 * file reaches the terminal as a control character.
 */
export function renderProblem(problem: Problem, { fileName, text, color = false, width }: RenderOptions): string {
  type Style = Parameters<typeof styleText>[0];
  const paint = (style: Style, part: string): string =>
    color ? styleText(style, part, { validateStream: false }) : part;
  const { at, code, severity, message, hint } = problem;
  const place = [fileName, ...(at ? [at.line, at.col] : [])].join(':');
  const loud = severity === 'error' ? 'red' : 'yellow';
  const mark = severity === 'warning' ? `${paint(loud, 'warning')}  ` : '';
  const within = width === undefined ? { width: Number.POSITIVE_INFINITY } : { width };
  const lines = [
    `${paint('bold', visible(place))}  ${mark}${paint(loud, visible(code))}`,
    ...wrapText(visible(message), { indent: 2, ...within }),
  ];
  const source = at && text !== undefined ? sourceLine(text, at.line) : undefined;
  if (at && source !== undefined) {
    const room = width === undefined ? SHOWN : Math.max(LEAST_SHOWN, width - BESIDE);
    const { shown, indent, width: marked } = excerpt(source, { col: at.col, width: at.width ?? 1, room });
    const number = String(at.line).padStart(8);
    lines.push(
      `${paint('dim', `${number} |`)} ${shown}`,
      `${paint('dim', `${' '.repeat(number.length)} |`)} ${' '.repeat(indent)}${paint(loud, '^'.repeat(marked))}`,
    );
  }
  if (hint !== undefined) lines.push(...wrapText(`hint: ${visible(hint)}`, { indent: 2, hanging: 8, ...within }));
  return lines.map((line) => line.trimEnd()).join('\n');
}

/** All problems of a file, an empty line between them. */
export const renderProblems = (problems: readonly Problem[], options: RenderOptions): string =>
  problems.map((problem) => renderProblem(problem, options)).join('\n\n');

function sourceLine(text: string, line: number): string | undefined {
  let from = 0;
  for (let i = 1; i < line; i++) {
    const next = text.indexOf('\n', from);
    if (next < 0) return undefined;
    from = next + 1;
  }
  const end = text.indexOf('\n', from);
  return text.slice(from, end < 0 ? text.length : end).replace(/\r$/, '');
}

/** The part of the line round the place, and where the mark goes, in columns of a terminal. */
function excerpt(
  line: string,
  { col, width, room }: { readonly col: number; readonly width: number; readonly room: number },
): { shown: string; indent: number; width: number } {
  const start = Math.min(col - 1, line.length);
  const long = line.length > room;
  const taken = room - (long ? 2 * LEFT_OUT.length : 0);
  const cut = long && start + Math.min(width, taken) > taken - 6 ? Math.max(0, start - Math.floor(taken / 2)) : 0;
  const tail = line.length - cut > taken;
  const before = `${cut > 0 ? LEFT_OUT : ''}${visible(line.slice(cut, start))}`;
  const marked = visible(line.slice(start, Math.min(start + width, cut + taken)));
  const after = visible(line.slice(Math.min(start + width, cut + taken), cut + taken));
  return {
    shown: `${before}${marked}${after}${tail ? LEFT_OUT : ''}`,
    indent: columns(before),
    width: Math.max(1, columns(marked)),
  };
}

/** Text with every character that could steer a terminal, hide or reorder text replaced by one that shows it. */
export function visible(text: string): string {
  return text.replace(
    /[\p{Cc}\p{Cs}\p{Zl}\p{Zp}\u061c\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]/gu,
    (sign) => {
      const point = sign.codePointAt(0)!;
      if (sign === '\t') return ' ';
      if (point < 0x20) return String.fromCodePoint(0x2400 + point);
      return point === 0x7f ? '\u2421' : '\ufffd';
    },
  );
}

/** Columns on a terminal: marks take none, ideographs and pictures two. */
function columns(text: string): number {
  let count = 0;
  for (const sign of text) {
    if (/\p{M}/u.test(sign)) continue;
    count +=
      /[\p{Script=Han}\p{Script=Hiragana}\p{Script=Katakana}\p{Script=Hangul}\p{Emoji_Presentation}\uff01-\uff60]/u.test(
        sign,
      )
        ? 2
        : 1;
  }
  return count;
}
