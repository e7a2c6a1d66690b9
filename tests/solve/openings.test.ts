import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { besideAt } from '../../src/geometry/centerline.ts';
import { solidDistance } from '../../src/geometry/distance.ts';
import { outlinePlace } from '../../src/geometry/outline-place.ts';
import { outlineAt, type Section, sectionDistance } from '../../src/geometry/section.ts';
import { cross, distance, dot, length, type Mm, sub, type Vec3 } from '../../src/geometry/vector.ts';
import type { Job, OpeningSpec } from '../../src/job/job.ts';
import type { Opening } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { between, randomCope, runs } from '../properties/arbitrary.ts';
import {
  barTube,
  bend,
  cope,
  ellipse,
  jobOf,
  oval,
  rectangle,
  round,
  runTube,
  solved,
  straight,
} from '../support/jobs.ts';

const opened = (job: Job, open: 'bore' | 'outside' = 'bore'): Job => ({
  ...job,
  joints: job.joints.map((joint) => (joint.kind === 'cope' ? { ...joint, open } : joint)),
});

const hole = (more: Partial<OpeningSpec> = {}): OpeningSpec => ({
  name: 'hole',
  path: ['openings', 'hole'],
  on: 'run',
  at: 200,
  towardDeg: 0,
  leanDeg: 0,
  shape: { kind: 'round', od: 30 },
  ...more,
});

const drilled = (section: Section, spec: OpeningSpec): Job => ({
  ...jobOf([runTube('run', section, { heading: [1, 0, 0], up: [0, 0, 1], run: [straight(500)] })]),
  openings: [spec],
});

const openingOf = (job: Job): Opening => solved(job).openings[0]!;

describe('a hole drilled square through the axis: u^2 = a^2 - sin^2 x on the unit cylinder (Apostol & Mnatsakanian, "Unwrapping Curves from Cylinders and Cones", Amer. Math. Monthly 114 (2007) 388-416)', () => {
  test.each([0.1, 0.35, 0.6, 0.9, 0.99])('hole of radius %d', (a) => {
    const R = 50;
    const { outside, around, along } = openingOf(
      drilled(round(2 * R), hole({ towardDeg: 70, shape: { kind: 'round', od: 2 * a * R } })),
    );
    let worst = 0;
    for (const { x, y } of outside) {
      // Their u runs along the cylinder, x round it.
      const u = Math.sqrt(Math.max(0, a * a - Math.sin(x / R) ** 2));
      // At the ends of the curve y changes without bound for a hair of x: there the hole's own equation is looked at.
      worst = Math.max(
        worst,
        Math.abs((y / R) ** 2 + Math.sin(x / R) ** 2 - a * a),
        y === 0 ? 0 : Math.abs(u - Math.abs(y) / R) * Math.min(1, u * 10),
      );
    }
    expect(worst).toBeLessThan(1e-9);
    expect(around[1]).toBeCloseTo(R * Math.asin(a), 3);
    expect(around[0]).toBeCloseTo(-R * Math.asin(a), 3);
    expect(along[1]).toBeCloseTo(a * R, 3);
  });
});

describe('the hole of a branch', () => {
  const tee = (gap: Mm, open: 'bore' | 'outside'): Opening =>
    openingOf(
      opened(
        jobOf(
          [
            barTube('run', round(60, 2), { from: [-200, 0, 0], to: [200, 0, 0], up: [0, 0, 1] }),
            barTube('branch', round(40, 1.5), { from: [50, 0, 200], to: [50, 0, 0], up: [1, 0, 0] }),
          ],
          [cope('branch.end', ['run'], gap)],
        ),
        open,
      ),
    );

  test('is as large as its bore where it stands on the run, as its outside where it is set in, whatever the gap', () => {
    for (const gap of [0, 1.2]) {
      expect(tee(gap, 'bore').along[1]).toBeCloseTo(18.5, 3);
      expect(tee(gap, 'outside').along[1]).toBeCloseTo(20, 3);
      expect(tee(gap, 'bore').around[1]).toBeCloseTo(30 * Math.asin(18.5 / 30), 3);
    }
    const { center } = tee(0, 'bore');
    expect([center.s, center.u, ...center.point]).toEqual([250, 0, 50, 0, 30].map((x) => expect.closeTo(x, 9)));
  });

  test('a branch set in is cut flush with the inside of the run, less the gap', () => {
    for (const gap of [0, 0.8]) {
      const job = opened(
        jobOf(
          [
            barTube('run', round(60, 2), { from: [-200, 0, 0], to: [200, 0, 0] }),
            barTube('branch', round(40, 1.5), { from: [0, 0, 200], to: [0, 0, 0] }),
          ],
          [cope('branch.end', ['run'], gap)],
        ),
        'outside',
      );
      const end = solved(job).ends[0]!;
      for (const { point } of end.curves.outer.samples) expect(Math.hypot(point[1], point[2])).toBeCloseTo(28 + gap, 7);
    }
  });

  test('a lateral of 45 deg: the bore meets the run as the closed form of two cylinders says', () => {
    // w(p) = (sqrt(R^2 - (r sin p)^2) + r cos p cos b) / sin b along the branch axis (Stockie, MapleTech 5(2/3) 1998, 58-66).
    const [R, r, b] = [57, 40, Math.PI / 4];
    const from: Vec3 = [400 * Math.cos(b), 0, 400 * Math.sin(b)];
    const { outside } = openingOf(
      opened(
        jobOf(
          [
            barTube('run', round(2 * R, 3), { from: [-400, 0, 0], to: [400, 0, 0], up: [0, 0, 1] }),
            barTube('branch', round(2 * r + 6, 3), { from, to: [0, 0, 0] }),
          ],
          [cope('branch.end', ['run'])],
        ),
      ),
    );
    const axis: Vec3 = [Math.cos(b), 0, Math.sin(b)];
    for (const { point } of outside) {
      const w = dot(point, axis);
      const acute: Vec3 = [Math.sin(b), 0, -Math.cos(b)];
      const p = Math.atan2(point[1], dot(point, acute));
      expect(w).toBeCloseTo(
        (Math.sqrt(R * R - (r * Math.sin(p)) ** 2) + r * Math.cos(p) * Math.cos(b)) / Math.sin(b),
        6,
      );
    }
  });

  test('lies on the run and on the surface of the branch, for any sections, angles and offsets; inside it on the bore', () => {
    let seen = 0;
    fc.assert(
      fc.property(randomCope, fc.constantFrom('bore' as const, 'outside' as const), ({ job }, open) => {
        const { value } = solveJob(opened(job, open));
        if (!value) return;
        const [one] = value.openings;
        if (!one) return;
        seen++;
        const { run, cutter } = one;
        const depth = open === 'bore' ? cutter.section.wall : 0;
        const line = { origin: cutter.centerline.end.origin, heading: cutter.centerline.end.heading };
        const onCutter = (p: Vec3, v: number): Mm => {
          const [a, b] = outlineAt(cutter.section, v, depth).point;
          const start = besideAt(cutter.centerline, 0, a, b);
          return length(cross(sub(p, start), line.heading));
        };
        for (const [samples, wall] of [
          [one.outside, 0],
          [one.inside ?? [], run.section.wall],
        ] as const) {
          for (const { point, v, s, u } of samples) {
            expect(
              Math.abs(solidDistance({ section: run.section, centerline: run.centerline }, point) + wall),
            ).toBeLessThan(1e-6);
            expect(onCutter(point, v)).toBeLessThan(1e-6);
            if (wall > 0) continue;
            const [a, b] = outlineAt(run.section, ((u % 1) + 1) % 1).point;
            expect(distance(besideAt(run.centerline, s, a, b), point)).toBeLessThan(1e-6);
          }
        }
      }),
      runs(8),
    );
    expect(seen).toBeGreaterThan(4);
  });

  test("on a bend of the run it keeps to the bend, and lengths along it are the bend's own lines", () => {
    const job = opened(
      jobOf(
        [
          runTube('run', round(60, 2), {
            heading: [1, 0, 0],
            up: [0, 0, 1],
            run: [straight(100), bend(150, 90, 180), straight(100)],
          }),
          barTube('branch', round(30, 1.5), {
            from: [100 + 240 * Math.SQRT1_2, 0, -150 + 240 * Math.SQRT1_2],
            to: [100 + 150 * Math.SQRT1_2, 0, -150 + 150 * Math.SQRT1_2],
          }),
        ],
        [cope('branch.end', ['run'])],
      ),
    );
    const { outside, center, along, run } = openingOf(job);
    const arc = 150 * (Math.PI / 4);
    expect(center.s).toBeCloseTo(100 + arc, 6);
    for (const { point } of outside)
      expect(Math.abs(solidDistance({ section: run.section, centerline: run.centerline }, point))).toBeLessThan(1e-6);
    // On the outside of the bend a bore of radius 13.5 subtends asin(13.5 / 180) at the bend's center.
    expect(along[1]).toBeCloseTo(180 * Math.asin(13.5 / 180), 3);
    expect(along[0]).toBeCloseTo(-along[1], 6);
  });

  test('is known on a gore of a welded elbow; over a weld it is told', () => {
    const flue = (at: Mm) => {
      const duct = runTube('duct', round(100, 2), {
        up: [0, 1, 0],
        run: [
          straight(200),
          { ...bend(180, 90, 270), elbow: { welds: 2, gap: 0 } } as ReturnType<typeof bend>,
          straight(200),
        ],
      });
      const branch = barTube('branch', round(30), { from: [0, 200, at], to: [0, 0, at] });
      return solveJob(opened(jobOf([duct, branch], [cope('branch.end', ['duct'])])));
    };
    expect(flue(100).value?.openings[0]?.run.name).toBe('duct-gore-1');
    const seam = 200 + 180 * Math.tan(Math.PI / 8);
    const over = flue(seam);
    expect(over.problems.map(({ code, severity }) => [code, severity])).toEqual([['opening/across-seam', 'warning']]);
    expect(over.value?.openings).toEqual([]);
  });
});

describe('a hole by itself', () => {
  test('slots and rectangles have their sizes across the axis of the hole, along the run and round it', () => {
    const box = rectangle(80, 60, 5);
    const slot = openingOf(drilled(box, hole({ shape: { kind: 'slot', along: 44, around: 12 } })));
    expect(slot.along).toEqual([expect.closeTo(-22, 6), expect.closeTo(22, 6)]);
    expect(slot.around).toEqual([expect.closeTo(-6, 6), expect.closeTo(6, 6)]);
    const window = openingOf(
      drilled(box, hole({ towardDeg: 90, shape: { kind: 'rectangle', along: 30, around: 40, cornerRadius: 4 } })),
    );
    expect(window.along[1]).toBeCloseTo(15, 6);
    expect(window.around[1]).toBeCloseTo(20, 6);
    expect(window.center.point[1]).toBeCloseTo(-40, 9);
  });

  test('a lean moves the hole on the outside toward the end of the run, and makes it longer', () => {
    const lean = openingOf(drilled(round(80), hole({ leanDeg: 30, shape: { kind: 'round', od: 10 } })));
    expect(lean.center.s).toBeCloseTo(200 + 40 * Math.tan(Math.PI / 6), 6);
    const [low, high] = lean.along;
    expect(high - low).toBeGreaterThan(10 / Math.cos(Math.PI / 6) - 1e-3);
  });

  test('over the witness line it stays in one piece', () => {
    const { outside } = openingOf(drilled(oval(90, 50), hole({ towardDeg: 2 })));
    expect(Math.max(...outside.map(({ x }) => x))).toBeLessThan(17);
    expect(Math.min(...outside.map(({ u }) => u))).toBeLessThan(0);
  });

  test('off the side or past the end of its tube it is told, with how much', () => {
    const codes = (spec: OpeningSpec): readonly string[] =>
      solveJob(drilled(round(40), spec)).problems.map(({ code }) => code);
    expect(codes(hole({ shape: { kind: 'round', od: 41 } }))).toEqual(['opening/off-the-run']);
    expect(codes(hole({ at: 490 }))).toEqual(['opening/off-the-run']);
    expect(codes(hole({ at: 480 }))).toEqual([]);
  });
});

test('the place of a point on an outline is its own u', () => {
  const sections = [round(50), oval(90, 40), oval(40, 90), ellipse(70, 30), rectangle(60, 40, 5), rectangle(40, 60, 0)];
  fc.assert(
    fc.property(fc.constantFrom(...sections), between(0, 0.999999), (section, u) => {
      const [a, b] = outlineAt(section, u).point;
      expect(Math.abs(sectionDistance(section, a, b))).toBeLessThan(1e-6);
      const off = Math.abs(outlinePlace(section, a, b) - u);
      expect(Math.min(off, 1 - off)).toBeLessThan(1e-9);
    }),
    runs(200),
  );
});
