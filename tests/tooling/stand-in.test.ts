import { describe, expect, test } from 'vitest';
import { codesOf, movedInJob, type Proved, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, meshOf, tried, vertices } from '../support/tools.ts';

const job = (tool: string, bed = '[220, 220, 250]'): string => `
job: t
shop: { printer: { bed: ${bed} }, chord-tolerance: 0.04 }
sections:
  s: { kind: round, od: 40, wall: 2 }
  flat: { kind: rectangle, width: 60, height: 20, wall: 2, corner-radius: 3 }
members:
  post: { section: s, points: [[0, 0, -300], [0, 0, 300]] }
  arm:
    section: s
    start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }
    run: [{ straight: 100 }, { bend: { clr: 80, angle: 60, toward: left } }, { straight: 60 }, { bend: { clr: 80, angle: 30, toward: up } }, { straight: 40 }]
  stub: { section: s, points: [[0, 0, 250], [120, 0, 250]], up: [0, 0, 1] }
joints:
  - cope: { branch: arm.start, run: post }
  - cope: { branch: stub.start, run: post }
tools: [{ stand-in: ${tool} }]
`;

const provedOf = (tool: string, bed?: string): Proved => {
  const [proved] = toolsOf(kernel, made(job(tool, bed)).solution.job).values();
  return proved!;
};

describe('a stand-in', () => {
  test('of a straight coped at one end stands on the other, and ends on the solved curve', () => {
    const proved = provedOf('stub');
    expect(proved.tool.parts).toHaveLength(1);
    const proof = prove(kernel, proved);
    expect(proof.problems).toEqual([]);
    expect(proof.parts[0]!.skinDeviation).toBeLessThan(0.0401);
    // An equal tee: at its crotch the branch ends on the run's axis, 120 mm from its far end; at its long side 20 mm sooner.
    expect(proof.parts[0]!.size[2]).toBeCloseTo(120, 3);
    const points = vertices(meshOf(proved.tool.parts[0]!)).filter(([, , z]) => z > 80);
    const [x, y] = [points.reduce((p, q) => p + q[0], 0), points.reduce((p, q) => p + q[1], 0)].map(
      (sum) => sum / points.length,
    );
    expect(Math.hypot(x!, y!)).toBeLessThan(3);
  });

  test('of a member bent in two planes is two pieces of two halves, each lying on the plane of its bend', () => {
    const proved = provedOf('arm');
    expect(proved.tool.parts.map(({ name }) => name)).toEqual([
      'arm-stand-in-a1',
      'arm-stand-in-a2',
      'arm-stand-in-b1',
      'arm-stand-in-b2',
    ]);
    const proof = prove(kernel, proved);
    expect(proof.problems).toEqual([]);
    for (const part of proof.parts) expect(part.size[2]).toBeCloseTo(20, 2);
  });

  test('is refused when its outside is a tenth of a millimeter large, or bent off its clr', () => {
    const proved = provedOf('{ section: s, clr: 80, angle: 50, straight: 20 }');
    expect(prove(kernel, proved).problems).toEqual([]);
    const swollen = movedInJob(proved, ([x, y, z]) => [x, y * 1.005, z]);
    expect(codesOf(prove(kernel, swollen))).toContain('proof/skin');
    const flatter = movedInJob(proved, ([x, y, z]) => [x, y, z * 1.005]);
    expect(codesOf(prove(kernel, flatter))).toContain('proof/skin');
  });

  test('is refused when its coped end is cut back', () => {
    const proved = provedOf('stub');
    const short = movedInJob(proved, ([x, y, z]) => (x < 21 ? [x + 0.05, y, z] : undefined));
    expect(codesOf(prove(kernel, short))).toContain('proof/skin');
  });

  test('longer than the bed is glued of lengths that fit it', () => {
    const proved = provedOf('{ of: post, from: 10, to: 510 }', '[150, 150, 150]');
    expect(proved.tool.parts).toHaveLength(8);
    const proof = prove(kernel, proved);
    expect(proof.problems).toEqual([]);
    for (const part of proof.parts) expect(part.size[0]).toBeCloseTo(125, 3);
  });

  test('that cannot be is refused by name', () => {
    const codes = (tool: string): readonly string[] => tried(job(tool)).problems.map(({ code }) => code);
    expect(codes('nobody')).toEqual(['reference/unknown']);
    expect(codes('{ of: arm, bend: 3 }')).toEqual(['tool/cannot-build']);
    expect(codes('{ of: arm, from: 50, to: 55 }')).toEqual(['tool/cannot-build']);
    expect(codes('{ of: arm, from: 500 }')).toEqual(['tool/cannot-build']);
    expect(codes('{ of: arm, clr: 50 }')).toEqual(['field/conflict']);
    expect(codes('{ section: flat, clr: 50 }')).toEqual(['field/missing']);
    expect(codes('{ section: flat }')).toEqual(['field/missing']);
    expect(codes('{ of: arm, bend: 1, from: 20 }')).toEqual(['field/conflict']);
  });

  test.each([
    [
      'standing on its wide end, coped at the other',
      'a: { kind: round, od: 60, wall: 2 }, b: { kind: flat-oval, width: 46, height: 30, wall: 1.5 }',
      '{ straight: 30 }, { taper: { to: b, length: 60 } }, { straight: 25 }',
      'r: { section: d, points: [[170, 0, -150], [170, 0, 150]] }',
      '{ cope: { branch: m.end, run: r } }',
      1,
    ],
    [
      'eccentric, in halves on the plane its axis stays in',
      'a: { kind: round, od: 70, wall: 2 }, b: { kind: square, side: 50, wall: 1.5, corner-radius: 0 }',
      '{ straight: 100 }, { taper: { to: b, length: 40, offset: [0, 8] } }, { straight: 200 }',
      '',
      '{ trim: { end: m.start, at: 110, miter: 20, long-point: up } }',
      2,
    ],
    [
      'bent behind it',
      'a: { kind: ellipse, width: 60, height: 50, wall: 2 }, b: { kind: round, od: 40, wall: 2 }',
      '{ taper: { to: b, length: 50 } }, { bend: { clr: 90, angle: 60, toward: right } }, { straight: 20 }',
      '',
      '{ trim: { end: m.end, at: 140 } }',
      2,
    ],
  ])('of a taper, %s, has the outside of the tube and the ends of its cuts', (_, sections, run, more, joint, parts) => {
    const yaml = `job: t
shop: { printer: { bed: [250, 250, 250] }, chord-tolerance: 0.04 }
sections: { ${sections}, d: { kind: round, od: 80, wall: 2 } }
members: { m: { section: a, start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [${run}] }${more ? `, ${more}` : ''} }
joints: [${joint}]
tools: [{ stand-in: m }]`;
    const [proved] = toolsOf(kernel, made(yaml).solution.job).values();
    expect(proved!.tool.parts).toHaveLength(parts);
    const proof = prove(kernel, proved!);
    expect(proof.problems).toEqual([]);
    for (const part of proof.parts) expect(part.skinCover).toBeGreaterThan(0.9);
    const swollen = movedInJob(proved!, ([x, y, z]) => [x, y * 1.006, z]);
    expect(codesOf(prove(kernel, swollen))).toContain('proof/skin');
  });

  test('of a bent section with sharp corners is made: marks leave the corner itself alone', () => {
    const sharp = job('{ section: sharp, clr: 100, angle: 50, straight: 20 }').replace(
      'sections:',
      'sections:\n  sharp: { kind: rectangle, width: 60, height: 26, wall: 2, corner-radius: 0 }',
    );
    const [proved] = toolsOf(kernel, made(sharp).solution.job).values();
    expect(prove(kernel, proved!).problems).toEqual([]);
  });
});
