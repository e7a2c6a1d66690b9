import { describe, expect, it } from 'vitest';
import { withOwnLists } from '../../src/cli/own-lists.ts';

describe('what came from another thread', () => {
  const made = {
    name: 'guide',
    at: [1.5, 0, -2.25],
    loops: [
      [
        [0, 0.5],
        [1, 2],
      ],
    ],
    mixed: [1, 'two', { deep: [0.1, 0.2, 0.3, 0.4] }],
    mesh: { positions: new Float64Array([1, 2, 3]) },
    told: undefined,
    nothing: null,
    empty: [],
    table: new Map([['a', [1, 2]]]),
  };

  it('says the same', () => {
    expect(withOwnLists(structuredClone(made))).toEqual(made);
  });

  it('has new lists of numbers, shared where they were shared; the rest is as it came', () => {
    const point = [1.5, 2.5, 3.5];
    const came = structuredClone({ first: { point }, second: { point }, typed: new Float64Array(3) });
    const { point: before } = came.first;
    const { typed } = came;
    const own = withOwnLists(came);
    expect(own).toBe(came);
    expect(own.first.point).not.toBe(before);
    expect(own.second.point).toBe(own.first.point);
    expect(own.typed).toBe(typed);
  });

  it('may hold itself', () => {
    const ring: { self?: unknown; list: readonly number[] } = { list: [1, 2] };
    ring.self = ring;
    const own = withOwnLists(structuredClone(ring));
    expect(own.self).toBe(own);
  });
});
