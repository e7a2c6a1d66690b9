import { describe, expect, test } from 'vitest';
import { compose, type Placement, place, placeDirection, unplace } from '../../src/geometry/placement.ts';
import type { Solid } from '../../src/solid/expression.ts';
import type { ToolPart } from '../../src/tooling/tool.ts';
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

/** Every solid of one kind in the first way a part is put together. */
function solidsIn<K extends Solid['kind']>(solid: Solid, kind: K): readonly Extract<Solid, { kind: K }>[] {
  if (solid.kind === 'either') return solidsIn(solid.of[0]!, kind);
  if (solid.kind === 'subtract') return [solid.from, ...solid.cuts].flatMap((x) => solidsIn(x, kind));
  if (solid.kind === 'place') return solidsIn(solid.of, kind);
  if (solid.kind === 'union') return solid.of.flatMap((x) => solidsIn(x, kind));
  return solid.kind === kind ? [solid as Extract<Solid, { kind: K }>] : [];
}

/** Where the axes that a part is put together in stand in the job. */
function axesOf({ solid, pose }: ToolPart): Placement {
  const first = solid.kind === 'either' ? solid.of[0]! : solid;
  if (first.kind !== 'place') throw new Error('a part that is not laid out');
  return compose(pose, first.at);
}

const labelsIn = (solid: Solid) => solidsIn(solid, 'label');

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

  test('is numbered in degrees beyond its longer marks, upright from the outside of the bend, on both halves', () => {
    const [tool] = made(job('{ section: s, clr: 80, angle: 90, straight: 20 }')).tools;
    for (const part of tool!.parts) {
      const pose = axesOf(part);
      const numbers = labelsIn(part.solid).filter(({ lines }) => /^[\d.]+$/u.test(lines.join()));
      expect(numbers.map(({ lines }) => lines.join())).toEqual([
        '10',
        '20',
        '30',
        '40',
        '50',
        '60',
        '70',
        '80',
        '0',
        '90',
      ]);
      // Drawn along x for 20 mm, then bent down about (20, 0, -80).
      for (const { at, lines } of numbers.slice(0, 8)) {
        const [x, , z] = place(pose, at.origin);
        expect((Math.atan2(x - 20, z + 80) * 180) / Math.PI).toBeCloseTo(Number(lines.join()), 6);
        const up = placeDirection(pose, at.y);
        expect(up[0] * (x - 20) + up[2] * (z + 80)).toBeLessThan(0);
      }
      const [zero, whole] = numbers.slice(8).map(({ at }) => place(pose, at.origin));
      expect(zero![0]).toBeLessThan(20);
      expect(whole![2]).toBeLessThan(-80);
    }
  });

  test.each(['stub', '{ of: arm, bend: 1 }', '{ of: post, from: 0, to: 100 }'])(
    'has no letters across its witness groove: %s',
    (tool) => {
      const looked = made(job(tool)).tools[0]!.parts.flatMap(({ solid }) => {
        const grooves = solidsIn(solid, 'mesh').filter(({ name }) => name === 'witness line');
        return labelsIn(solid).flatMap(({ at, box }) =>
          grooves.flatMap(({ mesh }) => {
            // Three corners a ring, the last at the groove's foot: looked at between each foot and the next.
            const corners = vertices(mesh).flatMap((p, i) => (i % 3 === 2 ? [unplace(at, p)] : []));
            return corners
              .slice(1)
              .flatMap((q, i) =>
                Array.from({ length: 40 }, (_, k) => corners[i]!.map((x, j) => x + ((q[j]! - x) * k) / 40)).map(
                  ([x, y, z]) => Math.abs(x!) < box[0] / 2 + 0.5 && Math.abs(y!) < box[1] / 2 + 0.9 && Math.abs(z!) < 2,
                ),
              );
          }),
        );
      });
      expect(looked.length).toBeGreaterThan(0);
      expect(looked.filter(Boolean)).toEqual([]);
    },
  );

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
