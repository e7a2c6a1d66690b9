import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { pointRows } from '../../src/export/bending-rows.ts';
import { cutTable } from '../../src/export/cut-table.ts';
import { centerlineThrough } from '../../src/geometry/bends.ts';
import { frameAt } from '../../src/geometry/centerline.ts';
import { dot, length, sub, type Vec3 } from '../../src/geometry/vector.ts';
import type { Goal, RunItem, ToSolve } from '../../src/job/job.ts';
import type { Problem } from '../../src/job/problem.ts';
import { toSolvePlaces } from '../../src/job/solve-names.ts';
import type { Member, SolvedValue } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { barTube, bend, carried, jobOf, reflected, round, runTube, solved, straight } from '../support/jobs.ts';
import { between, direction, motion, runs } from './arbitrary.ts';

interface Layout {
  readonly at: Vec3;
  readonly heading: Vec3;
  readonly up: Vec3;
  readonly run: readonly RunItem[];
}

/** Runs of up to four bends, whose planes count from up or from the bend before. */
const layout: fc.Arbitrary<Layout> = fc
  .record({
    at: fc.tuple(between(-300, 300), between(-300, 300), between(-300, 300)),
    heading: direction,
    up: direction,
    legs: fc.array(
      fc.record({
        length: between(20, 300),
        clr: between(50, 150),
        deg: between(5, 150),
        side: between(0, 359),
        fromBefore: fc.boolean(),
      }),
      { minLength: 1, maxLength: 4 },
    ),
    last: between(20, 300),
  })
  .map(({ at, heading, up, legs, last }) => ({
    at,
    heading,
    up,
    run: [
      ...legs.flatMap(({ length: long, clr, deg, side, fromBefore }) => {
        const item = bend(clr, deg, side);
        const kind = fromBefore ? ('plane-of-bend' as const) : ('toward' as const);
        return [straight(long), item.kind === 'bend' ? { ...item, toward: { kind, deg: side } } : item];
      }),
      straight(last),
    ],
  }))
  .filter(({ heading, up }) => Math.abs(dot(heading, up)) < 0.99);

const SOLVE: ToSolve = { kind: 'solve' };

/** Numbers of a run that can be hidden: two for a bend, one for a straight. */
type Hideable = readonly [item: number, what: 'length' | 'angle' | 'side'];
const places = (run: readonly RunItem[]): readonly Hideable[] =>
  run.flatMap((item, i): Hideable[] =>
    item.kind === 'straight'
      ? [[i, 'length']]
      : [
          [i, 'side'],
          [i, 'angle'],
        ],
  );

function hide(run: readonly RunItem[], picks: readonly number[]): readonly RunItem[] {
  const all = places(run);
  const hidden = picks.map((pick) => all[pick % all.length]!);
  return run.map((item, i) => {
    const here = hidden.filter(([k]) => k === i).map(([, what]) => what);
    if (item.kind === 'straight') return here.length > 0 ? { ...item, length: SOLVE } : item;
    if (item.kind !== 'bend') return item;
    return {
      ...item,
      bendAngleDeg: here.includes('angle') ? SOLVE : item.bendAngleDeg,
      toward: here.includes('side') ? { ...item.toward, deg: SOLVE } : item.toward,
    };
  });
}

/** The numbers that stand in the run where another one has `solve`, in the order in which they are solved. */
const known = (run: readonly RunItem[], hidden: readonly RunItem[]): readonly number[] =>
  toSolvePlaces(hidden).map(({ item: i, kind }) => {
    const item = run[i]!;
    if (item.kind === 'straight') return Number(item.length);
    if (item.kind !== 'bend') throw new Error('neither straight nor bend');
    return Number(kind === 'bend angle' ? item.bendAngleDeg : item.toward.deg);
  });

const laidOut = (plan: Layout, goals: readonly Goal[] = []): Member =>
  solved(jobOf([runTube('rail', round(30), { ...plan, goals })])).members[0]!;

const apart = (row: SolvedValue, value: number): number => {
  if (row.unit === 'mm') return Math.abs(row.value - value);
  const turn = (((row.value - value) % 360) + 360) % 360;
  return Math.min(turn, 360 - turn);
};

/** All answers, the one taken first. */
const answersOf = (member: Member): readonly (readonly SolvedValue[])[] => [
  member.solved,
  ...member.solving!.others.map((other) => other.solved),
];

const goalsAt = ({ centerline }: Member, which: { heading: boolean; up: boolean; long: boolean }): readonly Goal[] => {
  const { origin, heading, up } = centerline.end;
  const path = ['goal'];
  return [
    { kind: 'on-point', point: origin, path },
    ...(which.heading ? [{ kind: 'heading', heading, path } as const] : []),
    ...(which.up ? [{ kind: 'up', up, path } as const] : []),
    ...(which.long ? [{ kind: 'developed-length', length: centerline.length, path } as const] : []),
  ];
};

/** A random tube may also run into itself. */
const ofSolving = (problems: readonly Problem[]): readonly Problem[] =>
  problems.filter(({ code }) => code.startsWith('unknown/'));

const hiddenLayout = fc.record({
  plan: layout,
  picks: fc.uniqueArray(fc.nat({ max: 11 }), { minLength: 1, maxLength: 4 }),
  which: fc.record({ heading: fc.boolean(), up: fc.boolean(), long: fc.boolean() }),
});

describe('up to four numbers hidden in a random layout', () => {
  test('are among the answers to 1e-6, each of which meets the goals to 1e-9', () => {
    let [found, free] = [0, 0];
    fc.assert(
      fc.property(hiddenLayout, ({ plan, picks, which }) => {
        const run = hide(plan.run, picks);
        const wanted = known(plan.run, run);
        // The heading is needed once there are more numbers than a point fixes.
        const goals = goalsAt(laidOut(plan), { ...which, heading: which.heading || wanted.length > 3 });
        const job = jobOf([runTube('rail', round(30), { ...plan, run, goals })]);
        const { value, problems } = solveJob(job);
        if (!value) {
          // Straights along each other and the like: that is said, and is not counted as found.
          expect(problems.map(({ code }) => code)).toEqual(['unknown/too-many']);
          free += 1;
          return;
        }
        const member = value.members[0]!;
        const answers = answersOf(member);
        const nearest = Math.min(...answers.map((rows) => Math.max(...rows.map((row, k) => apart(row, wanted[k]!)))));
        expect(nearest).toBeLessThan(1e-6);
        const [point] = goals;
        if (point?.kind === 'on-point')
          expect(length(sub(member.centerline.end.origin, point.point))).toBeLessThan(2e-9);
        expect(ofSolving(problems).length).toBe(answers.length > 1 ? 1 : 0);
        found += 1;
      }),
      runs(160),
    );
    expect(found).toBeGreaterThan(140);
    expect(free).toBeLessThan(16);
  });

  test('are taken, of several answers, when `near` says about what they are', () => {
    fc.assert(
      fc.property(hiddenLayout, between(-1, 1), ({ plan, picks }, aside) => {
        const run = hide(plan.run, picks.slice(0, 2));
        const wanted = known(plan.run, run);
        const hinted = run.map((item, i): RunItem => {
          const near = (was: number): ToSolve => ({ kind: 'solve', near: was + 0.5 * aside });
          const of = plan.run[i]!;
          if (item.kind === 'straight' && of.kind === 'straight')
            return typeof item.length === 'number' ? item : { ...item, length: near(Number(of.length)) };
          if (item.kind !== 'bend' || of.kind !== 'bend') return item;
          return {
            ...item,
            bendAngleDeg: typeof item.bendAngleDeg === 'number' ? item.bendAngleDeg : near(Number(of.bendAngleDeg)),
            toward:
              typeof item.toward.deg === 'number' ? item.toward : { ...item.toward, deg: near(Number(of.toward.deg)) },
          };
        });
        const goals = goalsAt(laidOut(plan), { heading: false, up: false, long: false });
        const { value, problems } = solveJob(jobOf([runTube('rail', round(30), { ...plan, run: hinted, goals })]));
        expect(ofSolving(problems)).toEqual([]);
        const { solved: rows } = value!.members[0]!;
        expect(Math.max(...rows.map((row, k) => apart(row, wanted[k]!)))).toBeLessThan(1e-6);
      }),
      runs(60),
    );
  });

  test('are the same wherever the job lies, and in a looking glass with left for right', () => {
    fc.assert(
      fc.property(hiddenLayout, motion, ({ plan, picks }, moved) => {
        const run = hide(plan.run, picks.slice(0, 3));
        const goals = goalsAt(laidOut(plan), { heading: true, up: false, long: false });
        const job = jobOf([runTube('rail', round(30), { ...plan, run, goals })]);
        const { value } = solveJob(job);
        if (!value) return;
        const { solved: rows } = value.members[0]!;
        const elsewhere = solved(carried(job, moved)).members[0]!;
        expect(answersOf(elsewhere)).toHaveLength(answersOf(value.members[0]!).length);
        expect(
          Math.min(
            ...answersOf(elsewhere).map((other) => Math.max(...rows.map((row, k) => apart(other[k]!, row.value)))),
          ),
        ).toBeLessThan(1e-6);
        const mirrored = solved(reflected(job, { point: [0, 0, 0], normal: [1, 0, 0] })).members[0]!;
        const flipped = (row: SolvedValue): number => (/toward|plane/.test(row.what) ? 360 - row.value : row.value);
        expect(
          Math.min(
            ...answersOf(mirrored).map((other) => Math.max(...rows.map((row, k) => apart(other[k]!, flipped(row))))),
          ),
        ).toBeLessThan(1e-6);
      }),
      runs(40),
    );
  });
});

/** Goals of every kind that the end of a layout meets; `pick` chooses directions and the rest. */
function everyGoal({ centerline }: Member, aim: { readonly normal: Vec3; readonly post: Vec3 }): readonly Goal[] {
  const { origin, heading, up, right } = centerline.end;
  const path = ['goal'];
  const plane = { point: origin, normal: aim.normal };
  const away = sub(origin, aim.post);
  // The post stands along z.
  const distance = Math.hypot(away[0], away[1]);
  const angleDeg = (Math.atan2(Math.hypot(heading[0], heading[1]), heading[2]) * 180) / Math.PI;
  return [
    { kind: 'on-plane', plane, path },
    { kind: 'on-line', point: origin, direction: aim.normal, path },
    { kind: 'on-point', point: origin, path },
    { kind: 'heading', heading, path },
    { kind: 'up', up, path },
    { kind: 'in-plane', plane: { point: origin, normal: right }, path },
    { kind: 'spacing', member: 'post', distance, path },
    { kind: 'angle-to', member: 'post', angleDeg, path },
    { kind: 'developed-length', length: centerline.length, path },
  ];
}

test('numbers hidden from goals of any kind are found, or said to stay free; none of these goals ever clashes', () => {
  let found = 0;
  fc.assert(
    fc.property(
      hiddenLayout,
      fc.uniqueArray(fc.nat({ max: 8 }), { minLength: 1, maxLength: 3 }),
      direction,
      fc.tuple(between(-400, 400), between(-400, 400)),
      ({ plan, picks }, which, normal, [x, y]) => {
        const post = barTube('post', round(20), { from: [x, y, -900], to: [x, y, 900], up: [1, 0, 0] });
        const run = hide(plan.run, picks.slice(0, 2));
        const wanted = known(plan.run, run);
        const all = everyGoal(laidOut(plan), { normal, post: [x, y, 0] });
        const goals = which.map((k) => all[k]!);
        const { value, problems } = solveJob(jobOf([runTube('rail', round(30), { ...plan, run, goals }), post]));
        if (!value) {
          expect(problems.map(({ code }) => code)).toEqual(['unknown/too-many']);
          return;
        }
        const nearest = Math.min(
          ...answersOf(value.members[0]!).map((rows) => Math.max(...rows.map((row, k) => apart(row, wanted[k]!)))),
        );
        // Where a goal is only just reached the values are known to the root of what it is met to.
        expect(nearest).toBeLessThan(1e-4);
        found += 1;
      },
    ),
    runs(120),
  );
  expect(found).toBeGreaterThan(60);
});

describe('points and bending rows are the same tube', () => {
  test('rows laid out again end where the run did, and so do the points with their clr', () => {
    fc.assert(
      fc.property(layout, (plan) => {
        const solution = solved(jobOf([runTube('rail', round(30), plan)]));
        const { centerline } = solution.members[0]!;
        const [piece] = cutTable(solution).pieces;
        const { rows, last } = piece!.bending!;
        const first = centerline.segments.find((segment) => segment.kind === 'bend')!;
        // The first bend is set by hand; rows tell the turn from one bend to the next.
        const again = rows.flatMap((row, i): RunItem[] => {
          const deg = i === 0 ? first.towardDeg : row.planeOfBendDeg;
          const kind = i === 0 ? ('toward' as const) : ('plane-of-bend' as const);
          const item = { kind: 'bend', clr: row.clr, bendAngleDeg: row.bendAngleDeg, path: ['bend'] } as const;
          return [straight(row.straight), { ...item, toward: { kind, deg } }];
        });
        const rebuilt = laidOut({ ...plan, run: [...again, straight(last)] }).centerline;
        const points = pointRows(centerline);
        const through = centerlineThrough(
          points.map(({ at }) => at),
          points.flatMap(({ clr }) => clr ?? []),
          plan.up,
        );
        for (const other of [rebuilt, through]) {
          expect(Math.abs(other.length - centerline.length)).toBeLessThan(1e-7);
          for (const share of [0.2, 0.55, 0.8, 1]) {
            const s = share * centerline.length;
            expect(length(sub(frameAt(other, s).origin, frameAt(centerline, s).origin))).toBeLessThan(1e-6);
            expect(length(sub(frameAt(other, s).up, frameAt(centerline, s).up))).toBeLessThan(1e-8);
          }
        }
        for (const { from, to, clr, bendAngleDeg } of rows)
          expect(length(sub(to, from))).toBeCloseTo(2 * clr * Math.sin((bendAngleDeg * Math.PI) / 360), 7);
        const total = rows.reduce((sum, row) => sum + row.straight + row.arcLength, last);
        expect(Math.abs(total - piece!.developedLength)).toBeLessThan(1e-9);
      }),
      runs(100),
    );
  });
});
