import { describe, expect, it } from 'vitest';
import { drawableText, LEGIBLE_LETTER, layoutLabel } from '../../src/solid/label.ts';
import type { LetterStroke } from '../../src/solid/letter-strokes.ts';

const pen = { letter: 5, stroke: 0.8 };
const extent = (strokes: readonly Pick<LetterStroke, 'corners'>[], axis: 0 | 1): [number, number] => {
  const values = strokes.flatMap(({ corners }) => corners.map((p) => p[axis]));
  return [Math.min(...values), Math.max(...values)];
};

describe('setting a label', () => {
  it('uses the height asked for when there is room, and the lines in order', () => {
    const layout = layoutLabel(['leg-1', 'R8F3A'], [60, 30], pen);
    expect(layout.letter).toBe(5);
    expect(layout.lines).toEqual(['LEG-1', 'R8F3A']);
    expect(layout.dropped).toEqual([]);
    const [low, high] = extent(layout.strokes, 1);
    // Two lines of capitals, 1.55 capitals apart, centered.
    expect(high - low).toBeCloseTo(5 * 2.55, 9);
    expect(high + low).toBeCloseTo(0, 9);
  });

  it.each([[[30, 8]], [[20, 30]], [[12, 12]], [[45, 5]]] as const)(
    'keeps strokes and their width inside a box of %j',
    (box) => {
      const { letter, ink } = layoutLabel(['A(1), j', 'KEEP ->'], box, pen);
      expect(letter).toBeGreaterThanOrEqual(LEGIBLE_LETTER);
      for (const axis of [0, 1] as const) {
        const [low, high] = extent(
          ink.map((corners) => ({ corners })),
          axis,
        );
        expect(low).toBeGreaterThanOrEqual(-box[axis] / 2 - 1e-9);
        expect(high).toBeLessThanOrEqual(box[axis] / 2 + 1e-9);
      }
    },
  );

  it('drops lines from the last upward rather than print below 2.5 mm', () => {
    const layout = layoutLabel(['one', 'two', 'three'], [60, 8], pen);
    expect(layout.lines).toEqual(['ONE', 'TWO']);
    expect(layout.dropped).toEqual(['three']);
    expect(layout.letter).toBeGreaterThanOrEqual(LEGIBLE_LETTER);
  });

  it('drops a line that is too wide even squeezed and keeps the others', () => {
    const layout = layoutLabel(['a line of far too many letters', 'R8F3A'], [16, 12], pen);
    expect(layout.lines).toEqual(['R8F3A']);
    expect(layout.dropped).toEqual(['a line of far too many letters']);
  });

  it('says that nothing fits by setting nothing', () => {
    expect(layoutLabel(['KEEP'], [60, 3], pen)).toEqual({
      letter: 0,
      lines: [],
      dropped: ['KEEP'],
      strokes: [],
      ink: [],
    });
    expect(layoutLabel(['', '  '], [60, 30], pen).strokes).toEqual([]);
  });

  it('writes out what the letters lack', () => {
    expect(drawableText('37.5° ø57.15 <- up -> b½')).toBe('37.5DEG DIA57.15 ← UP → B1/2');
    expect(drawableText('naïve 管')).toBe('NA?VE ?');
  });

  it('points an arrow to the side it is written for', () => {
    const tips = (text: string): number[] => {
      const head = layoutLabel([text], [40, 12], pen).strokes.at(-1)!.corners;
      return [head[0]![0], head[1]![0]];
    };
    const [tailRight, tipRight] = tips('->');
    const [tailLeft, tipLeft] = tips('<-');
    expect(tipRight!).toBeGreaterThan(tailRight!);
    expect(tipLeft!).toBeLessThan(tailLeft!);
  });
});
