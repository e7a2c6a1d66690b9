import { expect, test } from 'vitest';
import { loadJob } from '../../src/job/load.ts';
import type { CutEnd } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';

function endsOf(joints: string): ReadonlyMap<string, CutEnd> {
  const loaded = loadJob(`job: t
sections: { tube: { kind: round, od: 40, wall: 2 }, box: { kind: square, side: 40, wall: 2 } }
members:
  run: { section: tube, points: [[-300, 0, 0], [300, 0, 0]] }
  branch: { section: tube, points: [[-80, 0, 200], [0, 0, 0]] }
  right: { section: box, points: [[0, 500, 0], [400, 500, 0]], up: [0, 0, 1] }
  up: { section: box, points: [[400, 500, 0], [400, 900, 0]], up: [0, 0, 1] }
  left-leg: { section: tube, points: [[-60, -500, -200], [0, -500, 60]] }
  right-leg: { section: tube, points: [[60, -500, -200], [0, -500, 60]] }
  trunk: { section: tube, points: [[0, -500, 20], [0, -500, 300]] }
joints:
${joints}`);
  if (!loaded.value) throw new Error(loaded.problems.map(({ message }) => message).join('; '));
  const { value, problems } = solveJob(loaded.value);
  if (!value) throw new Error(problems.map(({ message }) => message).join('; '));
  expect(problems.filter(({ code }) => code !== 'joint/open-throat')).toEqual([]);
  return new Map(value.ends.map((end) => [end.id, end]));
}

const joints = (shrink: string): string => `  - cope: { branch: branch.end, run: run, gap: 0.5${shrink} }
  - miter: { ends: [right.end, up.start]${shrink} }
  - merge: { legs: [left-leg.end, right-leg.end], trunk: trunk.start${shrink} }`;

test('weld shrinkage makes every line of an end longer by its share, and of a trunk by nothing', () => {
  const plain = endsOf(joints(''));
  const longer = endsOf(joints(', shrink: 0.8'));
  const shares = {
    'branch.end': 0.8,
    'right.end': 0.4,
    'up.start': 0.4,
    'left-leg.end': 0.8,
    'right-leg.end': 0.8,
    'trunk.start': 0,
  };
  for (const [id, share] of Object.entries(shares)) {
    const [before, after] = [plain.get(id)!, longer.get(id)!];
    expect(after.shrink ?? 0).toBe(share);
    const out = after.end === 'end' ? 1 : -1;
    for (const surface of ['outer', 'inner'] as const) {
      const samples = after.curves[surface].samples;
      before.curves[surface].samples.forEach((sample) => {
        const same = samples.find(({ u }) => Math.abs(u - sample.u) < 1e-12);
        if (same) expect(out * (same.s - sample.s), `${id} ${surface} ${sample.u}`).toBeCloseTo(share, 6);
      });
      expect(samples.length).toBeGreaterThan(90);
    }
    expect(out * (after.longPoint - before.longPoint)).toBeCloseTo(share, 4);
  }
});

test('a trim is no weld and takes no shrinkage', () => {
  const { problems } = loadJob(
    `job: t\nsections: { tube: { kind: round, od: 40, wall: 2 } }\nmembers:\n  a: { section: tube, points: [[0, 0, 0], [300, 0, 0]] }\njoints:\n  - trim: { end: a.end, at: 200, shrink: 1 }\n`,
  );
  expect(problems).toMatchObject([{ code: 'field/unknown' }]);
});
