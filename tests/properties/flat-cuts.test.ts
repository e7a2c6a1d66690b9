import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { type Centerline, extended, frameAt } from '../../src/geometry/centerline.ts';
import { solidDistance } from '../../src/geometry/distance.ts';
import { along, cross, distance, dot, scale, sub, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { solveJob } from '../../src/solve/solve.ts';
import {
  barTube,
  bend,
  carried,
  cutOf,
  jobOf,
  mirrorTube,
  miter,
  rectangle,
  reflected,
  round,
  runTube,
  sAt,
  solved,
  straight,
  trim,
} from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { between, direction, motion, runs, sectionOf } from './arbitrary.ts';

const RUNS = runs(24);
const US = Array.from({ length: 24 }, (_, i) => (i + 0.21) / 24);

const lineOf = (job: Parameters<typeof solved>[0]): Centerline => solved(job).members[0]!.centerline;

describe('a miter', () => {
  // The second tube is the first in a looking glass on the cut, so that any section matches across it.
  const corner = fc
    .record({
      section: sectionOf(50),
      first: direction,
      second: direction,
      up: direction,
      gap: fc.constantFrom(0, 0.8),
    })
    .filter(
      ({ first, second, up }) =>
        dot(first, second) > -0.6 && dot(first, second) < 0.995 && Math.abs(dot(first, up)) < 0.95,
    )
    .map(({ section, first, second, up, gap }) => {
      const normal = unit([first[0] + second[0], first[1] + second[1], first[2] + second[2]]);
      const work: Vec3 = [20, -30, 40];
      const tubes = [
        barTube('first', section, { from: along(work, first, -300), to: work, up }),
        barTube('second', section, {
          from: work,
          to: along(work, second, 300),
          up: along(up, normal, -2 * dot(up, normal)),
        }),
      ];
      return { section, normal, work, job: jobOf(tubes, [miter('first.end', 'second.start', { gap })]), gap };
    });

  test('cuts both tubes on the bisecting plane, half the gap off each, and the two ends are one curve', () => {
    fc.assert(
      fc.property(corner, ({ job, normal, work, gap, section }) => {
        const solution = solved(job);
        const [first, second] = [cutOf(solution, 'first.end'), cutOf(solution, 'second.start')];
        const off = (end: typeof first, side: number) =>
          end.curves.outer.samples.map((x): [number, number] => [(side * gap) / 2, dot(sub(x.point, work), normal)]);
        expect(worst('miter plane', [...off(first, -1), ...off(second, 1)])).toBeLessThan(1e-9);
        expect(
          worst(
            'mirror image',
            US.map((u) => [sAt(first, u) - 300, -sAt(second, u)]),
          ),
        ).toBeLessThan(1e-8);
        if (gap === 0) {
          const line = extended(second.member.centerline, 400, 0);
          expect(
            worst(
              'on the other tube',
              first.curves.outer.samples.map((x) => [0, solidDistance({ section, centerline: line }, x.point)]),
            ),
          ).toBeLessThan(1e-8);
        }
      }),
      RUNS,
    );
  });

  test('is told apart when the sections do not match', () => {
    const second = barTube('second', rectangle(50, 30, 4), { from: [0, 0, 0], to: [0, 300, 0], up: [0, 0, 1] });
    const first = (up: Vec3) => barTube('first', rectangle(50, 30, 4), { from: [-300, 0, 0], to: [0, 0, 0], up });
    const codes = (up: Vec3) =>
      solveJob(jobOf([first(up), second], [miter('first.end', 'second.start')])).problems.map(
        (problem) => problem.code,
      );
    expect(codes([0, 0, 1])).toEqual([]);
    expect(codes([0, 1, 0])).toEqual(['joint/sections-differ']);
  });
});

describe('a trim', () => {
  const bent = fc.record({
    section: sectionOf(40),
    clr: between(60, 200),
    turn: between(30, 170),
    toward: between(0, 359),
    part: between(0.1, 0.9),
    before: between(20, 150),
    tilt: between(0, 25),
    long: between(0, 359),
    atStart: fc.boolean(),
  });

  test('part way into a bend lies on the radial plane there, or on the plane tilted from it as asked', () => {
    fc.assert(
      fc.property(bent, fc.boolean(), (plan, tilted) => {
        const id = plan.atStart ? 'elbow.start' : 'elbow.end';
        const deg = plan.part * plan.turn;
        const miterDeg = tilted ? plan.tilt : 0;
        // Tilted far, the plane would meet the bend a second time before the first all round.
        fc.pre(!tilted || deg > 25 + plan.tilt);
        const job = jobOf(
          [
            runTube('elbow', plan.section, {
              run: [straight(plan.before), bend(plan.clr, plan.turn, plan.toward), straight(plan.before)],
            }),
          ],
          [trim(id, { kind: 'into-bend', bendAngleDeg: deg }, { miterDeg, longPointDeg: plan.long })],
        );
        const end = cutOf(solved(job), id);
        const line = lineOf(job);
        const into = plan.clr * ((deg * Math.PI) / 180);
        const s = plan.atStart ? line.length - plan.before - into : plan.before + into;
        const frame = frameAt(line, s);
        expect(
          worst('place of a trim', [
            [s, end.flat!.s],
            [miterDeg, end.flat!.miterDeg],
          ]),
        ).toBeLessThan(1e-6);
        const normal = end.flat!.plane.normal;
        expect(Math.abs(dot(normal, frame.heading))).toBeCloseTo(Math.cos((miterDeg * Math.PI) / 180), 9);
        expect(
          worst(
            'trim plane',
            end.curves.outer.samples.map((x) => [0, dot(sub(x.point, frame.origin), normal)]),
          ),
        ).toBeLessThan(1e-9);
        if (!tilted)
          expect(
            worst(
              'radial trim',
              US.map((u) => [s, sAt(end, u)]),
            ),
          ).toBeLessThan(1e-8);
        else expect((end.longPoint - end.shortPoint) * (plan.atStart ? -1 : 1)).toBeGreaterThanOrEqual(0);
      }),
      RUNS,
    );
  });

  test('square across stays square wherever the job stands', () => {
    fc.assert(
      fc.property(motion, between(10, 290), (how, at) => {
        const job = jobOf(
          [runTube('bar', round(40), { up: [1, 0, 0], run: [straight(300)] })],
          [trim('bar.end', { kind: 'at', distance: at })],
        );
        const end = cutOf(solved(carried(job, how)), 'bar.end');
        expect(end.flat!.miterDeg).toBe(0);
        expect(end.flat!.longPointDeg).toBe(0);
      }),
      runs(80),
    );
  });

  test('at a distance cuts there, though the plane meets the tube earlier on', () => {
    // A serpentine that runs through the plane of its own last cut twice before.
    const run = [straight(200), bend(60, 180, 90), straight(150), bend(60, 180, 270), straight(150)];
    const length = 500 + 120 * Math.PI;
    const job = jobOf(
      [runTube('snake', round(25), { run })],
      [trim('snake.end', { kind: 'at', distance: length - 40 })],
    );
    const end = cutOf(solved(job), 'snake.end');
    expect(
      worst(
        'serpentine',
        US.map((u) => [length - 40, sAt(end, u)]),
      ),
    ).toBeLessThan(1e-8);
    expect(end.flat!.s).toBeCloseTo(length - 40, 8);
  });

  test('at the start of a serpentine too', () => {
    const run = [straight(150), bend(60, 180, 90), straight(150), bend(60, 180, 270), straight(200)];
    const job = jobOf([runTube('snake', round(25), { run })], [trim('snake.start', { kind: 'at', distance: 40 })]);
    const end = cutOf(solved(job), 'snake.start');
    expect(
      worst(
        'serpentine start',
        US.map((u) => [40, sAt(end, u)]),
      ),
    ).toBeLessThan(1e-8);
  });
});

test('a mirrored member is cut like its original in a looking glass', () => {
  fc.assert(
    fc.property(sectionOf(40), direction, between(20, 160), between(0, 359), (section, normal, deg, toward) => {
      const original = runTube('left', section, {
        at: [5, 6, 7],
        heading: [0, 0, 1],
        up: [1, 0, 0],
        run: [straight(80), bend(120, deg, toward), straight(90)],
      });
      const across = { point: [300, 10, -20] as const, normal };
      const cut = (id: string) =>
        trim(
          `${id}.end`,
          { kind: 'at', distance: 80 + (60 * deg * Math.PI) / 180 },
          { miterDeg: 10, longPointDeg: id === 'left' ? 70 : 290 },
        );
      const solution = solved(jobOf([original, mirrorTube('right', original, across)], [cut('left'), cut('right')]));
      const [left, right] = [cutOf(solution, 'left.end'), cutOf(solution, 'right.end')];
      expect(
        worst(
          'mirrored member',
          US.map((u) => [sAt(left, u), sAt(right, 1 - u)]),
        ),
      ).toBeLessThan(1e-7);
      const glass = solved(reflected(jobOf([original], [cut('left')]), across));
      expect(distance(glass.members[0]!.centerline.end.origin, right.member.centerline.end.origin)).toBeLessThan(1e-9);
    }),
    RUNS,
  );
});

test('the witness line is carried, never turned about the tube', () => {
  fc.assert(
    fc.property(direction, between(60, 200), between(5, 170), between(0, 359), (heading, clr, deg, toward) => {
      const line = lineOf(jobOf([runTube('bar', round(30), { heading, run: [bend(clr, deg, toward)] })]));
      const [start, end] = [frameAt(line, 0), line.end];
      const axis = unit(cross(start.heading, end.heading));
      expect(
        worst('witness line', [
          [dot(start.up, axis), dot(end.up, axis)],
          [dot(start.right, axis), dot(end.right, axis)],
          [0, dot(end.up, end.heading)],
        ]),
      ).toBeLessThan(1e-12);
      expect(
        worst(
          'right hand',
          scale(cross(end.heading, end.up), 1).map((x, i) => [x, end.right[i]!]),
        ),
      ).toBeLessThan(1e-12);
    }),
    runs(100),
  );
});
