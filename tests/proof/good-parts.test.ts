import { beforeAll, describe, expect, test } from 'vitest';
import { EDGE_DEVIATION } from '../../src/geometry/tolerance.ts';
import { type Kernel, openKernel } from '../../src/solid/kernel.ts';
import { benchJob, type Proved, prove, toolsOf } from './support.ts';

let kernel: Kernel;
let tools: ReadonlyMap<string, Proved>;

beforeAll(async () => {
  kernel = await openKernel();
  tools = toolsOf(kernel, benchJob());
});

describe('a tool as it is made', () => {
  test.each([
    'square-end-saw-guide',
    'square-chop',
    'miter-end-saw-guide',
    'miter-chop',
    'bend-end-saw-guide',
    'lean-end-saw-guide',
    'miter-end-marking-gauge',
    'square-end-marking-gauge',
    'oval-end-marking-gauge',
    'ellipse-end-marking-gauge',
    'bend-end-marking-gauge',
    'branch-end-notch-collar',
    'branch-inner',
    'branch-square',
    'branch-halves',
    'oval-end-notch-collar',
  ])('%s passes every measurement on its bytes', (name) => {
    const proved = tools.get(name)!;
    const proof = prove(kernel, proved);
    expect(proof.problems.map(({ code, message }) => `${code} ${message}`)).toEqual([]);
    expect(proof.parts.map(({ part }) => part)).toEqual(proved.tool.parts.map((part) => part.name));
    for (const [i, part] of proof.parts.entries()) {
      const { features, tubes } = proved.tool.parts[i]!;
      const { clearance } = tubes[0]!;
      expect(part).toMatchObject({ closed: true, shells: 1, fileDifference: 0, overlap: 0 });
      expect(part.clearance!.least).toBeGreaterThan(clearance.least - 0.003);
      expect(part.clearance!.most).toBeGreaterThan(clearance.least);
      expect(part.bedArea).toBeGreaterThan(100);
      const kinds = features.map(({ kind }) => kind);
      if (kinds.includes('cut-edge')) {
        expect(part.edgeDeviation).toBeLessThan(EDGE_DEVIATION / 4);
        expect(part.edgeCover).toBeGreaterThan(0.999);
      } else expect(part.edgeDeviation).toBeUndefined();
      if (kinds.includes('slot')) {
        expect(part.slotDeviation).toBeLessThan(1e-4);
        expect(part.keptSideOverlap).toBe(0);
      } else expect(part.slotWidth).toBeUndefined();
      if (kinds.includes('datum')) expect(part.datumDeviation).toBeLessThan(1e-4);
      else expect(part.datumDeviation).toBeUndefined();
    }
  });

  test('the slot is as wide as saw and clearance ask', () => {
    const width = (name: string): number | undefined => prove(kernel, tools.get(name)!).parts[0]?.slotWidth;
    expect(width('miter-end-saw-guide')).toBeCloseTo(1.2, 4);
    expect(width('miter-chop')).toBeCloseTo(2.4, 4);
  });
});
