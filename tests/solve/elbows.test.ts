import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { setback } from '../../src/geometry/bends.ts';
import { besideAt, frameAt } from '../../src/geometry/centerline.ts';
import { elbowMiterDeg, middlePieceLength } from '../../src/geometry/elbow.ts';
import { outlineAt, type Section } from '../../src/geometry/section.ts';
import { distance, dot, type Mm } from '../../src/geometry/vector.ts';
import type { Job, RunItem } from '../../src/job/job.ts';
import { elbowCutting } from '../../src/solve/elbow-cuts.ts';
import { elbowLengths, elbowOrdinates, type WeldedLayout, weldUpElbows } from '../../src/solve/elbows.ts';
import { layOut } from '../../src/solve/layout.ts';
import type { Elbow, Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { runs } from '../properties/arbitrary.ts';
import {
  barTube,
  bend,
  cope,
  cutOf,
  ellipse,
  jobOf,
  mirrorTube,
  miter,
  oval,
  rectangle,
  round,
  runTube,
  sAt,
  solved,
  straight,
  trim,
} from '../support/jobs.ts';

interface Turn {
  readonly clr: Mm;
  readonly angle: number | 'solve';
  readonly welds: number;
  readonly toward?: number;
  readonly gap?: Mm;
}

const elbow = ({ clr, angle, welds, toward = 90, gap = 0 }: Turn): RunItem => ({
  ...(bend(clr, angle, toward) as RunItem & { kind: 'bend' }),
  elbow: { welds, gap },
});

const elbowJob = (section: Section, turn: Turn, [before, after]: readonly [Mm, Mm] = [200, 300]): Job =>
  jobOf([
    runTube('duct', section, {
      up: [0, 1, 0],
      run: [...(before > 0 ? [straight(before)] : []), elbow(turn), ...(after > 0 ? [straight(after)] : [])],
    }),
  ]);

/** Pieces and elbows without their cut curves. */
const laidOut = (job: Job): WeldedLayout | undefined => weldUpElbows(job, layOut(job).value!).value;

const shape = (od: Mm, turn: Turn): Elbow => laidOut(elbowJob(round(od), turn))!.elbows[0]!;

describe('published elbows', () => {
  test('a 90 with 4 welds and 15.913 between weld centers has clr 40 and cuts of 11.25 (pipe-stress applications guide after ASME B31.3)', () => {
    const one = shape(20 * 25.4, { clr: 40 * 25.4, angle: 90, welds: 4 });
    expect(elbowMiterDeg(one)).toBe(11.25);
    expect(elbowLengths(one).middle.center / 25.4).toBeCloseTo(15.913, 3);
  });

  // Fabricator's worksheet, a weak source; its numbers recompute. Angles from the heel.
  test.each([
    {
      r: 250,
      clr: 2000,
      miterDeg: 10,
      end: [396.74, 390.83, 374.69, 352.65, 330.61, 314.48, 308.57],
      middle: [793.47, 781.66, 749.39, 705.31, 661.23, 628.96, 617.14],
      rest: [88.16, 82.26, 66.12, 44.08, 22.04, 5.91, 0],
    },
    {
      r: 1056,
      clr: 6300,
      miterDeg: 4.625,
      end: [595.08, 583.64, 552.37, 509.65, 466.94, 435.67, 424.23],
    },
  ])('ordinates of r $r, clr $clr, miter $miterDeg in 12 divisions', ({ r, clr, miterDeg, end, middle, rest }) => {
    const one = shape(2 * r, { clr, angle: miterDeg * 4, welds: 2 });
    expect(elbowMiterDeg(one)).toBe(miterDeg);
    const rows = elbowOrdinates(one, 12);
    expect(rows).toHaveLength(12);
    const half = rows.slice(0, 7);
    const short = half[6]!.end;
    half.forEach((row, i) => {
      expect(row.turnDeg).toBe(30 * i);
      expect(Math.abs(row.end - end[i]!)).toBeLessThan(0.0051);
      if (middle) expect(Math.abs(row.middle - middle[i]!)).toBeLessThan(0.0051);
      if (rest) expect(Math.abs(row.end - short - rest[i]!)).toBeLessThan(0.0051);
    });
    // The other half mirrors it.
    for (let i = 1; i < 6; i++) expect(rows[12 - i]!.middle).toBeCloseTo(rows[i]!.middle, 9);
  });

  test.each([
    [90, 5, [11.25, 33.75, 56.25, 78.75]],
    [75, 4, [12.5, 37.5, 62.5]],
  ])(
    'the cuts of a %d elbow in %d pieces rise at these degrees (Longfield, Sheet Metal Drafting, McGraw-Hill 1921, p. 59)',
    (angle, pieces, rises) => {
      const solution = solved(elbowJob(round(60), { clr: 120, angle, welds: pieces - 1 }, [0, 0]));
      // Rise of a cut: from the face of the first end piece, seen from the turn's center.
      const start = solution.members[0]!.centerline.segments[0]!.start.heading;
      const found = solution.elbows[0]!.pieces.slice(0, -1).map((name) => {
        const normal = cutOf(solution, `${name}.end`).flat!.plane.normal;
        return (Math.acos(dot(normal, start)) * 180) / Math.PI;
      });
      found.forEach((deg, i) => {
        expect(deg).toBeCloseTo(rises[i]!, 9);
      });
      expect(found).toHaveLength(rises.length);
    },
  );

  test.each([
    [2, 12],
    [3, 24],
    [4, 36],
    [5, 48],
    [6, 60],
    [7, 72],
    [8, 84],
  ])('an elbow of %d pieces for %d degrees has a backset of 6 degrees (same, p. 59)', (pieces, angle) => {
    const solution = solved(elbowJob(round(60), { clr: 120, angle, welds: pieces - 1 }));
    for (const end of solution.ends) expect(end.flat?.miterDeg).toBe(6);
  });

  test('trap: AWWA C208 gives a 60 in elbow of R 90 in 92.065 in center to face for its longer end gores; the plain one has 90', () => {
    const inch = 25.4;
    const faceOf = (solution: Solution): Mm => {
      const first = solution.members[0]!.centerline;
      const last = solution.members.at(-1)!.centerline;
      // Both faces lie as far from the corner of the two axes.
      const from = frameAt(first, 0);
      const to = last.end;
      const across = distance(from.origin, to.origin);
      return across / Math.SQRT2;
    };
    const plain = solved(elbowJob(round(60 * inch), { clr: 90 * inch, angle: 90, welds: 4 }, [0, 0]));
    expect(faceOf(plain) / inch).toBeCloseTo(90, 9);
    expect(setback(90, 90)).toBeCloseTo(90, 12);
    const longer = 2.065 * inch;
    const standard = solved(elbowJob(round(60 * inch), { clr: 90 * inch, angle: 90, welds: 4 }, [longer, longer]));
    expect(faceOf(standard) / inch).toBeCloseTo(92.065, 9);
  });
});

const SECTIONS: readonly Section[] = [
  round(80),
  oval(120, 60),
  oval(60, 120),
  ellipse(90, 60),
  rectangle(80, 50, 6),
  rectangle(60, 60, 0),
];

const turns = fc.record({
  section: fc.constantFrom(...SECTIONS),
  clr: fc.double({ min: 90, max: 400, noNaN: true }),
  angle: fc.double({ min: 20, max: 175, noNaN: true }),
  welds: fc.integer({ min: 2, max: 4 }),
  toward: fc.double({ min: 0, max: 359, noNaN: true }),
  gap: fc.constantFrom(0, 1.5),
});

describe('pieces of a welded turn', () => {
  test('every weld closes: both sides meet in one curve, the gap between them even', () => {
    fc.assert(
      fc.property(turns, ({ section, ...turn }) => {
        const outcome = solveJob(elbowJob(section, turn));
        if (!outcome.value) return outcome.problems.every(({ code }) => code === 'elbow/no-throat');
        const solution = outcome.value;
        const { pieces } = solution.elbows[0]!;
        pieces.slice(1).forEach((name, i) => {
          const before = cutOf(solution, `${pieces[i]!}.end`);
          const after = cutOf(solution, `${name}.start`);
          for (let k = 0; k < 12; k++) {
            const [a, b] = outlineAt(section, k / 12).point;
            const p = besideAt(before.member.centerline, sAt(before, k / 12), a, b);
            const q = besideAt(after.member.centerline, sAt(after, k / 12), a, b);
            const off = dot(before.flat!.plane.normal, q) - dot(before.flat!.plane.normal, p);
            expect(off).toBeCloseTo(turn.gap, 7);
            // Along the weld's plane the two lines leave each other only by the gap's share of the lean.
            expect(distance(p, q)).toBeLessThan(
              turn.gap / Math.cos((turn.angle / 2 / turn.welds) * (Math.PI / 180)) + 1e-6,
            );
          }
        });
        return true;
      }),
      runs(12),
    );
  });

  test('each line of a traced middle piece is as long as the formula says, for any section and side', () => {
    fc.assert(
      fc.property(turns, ({ section, ...turn }) => {
        const solution = solveJob(elbowJob(section, turn)).value;
        if (!solution) return;
        const one = solution.elbows[0]!;
        const name = one.pieces[1]!;
        for (let k = 0; k < 16; k++) {
          const u = k / 16;
          const [a, b] = outlineAt(section, u).point;
          const rad = (turn.toward * Math.PI) / 180;
          const out = -(a * Math.sin(rad) + b * Math.cos(rad));
          const traced = sAt(cutOf(solution, `${name}.end`), u) - sAt(cutOf(solution, `${name}.start`), u);
          expect(traced).toBeCloseTo(middlePieceLength(one, out), 7);
        }
      }),
      runs(10),
    );
  });

  test('the elbow ends where the bend of the same clr would, with its witness line', () => {
    fc.assert(
      fc.property(turns, ({ section, ...turn }) => {
        const welded = laidOut(elbowJob(section, turn));
        if (!welded) return;
        const end = welded.members.at(-1)!.centerline.end;
        const bent = layOut(
          jobOf([
            runTube('duct', section, {
              up: [0, 1, 0],
              run: [straight(200), bend(turn.clr, turn.angle, turn.toward), straight(300)],
            }),
          ]),
        ).value![0]!.centerline.end;
        expect(distance(end.origin, bent.origin)).toBeLessThan(1e-9);
        expect(dot(end.up, bent.up)).toBeCloseTo(1, 12);
        expect(dot(end.heading, bent.heading)).toBeCloseTo(1, 12);
      }),
      runs(40),
    );
  });

  test('end pieces are one tube with the straights beside them; without straights they are half a middle piece', () => {
    const withStraights = solved(elbowJob(round(80), { clr: 150, angle: 90, welds: 3 }));
    expect(withStraights.pieces.map(({ member }) => member.name)).toEqual([
      'duct-gore-1',
      'duct-gore-2',
      'duct-gore-3',
      'duct-gore-4',
    ]);
    const half = 150 * Math.tan(Math.PI / 12);
    expect(withStraights.members[0]!.centerline.segments).toHaveLength(1);
    expect(withStraights.members[0]!.centerline.length).toBeCloseTo(200 + half, 9);
    expect(withStraights.members[3]!.centerline.length).toBeCloseTo(300 + half, 9);
    const bare = solved(elbowJob(round(80), { clr: 150, angle: 90, welds: 3 }, [0, 0]));
    expect(bare.pieces[0]!.longLength * 2).toBeCloseTo(bare.pieces[1]!.longLength, 9);
  });

  test('bends, several elbows and a mirror image go together', () => {
    const duct = runTube('duct', round(60), {
      up: [0, 1, 0],
      run: [
        straight(150),
        bend(120, 40, 0),
        straight(90),
        elbow({ clr: 120, angle: 60, welds: 2 }),
        straight(200),
        elbow({ clr: 100, angle: 45, welds: 1, toward: 200 }),
      ],
    });
    const image = mirrorTube('image', duct, { point: [500, 0, 0], normal: [1, 0, 0] });
    const solution = solved(
      jobOf([duct, image], [trim('duct.start', { kind: 'into-bend', bendAngleDeg: 20, bend: 1 })]),
    );
    expect(solution.elbows.map(({ name, pieces }) => [name, pieces.length])).toEqual([
      ['duct-elbow', 3],
      ['duct-elbow-2', 2],
      ['image-elbow', 3],
      ['image-elbow-2', 2],
    ]);
    expect(solution.members).toHaveLength(8);
    expect(cutOf(solution, 'duct-gore-1.start').bend?.intoBendDeg).toBe(20);
    expect(solution.members[7]!.mirrorOf).toBe('duct-gore-4');
    const last = (name: string) => solution.members.find((member) => member.name === name)!.centerline.end.origin;
    const [x, y, z] = last('duct-gore-4');
    expect(distance(last('image-gore-4'), [1000 - x, y, z])).toBeLessThan(1e-9);
  });

  test('the ends of the member are those of its first and last pieces, for every joint', () => {
    const duct = runTube('duct', round(60), {
      heading: [1, 0, 0],
      up: [0, 0, 1],
      run: [straight(200), elbow({ clr: 120, angle: 90, welds: 3, toward: 0 }), straight(200)],
    });
    const rail = barTube('rail', round(60), { from: [320, 0, 320], to: [520, 0, 320] });
    const post = barTube('post', round(90), { from: [0, 0, -300], to: [0, 0, 300] });
    const top = 320;
    const solution = solved(jobOf([duct, rail, post], [miter('duct.end', 'rail.start'), cope('duct.start', ['post'])]));
    expect(cutOf(solution, 'duct-gore-4.end').flat?.miterDeg).toBe(45);
    expect(cutOf(solution, 'duct-gore-4.end').flat?.plane.point[2]).toBe(top);
    expect(cutOf(solution, 'duct-gore-1.start').jointKind).toBe('cope');
    const trimmed = solved(jobOf([duct], [trim('duct.end', { kind: 'at', distance: 550 })]));
    const lengths = trimmed.members.slice(0, 3).reduce((sum, { centerline }) => sum + centerline.length, 0);
    expect(cutOf(trimmed, 'duct-gore-4.end').longPoint).toBeCloseTo(550 - lengths, 9);
  });

  test('a branch meets the gores of its run, also over a weld', () => {
    const duct = runTube('duct', round(100), {
      up: [0, 1, 0],
      run: [straight(200), elbow({ clr: 180, angle: 90, welds: 3, toward: 270 }), straight(200)],
    });
    const branch = barTube('branch', round(48), { from: [180, 400, 380], to: [52.72, 0, 327.28], up: [0, 0, 1] });
    const end = cutOf(solved(jobOf([duct, branch], [cope('branch.end', ['duct'])])), 'branch.end');
    expect(new Set(end.curves.outer.samples.map(({ stop }) => end.stops[stop]!.id)).size).toBeGreaterThan(1);
  });

  test('a bend angle written solve is solved in an elbow', () => {
    const plane = { point: [400, 0, 0], normal: [1, 0, 0] } as const;
    const goal = { kind: 'on-plane', plane, path: [] } as const;
    const run = [straight(100), elbow({ clr: 150, angle: 'solve', welds: 3, toward: 270 }), straight(350)];
    const solution = solved(jobOf([runTube('duct', round(60), { up: [0, 1, 0], run, goals: [goal] })]));
    expect(solution.members.at(-1)!.centerline.end.origin[0]).toBeCloseTo(400, 7);
    expect(solution.members[0]!.solved).toHaveLength(1);
  });
});

describe('flip and repeat', () => {
  test('marks on the two lines are heel and throat lengths and kerfs laid end to end', () => {
    fc.assert(
      fc.property(turns, fc.double({ min: 0.5, max: 3, noNaN: true }), ({ section, ...turn }, kerf) => {
        const one = laidOut(elbowJob(section, turn))?.elbows[0];
        if (!one) return;
        const { cuts, stub, used } = elbowCutting(one, kerf)!;
        const { middle } = elbowLengths(one);
        const behind = kerf / Math.cos((turn.angle / 2 / turn.welds) * (Math.PI / 180));
        expect(cuts).toHaveLength(turn.welds);
        expect(cuts[0]!.piece).toBeUndefined();
        expect(cuts[0]!.a).toBeCloseTo(stub, 9);
        cuts.slice(1).forEach((cut, i) => {
          const before = cuts[i]!;
          const [onA, onB] = i % 2 === 0 ? [middle.heel, middle.throat] : [middle.throat, middle.heel];
          expect(cut.piece).toBe(one.pieces[i + 1]);
          expect(cut.a - before.a - behind).toBeCloseTo(onA, 8);
          expect(cut.b - before.b - behind).toBeCloseTo(onB, 8);
          expect(cut.rollDeg).not.toBe(before.rollDeg);
        });
        expect(used).toBeCloseTo(Math.min(cuts.at(-1)!.a, cuts.at(-1)!.b) + behind, 9);
      }),
      runs(30),
    );
  });

  test('an elbow of two pieces has no middle pieces to cut', () => {
    expect(elbowCutting(shape(60, { clr: 100, angle: 60, welds: 1 }), 1)).toBeUndefined();
  });
});

describe('elbows that cannot be', () => {
  const codes = (job: Job): readonly string[] => solveJob(job).problems.map(({ code }) => code);

  test('no throat: half the tube, or half the tube and the gaps, takes the clr', () => {
    expect(codes(elbowJob(round(100), { clr: 50, angle: 90, welds: 3 }))).toEqual(['elbow/no-throat']);
    expect(codes(elbowJob(round(100), { clr: 50.01, angle: 90, welds: 3 }))).toEqual([]);
    const tight = { clr: 52, angle: 90, welds: 3, gap: 2 };
    const [problem] = solveJob(elbowJob(round(100), tight)).problems;
    expect(problem?.code).toBe('elbow/no-throat');
    expect(codes(elbowJob(round(100), { ...tight, clr: problem!.limit! + 0.01 }))).toEqual([]);
    expect(codes(elbowJob(round(100), { ...tight, clr: problem!.limit! - 0.01 }))).toEqual(['elbow/no-throat']);
  });

  test('too few welds for the turn', () => {
    expect(codes(elbowJob(round(100), { clr: 200, angle: 180, welds: 1 }))).toEqual(['elbow/too-few-welds']);
    expect(codes(elbowJob(round(100), { clr: 200, angle: 180, welds: 2 }))).toEqual([]);
  });
});
