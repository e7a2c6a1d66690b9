import { beforeAll, describe, expect, test } from 'vitest';
import { cosd, sind } from '../../src/geometry/angle.ts';
import { along, dot, type Mm, scale, sub, unit, type Vec3 } from '../../src/geometry/vector.ts';
import type { Opening } from '../../src/solve/solution.ts';
import { ellipse, oval, rectangle, round } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { made } from '../support/tools.ts';
import { type Plan, type SecondKernel, secondKernel } from './second-kernel-model.ts';

/** mm. What the two kernels may differ by. */
const AGREE: Mm = 0.001;

let kernel: SecondKernel;
beforeAll(async () => {
  kernel = await secondKernel();
});

const openingOf = (yaml: string): Opening => made(`job: t\n${yaml}\ntools: []\n`).solution.openings[0]!;

interface Comparison {
  readonly opening: Opening;
  readonly cutter: Plan;
  readonly run: Plan;
  readonly edge?: Opening['outside'];
  readonly depth?: Mm;
}

/** Largest difference between where the cutter's generators meet the run there and where the edge lies on them here. */
function farthest({ opening, cutter, run, edge = opening.outside, depth = 0 }: Comparison): Mm {
  const tube = kernel.tube(cutter);
  const solids = kernel.solidsOf(kernel.tube(run));
  const step = Math.max(1, Math.floor(edge.length / 24));
  const some = edge.filter((_, i) => i % step === 0);
  expect(some.length).toBeGreaterThan(20);
  const pairs = some.map(({ v, point }): [Mm, Mm] => [
    dot(sub(point, cutter.at), cutter.heading),
    kernel.firstCut(tube, solids, { u: v, depth, from: 'start' }),
  ]);
  return worst('edge of the hole', pairs);
}

const straightRun = (section: Plan['section']): Plan => ({
  section,
  at: [0, 0, 0],
  heading: [1, 0, 0],
  up: [0, 0, 1],
  steps: [{ straight: 400 }],
});

describe('openings as OpenCascade sees them: bodies built and intersected there', () => {
  test('a slot that leans, in a flat oval', () => {
    const opening = openingOf(`
sections: { s: { kind: flat-oval, width: 90, height: 50, wall: 2 } }
members: { run: { section: s, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] } }
openings: { h: { on: run, at: 200, toward: 60, lean: 25, slot: [40, 16] } }`);
    // Right of x with z up is -y: 60 degrees clockwise from up.
    const side: Vec3 = [0, -sind(60), cosd(60)];
    const out = unit([sind(25), cosd(25) * side[1], cosd(25) * side[2]]);
    const cutter: Plan = {
      section: oval(16, 40, 1),
      at: along([200, 0, 0], out, 90),
      heading: scale(out, -1),
      up: unit(along([1, 0, 0], out, -sind(25))),
      steps: [{ straight: 90 }],
    };
    expect(farthest({ opening, cutter, run: straightRun(oval(90, 50, 2)) })).toBeLessThan(AGREE);
  });

  test('a rectangle in the outside of a bend', () => {
    const opening = openingOf(`
sections: { s: { kind: round, od: 60, wall: 2 } }
members: { run: { section: s, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 80 }, { bend: { clr: 120, angle: 90, toward: down } }, { straight: 80 }] } }
openings: { h: { on: run, at: ${80 + (120 * Math.PI) / 4}, toward: up, rectangle: [30, 24], corner: 5 } }`);
    const out: Vec3 = [Math.SQRT1_2, 0, Math.SQRT1_2];
    const on: Vec3 = [80 + 120 * Math.SQRT1_2, 0, -120 + 120 * Math.SQRT1_2];
    const cutter: Plan = {
      section: rectangle(24, 30, 5, 1),
      at: along(on, out, 80),
      heading: scale(out, -1),
      up: [Math.SQRT1_2, 0, -Math.SQRT1_2],
      steps: [{ straight: 80 }],
    };
    const run: Plan = {
      ...straightRun(round(60)),
      steps: [{ straight: 80 }, { clr: 120, deg: 90, toward: 180 }, { straight: 80 }],
    };
    expect(farthest({ opening, cutter, run })).toBeLessThan(AGREE);
  });

  test('the bore of an offset lateral on an ellipse', () => {
    const opening = openingOf(`
sections: { s: { kind: ellipse, width: 90, height: 60, wall: 2 }, b: { kind: round, od: 34, wall: 3 } }
members:
  run: { section: s, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] }
  branch: { section: b, points: [[350, 8, 150], [200, 8, 0]], up: [0, 1, 0] }
joints: [{ cope: { branch: branch.end, run: run, open: true, gap: 1 } }]`);
    const cutter: Plan = {
      section: round(34, 3),
      at: [350, 8, 150],
      heading: unit([-1, 0, -1]),
      up: [0, 1, 0],
      steps: [{ straight: 150 * Math.SQRT2 }],
    };
    expect(farthest({ opening, cutter, run: straightRun(ellipse(90, 60)), depth: 3 })).toBeLessThan(AGREE);
  });

  test('both edges of the hole of a branch set into a round tube', () => {
    const opening = openingOf(`
sections: { s: { kind: round, od: 76.1, wall: 2.9 }, b: { kind: round, od: 48.3, wall: 2.6 } }
members:
  run: { section: s, points: [[0, 0, 0], [400, 0, 0]], up: [0, 0, 1] }
  branch: { section: b, points: [[300, 5, 173.2], [200, 5, 0]], up: [0, 1, 0] }
joints: [{ cope: { branch: branch.end, run: run, open: outside } }]`);
    const cutter: Plan = {
      section: round(48.3),
      at: [300, 5, 173.2],
      heading: unit([-100, 0, -173.2]),
      up: [0, 1, 0],
      steps: [{ straight: Math.hypot(100, 173.2) }],
    };
    expect(farthest({ opening, cutter, run: straightRun(round(76.1)) })).toBeLessThan(AGREE);
    const bore = straightRun(round(76.1 - 5.8));
    expect(farthest({ opening, cutter, run: bore, edge: opening.inside! })).toBeLessThan(AGREE);
    // The comparison can fail: the bore's edge does not lie on the outside.
    expect(farthest({ opening, cutter, run: bore })).toBeGreaterThan(1);
  });
});
