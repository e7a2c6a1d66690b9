import { describe, expect, it } from 'vitest';
import type { Vec2 } from '../../src/geometry/vector.ts';
import { facetSolid, offsetLoops, strokeGlyph } from '../../src/solid/profile.ts';
import { boxMesh, circle, circleArea, rectangle } from './shapes.ts';

const area = (loops: readonly (readonly Vec2[])[]): number =>
  loops.reduce(
    (sum, loop) =>
      sum +
      loop.reduce((part, p, i) => {
        const q = loop[(i + 1) % loop.length]!;
        return part + (p[0] * q[1] - q[0] * p[1]) / 2;
      }, 0),
    0,
  );
const round = { corners: 'round', chordTolerance: 0.005 } as const;

describe('offsetting a flat profile', () => {
  it('a square grown by 2 mm with round corners has its closed-form area', () => {
    const grown = offsetLoops([rectangle(10, 10)], { ...round, delta: 2 });
    // Square + four strips + one circle; facets of the corners lie inside the arc.
    const exact = 100 + 4 * 20 + Math.PI * 4;
    expect(area(grown)).toBeLessThanOrEqual(exact);
    expect(area(grown)).toBeGreaterThan(exact - 2 * Math.PI * 2 * 0.005);
  });

  it('a sharp-cornered square shrinks to the smaller square', () => {
    expect(area(offsetLoops([rectangle(10, 10)], { ...round, corners: 'edge', delta: -2 }))).toBeCloseTo(36, 6);
  });

  it('outer loops grow while holes shrink', () => {
    const ring = [circle(20, 96), circle(10, 96).reverse()];
    const grown = offsetLoops(ring, { ...round, delta: 1 });
    expect(grown).toHaveLength(2);
    expect(area(grown)).toBeGreaterThan(circleArea(21, 96) - circleArea(9, 96) - 0.2);
    expect(area(grown)).toBeLessThan(Math.PI * (21 * 21 - 9 * 9) + 1);
  });

  it('an offset that eats the profile up is refused', () => {
    expect(() => offsetLoops([rectangle(10, 3)], { ...round, delta: -2 })).toThrow(
      /^internal: profile cannot be offset/,
    );
    const ring = [circle(20, 48), circle(1, 48).reverse()];
    expect(() => offsetLoops(ring, { ...round, delta: 2 })).toThrow(/^internal: profile cannot be offset/);
  });
});

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
