import { expect, test } from 'vitest';
import { readStl, stlBytes } from '../../src/export/stl.ts';
import { proveTool } from '../../src/proof/prove.ts';
import { kernel, made, meshOf } from '../support/tools.ts';

test('round more than 40 degrees of bend a collar lies in two halves, open side up, and is proved as it lies', () => {
  const { solution, tools } = made(`
job: t
sections: { run: { kind: round, od: 60, wall: 2 }, tube: { kind: round, od: 38.1, wall: 1.65 } }
members:
  run: { section: run, points: [[-200, 0, 0], [200, 0, 0]] }
  tube: { section: tube, start: { at: [-90, 0, 90], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ bend: { clr: 90, angle: 90, toward: down } }] }
joints: [{ cope: { branch: tube.end, run: run } }]
tools: [{ notch-collar: { end: tube.end, datum: end } }]
`);
  const tool = tools[0]!;
  expect(tool.parts).toHaveLength(2);
  const files = tool.parts.map((part) => {
    const built = meshOf(part);
    return { part: part.name, built, meshes: [{ format: 'stl', mesh: readStl(stlBytes(built)) } as const] };
  });
  // Lying: no taller than half the tube with its wall, though the bend is 118 mm long.
  for (const { built } of files) expect(Math.max(...built.positions.filter((_, i) => i % 3 === 2))).toBeLessThan(30);
  expect(proveTool(kernel, tool, solution, files).problems).toEqual([]);
});
