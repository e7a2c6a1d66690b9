import { describe, expect, it } from 'vitest';
import type { Problem } from '../../src/job/problem.ts';
import { renderProblem, visible } from '../../src/job/render.ts';

const text = `${'#\n'.repeat(13)}    straight: 31\nnext: 1\n`;
const problem: Problem = {
  code: 'bend/leg-too-short',
  severity: 'error',
  path: [],
  at: { line: 14, col: 15, width: 2 },
  message: 'leg 2 is 31 mm between bend corners; its two setbacks need 39 mm',
  hint: 'lengthen leg 2 by 8 mm, or use a smaller clr',
};

describe('a problem on the terminal', () => {
  it('shows place, code, message, the marked line and the hint', () => {
    expect(renderProblem(problem, { fileName: 'bracket.yaml', text })).toBe(
      [
        'bracket.yaml:14:15  bend/leg-too-short',
        '  leg 2 is 31 mm between bend corners; its two setbacks need 39 mm',
        '      14 |     straight: 31',
        '         |               ^^',
        '  hint: lengthen leg 2 by 8 mm, or use a smaller clr',
      ].join('\n'),
    );
  });

  it('says when it is a warning only', () => {
    const shown = renderProblem({ ...problem, severity: 'warning' }, { fileName: 'b.yaml' });
    expect(shown.split('\n')[0]).toBe('b.yaml:14:15  warning  bend/leg-too-short');
  });

  it('does without text, place and hint', () => {
    const { at: _, hint: __, ...bare } = problem;
    expect(renderProblem(bare, { fileName: 'b.yaml', text })).toBe(`b.yaml  bend/leg-too-short\n  ${problem.message}`);
    expect(renderProblem({ ...bare, at: { line: 999, col: 1 } }, { fileName: 'b.yaml', text })).not.toContain('|');
  });

  it('colors only when asked', () => {
    expect(renderProblem(problem, { fileName: 'b.yaml', text })).not.toContain('\u001b');
    expect(renderProblem(problem, { fileName: 'b.yaml', text, color: true })).toContain('\u001b[31mbend/leg-too-short');
  });

  it('lets no control character of the file through', () => {
    const evil = 'x: "\u001b[2J\u0007\u009b31m\u202e"\r\n';
    const shown = renderProblem(
      { ...problem, message: evil, hint: evil, at: { line: 1, col: 4, width: 9 } },
      { fileName: `a${evil}`, text: evil },
    );
    // biome-ignore lint/suspicious/noControlCharactersInRegex: the control characters are what is looked for
    expect(shown.replaceAll('\n', '')).not.toMatch(/[\u0000-\u001f\u007f-\u009f\u202a-\u202e]/);
    expect(shown).toContain('\u241b[2J');
  });

  it('keeps the mark below the value when wide and combining letters stand before it', () => {
    const line = 'a: [管, e\u0301, 31]';
    const shown = renderProblem(
      { ...problem, at: { line: 1, col: line.indexOf('31') + 1, width: 2 } },
      { fileName: 'b', text: line },
    );
    const mark = shown.split('\n')[3]!.split('| ')[1]!;
    // One column more for the ideograph, one less for the combining accent.
    expect(mark).toBe(`${' '.repeat(line.indexOf('31'))}^^`);
  });

  it('cuts a long line round the place', () => {
    const line = `about: ${'x'.repeat(5000)}!${'y'.repeat(5000)}`;
    const shown = renderProblem(
      { ...problem, at: { line: 1, col: line.indexOf('!') + 1, width: 1 } },
      { fileName: 'b', text: line },
    ).split('\n');
    expect(shown[2]!.length).toBeLessThan(130);
    expect(shown[3]!.indexOf('^')).toBe(shown[2]!.indexOf('!'));
  });

  it('keeps a lone surrogate and a tab from moving the mark', () => {
    expect(visible('\ud800\t\u007f')).toBe('\ufffd \u2421');
  });
});
