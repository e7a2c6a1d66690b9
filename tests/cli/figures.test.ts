import { describe, expect, it } from 'vitest';
import { columns, wrapped } from '../../src/cli/columns.ts';
import { inchFraction, lengthFigure, lengthText, plain } from '../../src/export/sheet-figures.ts';

describe('a length in inches', () => {
  it.each([
    [25.4, '1'],
    [12.7, '1/2'],
    [316.42, '12-29/64'],
    [0, '0'],
    [0.1, '0'],
    [-0.1, '0'],
    [-12.7, '-1/2'],
    [25.4 * (1 - 1 / 256), '1'],
    [25.4 / 64, '1/64'],
    [25.4 * 3.375, '3-3/8'],
  ])('of %f mm is %s to the nearest 64th', (mm, text) => {
    expect(inchFraction(mm)).toBe(text);
  });

  it('is never off by more than a 128th', () => {
    for (let mm = 0; mm < 100; mm += 0.37) {
      const [, whole = '0', over = '0', under = '1'] = /^(\d+)?-?(?:(\d+)\/(\d+))?$/.exec(inchFraction(mm)) ?? [];
      const inches =
        inchFraction(mm).includes('/') && !inchFraction(mm).includes('-')
          ? Number(inchFraction(mm).split('/')[0]) / Number(inchFraction(mm).split('/')[1])
          : Number(whole) + Number(over) / Number(under);
      expect(Math.abs(inches - mm / 25.4)).toBeLessThanOrEqual(1 / 128 + 1e-12);
    }
  });
});

describe('figures', () => {
  it('carry their unit, and never a negative zero', () => {
    expect(lengthText(316.4, 'mm')).toBe('316.40 mm');
    expect(lengthText(316.42, 'in')).toBe('12.457 in (12-29/64)');
    expect(lengthFigure(-0.0001, 'mm')).toBe('0.00');
    expect([plain(-0.4, 0), plain(-0.6, 0)]).toEqual(['0', '-1']);
  });
});

describe('a table', () => {
  it('sets numbers right, words left, and leaves no blanks behind', () => {
    const table = columns({
      heads: ['a', 'bb'],
      sides: ['left', 'right'],
      rows: [
        ['long', '1'],
        ['x', ''],
      ],
    });
    expect(table).toEqual(['  a     bb', '  long   1', '  x']);
  });

  it('wraps words at 80 columns', () => {
    const lines = wrapped('word '.repeat(40).trim(), 4);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(80);
    expect(
      lines
        .join(' ')
        .split(/\s+/)
        .filter((w) => w === 'word'),
    ).toHaveLength(40);
  });
});
