import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { setback } from '../../src/geometry/bends.ts';
import { frameAt } from '../../src/geometry/centerline.ts';
import { along, dot, type Vec3 } from '../../src/geometry/vector.ts';
import type { Goal, RunItem } from '../../src/job/job.ts';
import type { Member } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { bend, jobOf, pointsTube, round, runTube, solved, straight } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { between, direction, runs } from './arbitrary.ts';

const RUNS = runs(200);

interface Layout {
  readonly at: Vec3;
  readonly heading: Vec3;
  readonly up: Vec3;
  readonly run: readonly RunItem[];
}

const layout: fc.Arbitrary<Layout> = fc
  .record({
    at: fc.tuple(between(-300, 300), between(-300, 300), between(-300, 300)),
    heading: direction,
    up: direction,
    legs: fc.array(
      fc.record({ length: between(20, 300), clr: between(50, 150), deg: between(5, 150), toward: between(0, 359) }),
      { minLength: 1, maxLength: 4 },
    ),
    last: between(20, 300),
  })
  .map(({ at, heading, up, legs, last }) => ({
    at,
    heading,
    up,
    run: [
      ...legs.flatMap(({ length, clr, deg, toward }) => [straight(length), bend(clr, deg, toward)]),
      straight(last),
    ],
  }))
  // A witness line along the tube is no wish for up.
  .filter(({ heading, up }) => Math.abs(dot(heading, up)) < 0.99);

const laidOut = (plan: Layout, goals: readonly Goal[] = []): Member =>
  solved(jobOf([runTube('rail', round(30), { ...plan, goals })])).members[0]!;

const hidden = (run: readonly RunItem[], index: number): readonly RunItem[] =>
  run.map((item, i) =>
    i !== index
      ? item
      : item.kind === 'straight'
        ? { ...item, length: { kind: 'solve' } }
        : item.kind === 'bend'
          ? { ...item, bendAngleDeg: { kind: 'solve' } }
          : item,
  );

const valueAt = (run: readonly RunItem[], index: number): number => {
  const item = run[index]!;
  const value = item.kind === 'bend' ? item.bendAngleDeg : item.length;
  if (typeof value !== 'number') throw new Error('not a number');
  return value;
};

describe('an unknown is found again from where the tube ended', () => {
  test.each(['straight', 'bend'] as const)('a %s, from the end point and heading', (kind) => {
    fc.assert(
      fc.property(layout, fc.nat(), (plan, pick) => {
        const candidates = plan.run.flatMap((item, i) => (item.kind === kind ? [i] : []));
        const index = candidates[pick % candidates.length]!;
        const { origin, heading } = laidOut(plan).centerline.end;
        const goals: readonly Goal[] = [
          { kind: 'on-point', point: origin, path: ['goal'] },
          { kind: 'heading', heading, path: ['goal'] },
        ];
        const found = laidOut({ ...plan, run: hidden(plan.run, index) }, goals).solved[0]!;
        expect(worst(`hidden ${kind}`, [[valueAt(plan.run, index), found.value]])).toBeLessThan(1e-9);
      }),
      RUNS,
    );
  });

  test('a straight, from a plane or a line that its end lies on', () => {
    fc.assert(
      fc.property(layout, fc.nat(), direction, fc.boolean(), (plan, pick, normal, asLine) => {
        const index = 2 * (pick % Math.ceil(plan.run.length / 2));
        const { centerline } = laidOut(plan);
        const end = centerline.end.origin;
        const step = frameAt(
          centerline,
          plan.run
            .slice(0, index)
            .reduce(
              (s, item) =>
                s +
                (item.kind !== 'bend' ? Number(item.length) : (item.clr * Number(item.bendAngleDeg) * Math.PI) / 180),
              0,
            ) + 1e-6,
        ).heading;
        const rate = Math.abs(step[0] * normal[0] + step[1] * normal[1] + step[2] * normal[2]);
        // A plane or line along the straight tells nothing of its length.
        fc.pre(asLine ? rate < 0.9 : rate > 0.1);
        const goal: Goal = asLine
          ? { kind: 'on-line', point: along(end, normal, 77), direction: normal, path: ['goal'] }
          : { kind: 'on-plane', plane: { point: end, normal }, path: ['goal'] };
        const found = laidOut({ ...plan, run: hidden(plan.run, index) }, [goal]).solved[0]!;
        expect(worst('straight to plane or line', [[valueAt(plan.run, index), found.value]])).toBeLessThan(1e-9);
      }),
      RUNS,
    );
  });

  test('a bend to a plane: the value found meets the goal, no bend is more than half a turn, and two answers are said to be two', () => {
    fc.assert(
      fc.property(layout, fc.nat(), direction, (plan, pick, normal) => {
        const candidates = plan.run.flatMap((item, i) => (item.kind === 'bend' ? [i] : []));
        const index = candidates[pick % candidates.length]!;
        const end = laidOut(plan).centerline.end.origin;
        const goal: Goal = { kind: 'on-plane', plane: { point: end, normal }, path: ['goal'] };
        const { value, problems } = solveJob(
          jobOf([runTube('rail', round(30), { ...plan, run: hidden(plan.run, index), goals: [goal] })]),
        );
        const member = value!.members[0]!;
        const found = member.solved[0]!.value;
        const miss = member.centerline.end.origin.reduce((sum, x, i) => sum + (x - end[i]!) * normal[i]!, 0);
        expect(Math.abs(miss)).toBeLessThan(1e-7);
        expect(found).toBeGreaterThan(0);
        expect(found).toBeLessThanOrEqual(180);
        const known = valueAt(plan.run, index);
        if (Math.abs(found - known) > 1e-6)
          expect(problems.map((problem) => problem.code)).toContain('unknown/two-solutions');
      }),
      RUNS,
    );
  });

  test('a bend that turns just far enough has one answer, not two beside each other', () => {
    fc.assert(
      fc.property(
        direction,
        direction,
        between(40, 200),
        fc.integer({ min: 0, max: 359 }),
        (heading, up, clr, toward) => {
          fc.pre(Math.abs(dot(heading, up)) < 0.99);
          // The end reaches the plane that lies clr ahead of the start only at a quarter turn.
          const goal: Goal = {
            kind: 'on-plane',
            plane: { point: along([30, -70, 11], heading, clr), normal: heading },
            path: ['goal'],
          };
          const { value, problems } = solveJob(
            jobOf([
              runTube('rail', round(30), {
                at: [30, -70, 11],
                heading,
                up,
                run: [bend(clr, 'solve', toward)],
                goals: [goal],
              }),
            ]),
          );
          expect(problems).toEqual([]);
          expect(worst('farthest bend', [[90, value!.members[0]!.solved[0]!.value]])).toBeLessThan(1e-4);
        },
      ),
      RUNS,
    );
  });

  test('a single bend to a plane has one answer: the way round the other side is no bend', () => {
    const goal: Goal = { kind: 'on-plane', plane: { point: [0, 0, 30], normal: [0, 0, 1] }, path: ['goal'] };
    const { value, problems } = solveJob(
      jobOf([
        runTube('rail', round(30), { heading: [1, 0, 0], up: [0, 0, 1], run: [bend(60, 'solve', 0)], goals: [goal] }),
      ]),
    );
    expect(problems).toEqual([]);
    expect(value!.members[0]!.solved[0]!.value).toBeCloseTo(60, 9);
  });
});

test('corner points make the same tube as the run through them', () => {
  fc.assert(
    fc.property(layout, (plan) => {
      const { centerline } = laidOut(plan);
      const corners = centerline.segments.flatMap((segment) =>
        segment.kind === 'bend'
          ? [
              {
                point: along(segment.start.origin, segment.start.heading, setback(segment.clr, segment.bendAngleDeg)),
                clr: segment.clr,
              },
            ]
          : [],
      );
      // Legs so short that setbacks overlap cannot be written as corners of this kind.
      const points: readonly Vec3[] = [plan.at, ...corners.map((corner) => corner.point), centerline.end.origin];
      const member = solved(
        jobOf([pointsTube('rail', round(30), { points, clrs: corners.map((corner) => corner.clr), up: plan.up })]),
      ).members[0]!;
      expect(worst('points form: length', [[centerline.length, member.centerline.length]])).toBeLessThan(1e-7);
      for (const part of [0.1, 0.37, 0.61, 0.93, 1]) {
        const [p, q] = [
          frameAt(centerline, part * centerline.length),
          frameAt(member.centerline, part * member.centerline.length),
        ];
        expect(
          worst(
            'points form: place',
            p.origin.map((x, i) => [x, q.origin[i]!]),
          ),
        ).toBeLessThan(1e-7);
        expect(
          worst(
            'points form: witness line',
            p.up.map((x, i) => [x, q.up[i]!]),
          ),
        ).toBeLessThan(1e-8);
      }
    }),
    RUNS,
  );
});
