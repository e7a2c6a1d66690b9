import { describe, expect, test } from 'vitest';
import { frameFrom } from '../../src/geometry/frame.ts';
import { dot, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { made } from '../support/tools.ts';

const upOf = (heading: Vec3): Vec3 => frameFrom([0, 0, 0], heading).up;

describe('up, where a tube is given without one', () => {
  // It used to be y for a tube along x and z for one a hair beside it: a flat rail then stood on its edge.
  test('is z for level tubes, whichever way they head', () => {
    for (const heading of [
      [1, 0, 0],
      [-1, 0, 0],
      [0, 1, 0],
      [1, 1e-6, 0],
      [3, -4, 0],
    ] as const)
      expect(upOf(heading)).toEqual([0, 0, 1]);
  });

  test('leans back with a tube that climbs, and turns no more than the tube does', () => {
    for (const climb of [-80, -45, -1, 0, 1, 45, 80]) {
      const rad = (climb * Math.PI) / 180;
      const up = upOf([Math.cos(rad), 0, Math.sin(rad)]);
      expect(up[0]).toBeCloseTo(-Math.sin(rad), 12);
      expect(up[2]).toBeCloseTo(Math.cos(rad), 12);
    }
    const [a, b] = [upOf(unit([1, 0.3, 0.2])), upOf(unit([1, 0.3001, 0.2]))];
    expect(dot(a, b)).toBeGreaterThan(1 - 1e-6);
  });

  test('is x for a tube that stands upright, or all but', () => {
    expect(upOf([0, 0, 1])).toEqual([1, 0, 0]);
    expect(upOf([0, 0, -1])).toEqual([1, 0, 0]);
    expect(upOf([0, 1e-5, 1])[0]).toBeCloseTo(1, 9);
  });

  test('lays a flat rail flat, and bends it toward up upward', () => {
    const { solution } = made(`
job: t
sections: { flat: { kind: rectangle, width: 60, height: 30, wall: 2 } }
members:
  rail: { section: flat, points: [[0, 0, 400], [900, 0, 400]] }
  riser:
    section: flat
    start: { at: [0, 300, 0], heading: [1, 0, 0] }
    run: [{ straight: 100 }, { bend: { clr: 90, angle: 90, toward: up } }, { straight: 50 }]
joints: [{ trim: { end: rail.end, at: 800 } }]
tools: [{ saw-guide: rail.end }]
`);
    const [rail, riser] = solution.members;
    expect(rail!.centerline.segments[0]!.start.up).toEqual([0, 0, 1]);
    const end = riser!.centerline.segments.at(-1)!.start;
    expect(end.origin[0]).toBeCloseTo(190, 9);
    expect(end.origin[2]).toBeCloseTo(90, 9);
  });
});
