import { describe, expect, it } from 'vitest';
import { editDistance, nameHint, nearestName } from '../../src/job/suggest.ts';

describe('did you mean', () => {
  it('counts letters added, dropped, changed and swapped', () => {
    expect(editDistance('', '')).toBe(0);
    expect(editDistance('wall', 'wal')).toBe(1);
    expect(editDistance('wall', 'wlal')).toBe(1);
    expect(editDistance('miter', 'mitre')).toBe(1);
    expect(editDistance('kitten', 'sitting')).toBe(3);
  });

  it('finds the near name and is silent about far ones', () => {
    const fields = ['kind', 'od', 'wall', 'corner-radius', 'straight', 'clr'];
    expect(nearestName('wal', fields)).toBe('wall');
    expect(nearestName('cornerRadius', fields)).toBe('corner-radius');
    expect(nearestName('Straight', fields)).toBe('straight');
    expect(nearestName('thickness', fields)).toBe('wall');
    expect(nearestName('radius', fields)).toBe('clr');
    expect(nearestName('banana', fields)).toBeUndefined();
    expect(nearestName('x', ['a'])).toBeUndefined();
    expect(nearestName('', fields)).toBeUndefined();
  });

  it('lists the names when none is near', () => {
    expect(nameHint('zz', ['alpha', 'beta'], 'members')).toBe('members: alpha, beta');
    expect(nameHint('zz', [], 'members')).toBe('this job has no members yet');
  });
});
