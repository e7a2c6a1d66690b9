import { describe, expect, test } from 'vitest';
import { planeOfBendTurns } from '../../src/geometry/bends.ts';
import { rotateVector } from '../../src/geometry/frame.ts';
import { add, cross, dot, sub } from '../../src/geometry/vector.ts';
import { codesOf, movedInJob, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, tried } from '../support/tools.ts';

const job = (second: string, tool = 'm'): string => `
job: t
sections: { s: { kind: round, od: 30, wall: 2 } }
members:
  m:
    section: s
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 120 }, { bend: { clr: 70, angle: 50, toward: up } }, { straight: 60 }, { bend: { clr: 70, angle: 40, toward: ${second} } }, { straight: 60 }]
  one: { section: s, points: [[0, 300, 0], [200, 300, 0], [200, 500, 0]], clr: 70 }
joints: []
tools: [{ clocking-ring: ${tool} }]
`;

describe('a clocking ring', () => {
  test.each([55, 140, 180, 305, 8])('sets the plane of the next bend %d deg from the first', (turn) => {
    const { solution } = made(job(String(turn)));
    const [proved] = toolsOf(kernel, solution.job).values();
    const proof = prove(kernel, proved!);
    expect(proof.problems).toEqual([]);
    expect(proof.parts[0]!.faceDeviation).toBeLessThan(1e-4);
    // Turning the tube so that flat 2 comes where flat 1 was turns it by the rotation between the planes, the other way.
    const faces = proved!.tool.parts[0]!.features.flatMap((x) => (x.kind === 'face' ? [x.plane.normal] : []));
    const [first, second] = faces as [readonly [number, number, number], readonly [number, number, number]];
    const [solvedTurn] = planeOfBendTurns(solution.members[0]!.centerline);
    const deg = (Math.atan2(dot(cross(first, second), [1, 0, 0]), dot(first, second)) * 180) / Math.PI;
    expect(((deg - solvedTurn! + 540) % 360) - 180).toBeCloseTo(0, 9);
  });

  test('with a flat turned by half a degree about the tube is refused', () => {
    const [proved] = toolsOf(kernel, made(job('55')).solution.job).values();
    const { plane } = proved!.tool.parts[0]!.features[1] as {
      plane: { point: readonly [number, number, number]; normal: readonly [number, number, number] };
    };
    const turned = movedInJob(proved!, (p) =>
      dot(sub(p, plane.point), plane.normal) > -0.01
        ? add(plane.point, rotateVector(sub(p, plane.point), [1, 0, 0], 0.5))
        : undefined,
    );
    expect(codesOf(prove(kernel, turned))).toContain('proof/datum');
  });

  test('for bends in one plane has one flat, which keeps them there', () => {
    const [ring] = made(job('up')).tools;
    expect(ring!.parts[0]!.features).toHaveLength(1);
  });

  test('is refused by name where there is no rotation to set', () => {
    const codes = (yaml: string): readonly string[] => tried(yaml).problems.map(({ code }) => code);
    expect(codes(job('0.5'))).toEqual(['tool/cannot-build']);
    expect(codes(job('90', 'one'))).toEqual(['tool/cannot-build']);
    expect(codes(job('90', '{ of: m, bends: [1, 3] }'))).toEqual(['tool/cannot-build']);
    expect(codes(job('90', 'nobody'))).toEqual(['reference/unknown']);
  });
});

describe('clocking blocks for a bent tube', () => {
  const check = job('55', '{ of: m, check: true }');
  const feet = (yaml: string) =>
    made(yaml).tools[0]!.parts.flatMap(({ features }) => features.flatMap((x) => (x.kind === 'face' ? [x.plane] : [])));

  test('stand on one table, on which both straights lie level', () => {
    const [proved] = toolsOf(kernel, made(check).solution.job).values();
    const proof = prove(kernel, proved!);
    expect(proof.problems).toEqual([]);
    expect(proof.joined!.overlap).toBe(0);
    const [a, b] = feet(check);
    expect(dot(a!.normal, b!.normal)).toBeCloseTo(1, 12);
    expect(dot(sub(a!.point, b!.point), a!.normal)).toBeCloseTo(0, 9);
    const { segments } = made(check).solution.members[0]!.centerline;
    for (const k of [0, 4]) expect(dot(segments[k]!.start.heading, a!.normal)).toBeCloseTo(0, 12);
    // All of the tube lies over the table.
    const { start } = segments[0]!;
    expect(-dot(sub(start.origin, a!.point), a!.normal)).toBeGreaterThan(15);
  });

  test('are other blocks for another rotation, and find a tube bent wrong by a degree', () => {
    const { tools, solution } = made(check);
    const wrong = made(job('56', '{ of: m, check: true }'));
    expect(wrong.tools[0]!.revision).not.toBe(tools[0]!.revision);
    // The last straight of the tube bent wrong leans over this table, or lies higher: its block rocks.
    const [a] = feet(check);
    const heading = (one: typeof solution) => one.members[0]!.centerline.end.heading;
    expect(Math.abs(dot(heading(wrong.solution), a!.normal))).toBeGreaterThan(0.005);
  });

  test('are refused with numbers where a straight is too short, and where they would be too tall', () => {
    const short = tried(check.replace('{ straight: 60 }]', '{ straight: 20 }]')).problems;
    expect(short.map(({ code }) => code)).toEqual(['tool/no-room']);
    expect(short[0]!.message).toContain('behind bend 2 is whole for 20 mm');
    const tall = tried(check.replace('{ straight: 60 }, {', '{ straight: 600 }, {')).problems;
    expect(tall.map(({ code }) => code)).toEqual(['tool/cannot-build']);
    expect(tall[0]!.measured!).toBeGreaterThan(240);
  });

  test('serve a tube with one bend too, which a ring for the bender refuses', () => {
    const one = job('55', '{ of: one, check: true }');
    const [proved] = toolsOf(kernel, made(one).solution.job).values();
    expect(prove(kernel, proved!).problems).toEqual([]);
    const [a, b] = proved!.tool.facts.filter(({ label }) => label.includes('axis of the tube'));
    expect(a!.value).toBeCloseTo(b!.value as number, 9);
  });
});

test('two planes too near for one ring are refused with the arm they would take, and the shim that does instead', () => {
  const [problem] = tried(job('2')).problems;
  // 2 / tan(1 deg), and 28 * sin(2 deg) of shim.
  expect(problem!.message).toContain('114.58 mm from the tube');
  expect(problem!.hint).toContain('a shim of 0.98 mm');
  expect(problem!.limit).toBeCloseTo((2 * Math.atan(2 / 90) * 180) / Math.PI, 9);
});
