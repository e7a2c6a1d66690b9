import { describe, expect, test } from 'vitest';
import { stlBytes } from '../../src/export/stl.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { made, meshOf } from '../support/tools.ts';

const inch = (mm: number): string => `${mm / 25.4}`;

/** The same small job in mm or in inches, moved and turned as asked; without letters, which name the units. */
function job(
  units: 'mm' | 'in',
  turn = { cos: 1, sin: 0, at: [0, 0, 0] as readonly [number, number, number] },
): string {
  const n = (mm: number): string => (units === 'mm' ? String(mm) : inch(mm));
  const p = (x: number, y: number, z: number): string =>
    `[${n(turn.at[0] + x * turn.cos - y * turn.sin)}, ${n(turn.at[1] + x * turn.sin + y * turn.cos)}, ${n(turn.at[2] + z)}]`;
  const d = (x: number, y: number, z: number): string =>
    `[${x * turn.cos - y * turn.sin}, ${x * turn.sin + y * turn.cos}, ${z}]`;
  return `
job: t
units: ${units}
shop: { labels: false }
sections:
  run: { kind: round, od: ${n(76.2)}, wall: ${n(2.54)} }
  branch: { kind: round, od: ${n(38.1)}, wall: ${n(1.27)} }
members:
  run: { section: run, points: [${p(-254, 0, 0)}, ${p(254, 0, 0)}], up: ${d(0, 0, 1)} }
  branch:
    section: branch
    start: { at: ${p(0, 25.4, 304.8)}, heading: ${d(0, -1, 0)}, up: ${d(0, 0, 1)} }
    run: [{ straight: ${n(12.7)} }, { bend: { clr: ${n(76.2)}, angle: 60, toward: down } }, { straight: ${n(190.5)} }]
joints:
  - trim: { end: branch.end, at: ${n(63.5)} }
  - trim: { end: run.end, at: ${n(482.6)}, miter: 30, long-point: right }
tools: [{ saw-guide: branch.end }, { marking-gauge: branch.end }, { notch-collar: run.end }]
`;
}

describe('the same geometry gives the same files', () => {
  test('a job in inches makes the bytes of the job in millimeters', () => {
    const [mm, inches] = [made(job('mm')), made(job('in'))];
    expect(inches.tools.map((tool) => tool.revision)).toEqual(mm.tools.map((tool) => tool.revision));
    mm.tools.forEach((tool, i) => {
      tool.parts.forEach((part, k) => {
        expect(Buffer.compare(stlBytes(meshOf(inches.tools[i]!.parts[k]!)), stlBytes(meshOf(part)))).toBe(0);
      });
    });
  });

  test('a job turned and moved as a whole makes the same tools', () => {
    const here = made(job('mm'));
    const there = made(job('mm', { cos: Math.cos(0.7), sin: Math.sin(0.7), at: [1234.5, -678.9, 432.1] }));
    expect(there.tools.map((tool) => tool.revision)).toEqual(here.tools.map((tool) => tool.revision));
    here.tools.forEach((tool, i) => {
      tool.parts.forEach((part, k) => {
        const [a, b] = [checkMesh(meshOf(part)), checkMesh(meshOf(there.tools[i]!.parts[k]!))];
        expect(Math.abs(b.volume - a.volume)).toBeLessThan(1e-4 * a.volume);
        for (const axis of [0, 1, 2] as const)
          expect(b.bounds.max[axis]! - b.bounds.min[axis]!).toBeCloseTo(a.bounds.max[axis]! - a.bounds.min[axis]!, 2);
      });
    });
  });
});
