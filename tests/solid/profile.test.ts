import { describe, expect, it } from 'vitest';
import { facetSolid, strokeGlyph } from '../../src/solid/profile.ts';
import { boxMesh } from './shapes.ts';

describe('letters and facets', () => {
  it('a capital is one high and stands on the line', () => {
    const heights = strokeGlyph('H')
      .strokes.flat()
      .map((p) => p[1]);
    expect(Math.min(...heights)).toBe(0);
    expect(Math.max(...heights)).toBeCloseTo(1, 12);
    expect(() => strokeGlyph('°')).toThrow('internal: no stroke letter for "°"');
  });

  it('facets carry the unit normal of their triangle', () => {
    const { polygons } = facetSolid(boxMesh());
    expect(polygons).toHaveLength(12);
    expect(polygons[0]?.plane).toEqual([0, 0, -1, 0]);
    expect(polygons[2]?.plane).toEqual([0, 0, 1, 30]);
  });
});
