import { describe, expect, it } from 'vitest';
import { globMatches } from '../../src/cli/glob.ts';

describe('a name pattern', () => {
  it.each([
    ['rail', 'rail', true],
    ['rail', 'rails', false],
    ['*', '', true],
    ['*', 'anything-at.all', true],
    ['rail-*', 'rail-end', true],
    ['rail-*', 'rail', false],
    ['*-saw-guide', 'leg-end-saw-guide', true],
    ['*end*', 'leg-end-saw-guide', true],
    ['*a*b', 'aab-ab', true],
    ['*a*b', 'aab-aba', false],
    ['le?', 'leg', true],
    ['le?', 'le', false],
    ['leg[12]', 'leg2', true],
    ['leg[12]', 'leg3', false],
    ['leg[1-3]', 'leg3', true],
    ['leg[!1-3]', 'leg3', false],
    ['leg[!1-3]', 'leg4', true],
    ['leg[]]', 'leg]', true],
    ['leg[', 'leg[', true],
    ['{left,right}-leg', 'right-leg', true],
    ['{left,right}-leg', 'middle-leg', false],
    ['{a,b{c,d}}x', 'bdx', true],
    ['{a}', '{a}', true],
    ['{a,b', '{a,b', true],
    ['{,un}done', 'done', true],
    ['LEG', 'leg', false],
    ['a.b', 'axb', false],
    ['?', '\u{1f600}', true],
  ])('%s against %s: %s', (pattern, name, expected) => {
    expect(globMatches(pattern, name)).toBe(expected);
  });

  it('that is hostile is answered: trying every split would take longer than the universe has', () => {
    expect(globMatches(`${'*a'.repeat(200)}b`, 'a'.repeat(500))).toBe(false);
    expect(globMatches('{a,b}'.repeat(30), 'a'.repeat(30))).toBe(true);
    expect(globMatches('{'.repeat(2000), 'x')).toBe(false);
  });
});
