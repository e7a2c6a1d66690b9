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
