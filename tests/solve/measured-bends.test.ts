import { describe, expect, test } from 'vitest';
import { frameAt } from '../../src/geometry/centerline.ts';
import { distance, type Vec3 } from '../../src/geometry/vector.ts';
import { made, tried } from '../support/tools.ts';

const job = (more: { measured?: string; mirror?: string; run?: boolean } = {}): string => `
job: t
sections: { s: { kind: round, od: 30, wall: 2 }, post: { kind: round, od: 120, wall: 3 } }
members:
  post: { section: post, points: [[300, 400, -300], [300, 400, 300]] }
  ${
    more.run
      ? `arm: { section: s, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 200 }, { bend: { clr: 100, angle: 90, toward: left, measured: { clr: 98, angle: 87 } } }, { straight: 300 }] }`
      : `arm: { section: s, points: [[0, 0, 0], [300, 0, 0], [300, 400, 0]], clr: 100, up: [0, 0, 1] ${more.measured ?? ''} }`
  }
  other: { mirror: arm, across: { normal: [1, 0, 0] } ${more.mirror ?? ''} }
joints: [{ cope: { branch: arm.end, run: post, gap: 0.4 } }]
tools: [{ notch-collar: arm.end }, { angle-block: { of: arm, bend: 1 } }]
`;
const MEASURED = ', measured: [{ bend: 1, clr: 98, angle: 87 }]';

describe('a bend of a member given by points, as it came out', () => {
  const { solution, tools } = made(job({ measured: MEASURED }));
  const arm = solution.members.find(({ name }) => name === 'arm')!;

  test('leaves the straights as long as they were asked for, and moves all behind it', () => {
    const [first, bend, last] = arm.centerline.segments;
    // Setback of 90 deg at 100 mm: 100.
    expect(first!.length).toBeCloseTo(200, 9);
    expect(last!.length).toBeCloseTo(300, 9);
    expect(bend).toMatchObject({ clr: 98, bendAngleDeg: 87, nominal: { clr: 100, bendAngleDeg: 90 } });
    // By hand: 87 deg about (200, 98), then 300 mm on.
    const [c, s] = [Math.cos((87 * Math.PI) / 180), Math.sin((87 * Math.PI) / 180)];
    const end: Vec3 = [200 + 98 * s + 300 * c, 98 - 98 * c + 300 * s, 0];
    expect(distance(arm.centerline.end.origin, end)).toBeLessThan(1e-9);
  });

  test('is the same tube as a run with that bend measured', () => {
    const run = made(job({ run: true })).solution.members.find(({ name }) => name === 'arm')!;
    for (const s of [0, 150, 250, 400]) {
      expect(distance(frameAt(run.centerline, s).origin, frameAt(arm.centerline, s).origin)).toBeLessThan(1e-9);
    }
  });

  test('is what joints and tools follow', () => {
    const plain = made(job());
    const mark = (all: typeof tools): readonly string[] => all.map(({ revision }) => revision);
    expect(mark(tools)[0]).not.toBe(mark(plain.tools)[0]);
    expect(mark(tools)[1]).not.toBe(mark(plain.tools)[1]);
    const long = (one: typeof solution) => one.ends.find(({ id }) => id === 'arm.end')!.longPoint;
    expect(Math.abs(long(solution) - long(plain.solution))).toBeGreaterThan(0.1);
  });

  test('is carried over to a mirror image, which may have measured bends of its own', () => {
    const image = (yaml: string) => made(yaml).solution.members.find(({ name }) => name === 'other')!.centerline;
    const same = image(job({ measured: MEASURED })).end.origin;
    expect(same[0]).toBeCloseTo(-arm.centerline.end.origin[0], 9);
    const own = image(job({ measured: MEASURED, mirror: ', measured: [{ bend: 1, angle: 91 }]' }));
    expect(own.segments[1]).toMatchObject({ clr: 100, bendAngleDeg: 91, nominal: { clr: 100, bendAngleDeg: 90 } });
  });
});

describe('measured bends that cannot be are told with their row', () => {
  const told = (measured: string, mirror = '') =>
    tried(job({ measured, mirror })).problems.map(
      ({ code, path, severity }) => `${severity} ${code} ${path.join('.')}`,
    );

  test.each([
    [', measured: [{ bend: 2, angle: 80 }]', 'error field/out-of-range members.arm.measured.0.bend'],
    [', measured: [{ bend: 1 }]', 'error field/conflict members.arm.measured.0'],
    [', measured: [{ bend: 1, clr: 99 }, { bend: 1, angle: 88 }]', 'error field/conflict members.arm.measured.1'],
    [', measured: [{ bend: 1, clr: 12 }]', 'error bend/tighter-than-tube members.arm.measured.0.clr'],
    [', measured: [{ bend: 1, angle: 120 }]', 'warning bend/measured members.arm.measured.0.angle'],
  ])('%s', (measured, expected) => {
    expect(told(measured)).toContain(expected);
  });

  test('and in a run they stand at the bend', () => {
    const text = job({ run: true }).replace(
      '{ straight: 300 }]',
      '{ straight: 300 }], measured: [{ bend: 1, angle: 88 }]',
    );
    const [problem] = tried(text).problems;
    expect(problem!.code).toBe('field/conflict');
    expect(problem!.hint).toContain('at the bend of the run');
  });
});
