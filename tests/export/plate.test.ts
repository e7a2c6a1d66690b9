import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { layOutPlates, type PlateLayout, type PlatePart, standAt } from '../../src/export/plate.ts';
import { place } from '../../src/geometry/placement.ts';

const bed = [220, 200] as const;
const spacing = 6;
const part = (x: number, y: number): PlatePart => ({ name: 'part', size: [x, y] });

/** What is wrong with a layout: parts off the bed, or nearer together than the spacing. */
function clashes(parts: readonly PlatePart[], layout: PlateLayout): string[] {
  return layout.plates.flatMap(({ items }) => {
    const rooms = items.map(({ part: i, at, turned }) => {
      const [x, y] = parts[i]!.size;
      return { x0: at[0], y0: at[1], x1: at[0] + (turned ? y : x), y1: at[1] + (turned ? x : y) };
    });
    const off = rooms
      .filter((r) => r.x0 < -1e-9 || r.y0 < -1e-9 || r.x1 > bed[0] + 1e-9 || r.y1 > bed[1] + 1e-9)
      .map(() => 'off the bed');
    const near = rooms.flatMap((r, i) =>
      rooms
        .slice(i + 1)
        .filter((q) => Math.max(q.x0 - r.x1, r.x0 - q.x1, q.y0 - r.y1, r.y0 - q.y1) < spacing - 1e-9)
        .map(() => 'too near'),
    );
    return [...off, ...near];
  });
}

describe('laying parts out on plates', () => {
  it('puts every part on a bed once, inside it and apart from the others', () => {
    const sizes = fc.array(fc.tuple(fc.integer({ min: 5, max: 240 }), fc.integer({ min: 5, max: 240 })), {
      maxLength: 25,
    });
    fc.assert(
      fc.property(sizes, (given) => {
        const parts = given.map(([x, y]) => part(x, y));
        const layout = layOutPlates(parts, bed, { spacing });
        expect(clashes(parts, layout)).toEqual([]);
        const seen = [...layout.plates.flatMap((p) => p.items.map((i) => i.part)), ...layout.tooLarge].sort(
          (a, b) => a - b,
        );
        expect(seen).toEqual(parts.map((_, i) => i));
        for (const i of layout.tooLarge) {
          const [x, y] = parts[i]!.size;
          expect(Math.max(x, y) > 220 || Math.min(x, y) > 200).toBe(true);
        }
      }),
    );
  });

  it('a layout with two parts in one place is found out by the check above', () => {
    const items = [0, 1].map((i) => ({ part: i, at: [10, 10] as const, turned: false }));
    expect(clashes([part(10, 10), part(10, 10)], { plates: [{ items }], tooLarge: [] })).toEqual(['too near']);
    expect(clashes([part(10, 300)], { plates: [{ items: [items[0]!] }], tooLarge: [] })).toEqual(['off the bed']);
  });

  it('centers what it lays out', () => {
    expect(layOutPlates([part(100, 80)], bed, { spacing }).plates[0]?.items[0]?.at).toEqual([60, 60]);
  });

  it('turns a part only when that alone makes it fit', () => {
    const items = layOutPlates([part(150, 210), part(20, 210), part(210, 20)], bed, { spacing }).plates.flatMap(
      (p) => p.items,
    );
    expect(items.map((i) => [i.part, i.turned]).sort()).toEqual([
      [0, true],
      [1, true],
      [2, false],
    ]);
  });

  it('fills a plate before it begins another', () => {
    const parts = Array.from({ length: 20 }, () => part(50, 45));
    // Four a row, four rows: 16, then 4.
    expect(layOutPlates(parts, bed, { spacing }).plates.map((p) => p.items.length)).toEqual([16, 4]);
  });

  it.each([false, true])('stands a part on the bed at its corner, turned %s', (turned) => {
    const bounds = { min: [-3, -7, -2], max: [9, 1, 5] } as const;
    const placement = standAt(bounds, [10, 20], turned);
    const corners = [0, 1, 2, 3, 4, 5, 6, 7].map((i) =>
      place(placement, [i & 1 ? 9 : -3, i & 2 ? 1 : -7, i & 4 ? 5 : -2]),
    );
    const low = [0, 1, 2].map((axis) => Math.min(...corners.map((c) => c[axis]!)));
    const high = [0, 1, 2].map((axis) => Math.max(...corners.map((c) => c[axis]!)));
    expect(low).toEqual([10, 20, 0]);
    expect(high).toEqual(turned ? [18, 32, 7] : [22, 28, 7]);
  });
});
