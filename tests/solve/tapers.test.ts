import { describe, expect, test } from 'vitest';
import { solidDistance } from '../../src/geometry/distance.ts';
import { sectionAt } from '../../src/geometry/tube-shape.ts';
import type { Mm } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import { metalVolume } from '../../src/solve/mass.ts';
import type { CutEnd, Opening } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import {
  bend,
  cope,
  cutOf,
  ellipse,
  jobOf,
  oval,
  rectangle,
  round,
  runTube,
  sAt,
  solved,
  straight,
  taper,
  trim,
} from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { tried } from '../support/tools.ts';

const rad = (deg: number): number => (deg * Math.PI) / 180;

/** A cone from od 80 to od 50 over 60 mm behind 30 mm of tube, cut at 65 mm by a plane; long side at the witness line. */
const coneCut = (miterDeg: number): CutEnd =>
  cutOf(
    solved(
      jobOf(
        [runTube('m', round(80), { run: [straight(30), taper(round(80), round(50), 60), straight(40)] })],
        [trim('m.end', { kind: 'at', distance: 65 }, { miterDeg, longPointDeg: 0 })],
      ),
    ),
    'm.end',
  );

describe('flat cuts of a cone', () => {
  test.each([0, 5, 15, 25])('at %d deg from square every generator ends where r(s) says', (miterDeg) => {
    const end = coneCut(miterDeg);
    const [r, fall, t] = [40 - (35 * 15) / 60, 15 / 60, Math.tan(rad(miterDeg))];
    // On the generator at angle f from the witness line: s = 65 + t cos f (r - fall (s - 65)).
    const pairs = Array.from({ length: 40 }, (_, i): [Mm, Mm] => {
      const u = (i + 0.3) / 40;
      const c = t * Math.cos(2 * Math.PI * u);
      return [65 + (c * r) / (1 + c * fall), sAt(end, u, 'outer')];
    });
    expect(worst(`cone at ${miterDeg}`, pairs)).toBeLessThan(1e-9);
  });

  test('the bore is cut where a cone one wall inside, measured square to it, is cut', () => {
    const end = coneCut(15);
    const fall = 15 / 60;
    const r = 40 - (35 * 15) / 60 - 1.5 * Math.hypot(1, fall);
    const pairs = Array.from({ length: 24 }, (_, i): [Mm, Mm] => {
      const c = Math.tan(rad(15)) * Math.cos((2 * Math.PI * i) / 24);
      return [65 + (c * r) / (1 + c * fall), sAt(end, i / 24, 'inner')];
    });
    expect(worst('bore', pairs)).toBeLessThan(1e-9);
  });

  test('the cut is an ellipse whose long axis is that of the plane through both generators', () => {
    const { outer } = coneCut(25).curves;
    const [long, short] = [outer.samples.find(({ u }) => u === 0)!, outer.samples.find(({ u }) => u === 0.5)!];
    const [p, q] = [long.point, short.point];
    const axis = Math.hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
    const middle = [0, 1, 2].map((k) => (p[k]! + q[k]!) / 2);
    // b^2 of a cone's section: the product of the radii at both ends of its long axis (Dandelin's spheres).
    const radius = ({ s }: { s: Mm }): Mm => 40 - ((s - 30) * 15) / 60;
    const b = Math.sqrt(radius(long) * radius(short));
    const along = [0, 1, 2].map((k) => (p[k]! - q[k]!) / axis);
    const pairs = outer.samples.map(({ point }): [number, number] => {
      const d = point.map((x, k) => x - middle[k]!);
      const x = d.reduce((sum, v, k) => sum + v * along[k]!, 0);
      const y2 = d.reduce((sum, v) => sum + v * v, 0) - x * x;
      return [1, (2 * x) ** 2 / axis ** 2 + y2 / (b * b)];
    });
    expect(worst('ellipse', pairs)).toBeLessThan(1e-9);
  });
});

test('a trim at a width or a height lies at its share of the taper, the nearer of two tapers to the end', () => {
  const run = [straight(20), taper(round(60), oval(90, 40), 80), straight(10), taper(oval(90, 40), round(60), 50)];
  const at = (end: string, across: 'width' | 'height', size: Mm): number =>
    cutOf(solved(jobOf([runTube('m', round(60), { run })], [trim(end, { kind: 'size', across, size })])), end).flat!.s;
  expect(at('m.start', 'width', 75)).toBeCloseTo(20 + 40, 9);
  expect(at('m.end', 'width', 75)).toBeCloseTo(110 + 25, 9);
  expect(at('m.start', 'height', 45)).toBeCloseTo(20 + 60, 9);
});

test('a trim at a width that no taper has says what widths there are', () => {
  const job = jobOf(
    [runTube('m', round(60), { run: [straight(20), taper(round(60), oval(90, 40), 80)] })],
    [trim('m.end', { kind: 'size', across: 'width', size: 95 })],
  );
  const [problem] = solveJob(job).problems;
  expect(problem).toMatchObject({ code: 'trim/outside', measured: 95, limit: 90 });
  expect(problem?.message).toContain('60 to 90 mm wide');
  const none = jobOf(
    [runTube('m', round(60), { run: [straight(90)] })],
    [trim('m.end', { kind: 'size', across: 'height', size: 50 })],
  );
  expect(solveJob(none).problems[0]?.message).toContain('has no taper');
});

test('copes onto a taper, and of one, end on the surface they are cut to', () => {
  const cases = [
    { run: [taper(round(90), oval(120, 60), 160)], first: round(90), branch: [straight(200)], own: round(30) },
    {
      run: [straight(300)],
      first: round(90),
      branch: [straight(60), taper(ellipse(40, 30), round(34), 80), straight(60)],
      own: ellipse(40, 30),
    },
    {
      run: [taper(rectangle(100, 70, 6), round(90), 160)],
      first: rectangle(100, 70, 6),
      branch: [straight(200)],
      own: oval(40, 24),
    },
  ];
  for (const { run, first, branch, own } of cases) {
    const job = jobOf(
      [
        runTube('r', first, { at: [0, 0, -80], heading: [0, 0, 1], up: [0, 1, 0], run }),
        runTube('b', own, { at: [200, 4, 20], heading: [-1, 0, 0], up: [0, 0, 1], run: branch }),
      ],
      [cope('b.end', ['r'], 0)],
    );
    const solution = solved(job);
    const member = solution.members.find(({ name }) => name === 'r')!;
    const { outer, inner } = cutOf(solution, 'b.end').curves;
    const pairs = [...outer.samples, ...inner.samples].map(({ point }): [number, number] => [
      0,
      solidDistance(member, point),
    ]);
    expect(worst('cope', pairs)).toBeLessThan(1e-7);
  }
});

test('a bend behind a taper carries the section the taper leads to', () => {
  const member = solved(
    jobOf([runTube('m', round(60), { run: [taper(round(60), round(40), 50), bend(80, 90, 0), straight(30)] })]),
  ).members[0]!;
  expect(sectionAt(member, 49)).toMatchObject({ kind: 'round', od: 60 - (20 * 49) / 50 });
  expect(sectionAt(member, 100)).toMatchObject({ kind: 'round', od: 40 });
});

const FILE = `job: t
sections:
  a: { kind: round, od: 60, wall: 2, measured: { od: 60.4 } }
  b: { kind: flat-oval, width: 80, height: 40, wall: 2 }
members:
  m: { section: a, start: { heading: [0, 0, 1] }, run: [{ straight: 20 }, { taper: { to: b, length: 50, measured: { length: 50.5 } } }] }
joints: [{ trim: { end: m.end, width: 70 } }]
`;

describe('in the job file', () => {
  test('a taper takes the measured sizes of its sections and its own measured length', () => {
    const { value, problems } = loadJob(FILE);
    expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
    const spec = value!.members[0]!;
    expect(spec.kind === 'run' && spec.run[1]).toMatchObject({
      kind: 'taper',
      length: 50.5,
      sections: { from: { od: 60.4 }, to: { width: 80 } },
    });
    expect(tried(FILE).solution!.ends[0]!.flat!.s).toBeCloseTo(20 + (50.5 * (70 - 60.4)) / (80 - 60.4), 9);
  });

  test.each([
    ['to: b', 'to: bb', 'reference/unknown', 'members.m.run.1.taper.to'],
    ['length: 50,', '', 'field/missing', 'members.m.run.1.taper.length'],
    ['length: 50,', 'length: 0.2,', 'field/out-of-range', 'members.m.run.1.taper.length'],
    ['width: 70', 'width: 70, height: 50', 'field/conflict', 'joints.0.trim.height'],
    ['length: 50,', 'length: 50, offset: [3],', 'field/out-of-range', 'members.m.run.1.taper.offset'],
  ])('%s written as "%s" is told as %s', (right, wrong, code, path) => {
    const { problems } = loadJob(FILE.replace(right, wrong));
    expect(problems.map((problem) => [problem.code, problem.path.join('.')])).toContainEqual([code, path]);
  });
});

test('the metal of a cone is the difference of two frustums', () => {
  const wall = 1.5;
  const piece = solved(jobOf([runTube('m', round(80, wall), { run: [taper(round(80, wall), round(50, wall), 60)] })]))
    .pieces[0]!;
  const lean = Math.hypot(1, 15 / 60) * wall;
  const frustum = (r: Mm, q: Mm): number => (Math.PI * 60 * (r * r + r * q + q * q)) / 3;
  const exact = frustum(40, 25) - frustum(40 - lean, 25 - lean);
  expect(Math.abs(metalVolume(piece) / exact - 1)).toBeLessThan(1e-3);
});

describe('holes in a taper', () => {
  const coneWith = (opening: string): readonly Opening[] => {
    const { solution, problems } = tried(`job: t
sections: { a: { kind: round, od: 80, wall: 2 }, b: { kind: round, od: 40, wall: 2 }, c: { kind: flat-oval, width: 90, height: 40, wall: 2 } }
members: { m: { section: a, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 50 }, { taper: { to: b, length: 90 } }, { straight: 50 }] } }
openings: { h: { on: m, ${opening} } }`);
    expect(problems).toEqual([]);
    return solution!.openings;
  };

  test('lie on a cone unrolled: every point of the edge is where its slant and turn put it on the sector', () => {
    const [hole] = coneWith('at: 100, toward: 350, round: 30, lean: 10');
    // r falls by 2/9 a mm; the sector's angle is the turn times the sine of half the cone's angle.
    const fall = 20 / 90;
    const sine = fall / Math.hypot(1, fall);
    const slantTo = (r: Mm): Mm => r / sine;
    const turnOf = ([, y, z]: readonly number[]): number => Math.atan2(-y!, z!);
    const center = { r: Math.hypot(hole!.center.point[1], hole!.center.point[2]), turn: turnOf(hole!.center.point) };
    const off = hole!.outside.map(({ x, y, point }) => {
      const slant = slantTo(Math.hypot(point[1], point[2]));
      const turn = ((turnOf(point) - center.turn + 3 * Math.PI) % (2 * Math.PI)) - Math.PI;
      const [wantedX, wantedY] = [slant * Math.sin(turn * sine), slantTo(center.r) - slant * Math.cos(turn * sine)];
      return Math.max(Math.abs(x - wantedX), Math.abs(y - wantedY));
    });
    expect(hole!.outside.length).toBeGreaterThan(40);
    expect(Math.max(...off)).toBeLessThan(1e-4);
    expect(Math.abs(hole!.around[1])).toBeGreaterThan(14);
  });

  test('on the straight beside it are those of the tube by itself', () => {
    const [beside] = coneWith('at: 170, toward: 40, round: 16');
    const { solution } = tried(`job: t
sections: { b: { kind: round, od: 40, wall: 2 } }
members: { m: { section: b, points: [[0, 0, 0], [200, 0, 0]], up: [0, 0, 1] } }
openings: { h: { on: m, at: 170, toward: 40, round: 16 } }`);
    const [plain] = solution!.openings;
    expect(beside!.along[0]).toBeCloseTo(plain!.along[0], 6);
    expect(beside!.around[1]).toBeCloseTo(plain!.around[1], 6);
    expect(beside!.outside.map(({ x }) => x)).toHaveLength(plain!.outside.length);
  });
});
