import { describe, expect, test } from 'vitest';
import { place, unplaceDirection } from '../../src/geometry/placement.ts';
import { along, cross, dot, scale, sub, unit, type Vec3 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Feature } from '../../src/tooling/tool.ts';
import { broken, codesOf, firstPart, moved, movedInJob, type Proved, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, tried } from '../support/tools.ts';

interface Asked {
  readonly run?: string;
  readonly section?: string;
  readonly more?: string;
  readonly tools?: string;
}

const job = ({
  section = '{ kind: round, od: 60.3, wall: 2 }',
  run = 'points: [[0, 0, 0], [500, 0, 0]], up: [0, 0, 1]',
  more = 'openings: { h: { on: run, at: 200, toward: 30, round: 24 } }',
  tools = '[{ opening-gauge: h }]',
}: Asked = {}): string => `
job: t
sections: { s: ${section}, b: { kind: round, od: 42.4, wall: 2 } }
members:
  run: { section: s, ${run} }
${more}
tools: ${tools}
`;

const BRANCH = `  branch: { section: b, points: [[350, 0, 150], [200, 0, 0]], up: [0, 1, 0] }
joints: [{ cope: { branch: branch.end, run: run, open: true } }]`;

const known = new Map<string, Proved>();

/** The first tool of a job, made once for all tests that break it. */
const proved = (text: string): Proved => {
  const before = known.get(text);
  if (before) return before;
  const [tool] = toolsOf(kernel, loadJob(text, {}).value!).values();
  known.set(text, tool!);
  return tool!;
};

type Window = Extract<Feature, { kind: 'window' }>;
const windowOf = ({ tool }: Proved): Window =>
  tool.parts[0]!.features.find((feature): feature is Window => feature.kind === 'window')!;

describe('an opening gauge', () => {
  test.each([
    ['a drilled hole', {}],
    ['a lateral of 45 deg', { more: BRANCH, tools: '[{ opening-gauge: branch.end }]' }],
    [
      'a rectangle with sharp corners in a rectangle',
      {
        section: '{ kind: rectangle, width: 80, height: 50, wall: 2, corner-radius: 4 }',
        more: 'openings: { h: { on: run, at: 200, toward: up, rectangle: [40, 30] } }',
      },
    ],
    [
      'a leaning slot on the outside of a bend, over a tilted tube',
      {
        run: 'start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 60 }, { bend: { clr: 180, angle: 80, toward: down } }, { straight: 60 }]',
        more: 'openings: { h: { on: run, at: 180, toward: up, lean: 10, slot: [30, 12] } }',
      },
    ],
    [
      'a hole on the side of a bend, over a level tube',
      {
        run: 'start: { heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 60 }, { bend: { clr: 180, angle: 80, toward: down } }, { straight: 60 }]',
        more: 'openings: { h: { on: run, at: 180, toward: right, round: 20 } }',
      },
    ],
  ] as const)('for %s: its window stands on the edge, proved from its bytes', (_, asked) => {
    const proof = prove(kernel, proved(job(asked)));
    expect(proof.problems).toEqual([]);
    const part = firstPart(proof);
    expect(part.edgeDeviation).toBeLessThan(0.01);
    expect(part.edgeCover).toBe(1);
  });

  test('the edge it is measured against is the bore of the branch, and the way out is square to the tube', () => {
    const { edge, out } = windowOf(proved(job({ more: BRANCH, tools: '[{ opening-gauge: branch.end }]' })));
    const axis = unit([1, 0, 1]);
    expect(out).toEqual([0, 0, 1].map((x) => expect.closeTo(x, 9)));
    expect(edge.length).toBeGreaterThan(200);
    for (const p of edge) {
      const square = sub(sub(p, [200, 0, 0]), scale(axis, dot(sub(p, [200, 0, 0]), axis)));
      expect(Math.hypot(...square)).toBeCloseTo(19.2, 6);
      expect(Math.hypot(p[1], p[2])).toBeCloseTo(30.15, 6);
    }
  });

  test('a window moved, or made larger, by 0.04 mm is refused', () => {
    const good = proved(job());
    const { edge, out } = windowOf(good);
    const middle = edge.reduce((sum, p) => along(sum, p, 1 / edge.length), [0, 0, 0] as Vec3);
    const side = unit(cross(out, [1, 0, 0]));
    const onWall = (p: Vec3): boolean => {
      const off = sub(p, middle);
      const flat = Math.hypot(dot(off, [1, 0, 0]), dot(off, side));
      return Math.abs(flat - 12) < 0.01 && dot(off, out) > -4;
    };
    const shifted = prove(
      kernel,
      movedInJob(good, (p) => (onWall(p) ? along(p, [1, 0, 0], 0.04) : undefined)),
    );
    expect(codesOf(shifted)).toEqual(['proof/edge']);
    expect(firstPart(shifted).edgeDeviation).toBeGreaterThan(0.03);
    const larger = prove(
      kernel,
      movedInJob(good, (p) => {
        if (!onWall(p)) return undefined;
        const off = sub(p, middle);
        return along(p, sub(off, scale(out, dot(off, out))), 0.04 / 12);
      }),
    );
    expect(codesOf(larger)).toEqual(['proof/edge']);
  });

  test('a window that is closed is refused', () => {
    const good = proved(job());
    const other = proved(job({ more: 'openings: { h: { on: run, at: 200, toward: 30, round: 4 } }' }));
    const swapped = { ...good, files: other.files.map((file) => ({ ...file, part: good.files[0]!.part })) };
    const proof = prove(kernel, swapped);
    expect(proof.problems.map(({ message }) => message).join()).toContain('stands in');
    expect(codesOf(proof)).toContain('proof/edge');
  });

  test('half a wall of the window gone is refused', () => {
    const good = proved(
      job({
        section: '{ kind: square, side: 60, wall: 2, corner-radius: 4 }',
        more: 'openings: { h: { on: run, at: 200, toward: up, rectangle: [30, 30] } }',
      }),
    );
    const { pose } = good.tool.parts[0]!;
    // One side of the square hole laid back by a millimeter.
    const laid = broken(good, (mesh) =>
      moved(mesh, (p) => {
        const [x, y, z] = place(pose, p);
        if (Math.abs(x - 215) > 1e-3 || Math.abs(y) > 15.01 || z < 29) return undefined;
        return along(p, unplaceDirection(pose, [1, 0, 0]), 1);
      }),
    );
    const proof = prove(kernel, laid);
    expect(codesOf(proof)).toContain('proof/edge');
    expect(firstPart(proof).edgeCover).toBeLessThan(0.9);
  });

  test('stands against a square end that is near, or is set by scribed lines; its mark tells the two apart', () => {
    const near = 'openings: { h: { on: run, at: 40, toward: 30, round: 24 } }';
    const ended = made(job({ more: near })).tools[0]!;
    expect(ended.datum).toEqual({ kind: 'end', s: 0, distance: 40 });
    const marked = made(job({ more: near, tools: '[{ opening-gauge: { opening: h, datum: mark } }]' })).tools[0]!;
    expect(marked.datum?.kind).toBe('mark');
    expect(marked.revision).not.toBe(ended.revision);
    const mitered = `${near}\njoints: [{ trim: { end: run.start, at: 5, miter: 30 } }]`;
    expect(made(job({ more: mitered })).tools[0]!.datum?.kind).toBe('mark');
  });

  test('auto makes one for every opening that the list names none for', () => {
    const two = `${BRANCH}\nopenings: { h: { on: run, at: 80, toward: 30, round: 24 } }`;
    const names = (tools: string): readonly string[] => made(job({ more: two, tools })).tools.map(({ name }) => name);
    expect(names('auto')).toEqual(['branch-end-notch-collar', 'branch-end-opening-gauge', 'h-opening-gauge']);
    expect(names('[{ opening-gauge: { opening: branch.end, name: mine } }, auto]')).toEqual([
      'mine',
      'branch-end-notch-collar',
      'h-opening-gauge',
    ]);
  });

  test('holes that reach too far round, that are not there, that lie by a bend or have no end near are told', () => {
    const codes = (asked: Asked): readonly string[] => tried(job(asked)).problems.map(({ code }) => code);
    expect(codes({ more: 'openings: { h: { on: run, at: 200, toward: 30, round: 60 } }' })).toEqual([
      'tool/cannot-build',
    ]);
    expect(codes({ tools: '[{ opening-gauge: other }]' })).toEqual(['tool/no-cut']);
    expect(
      codes({
        run: 'points: [[0, 0, 0], [300, 0, 0], [300, 300, 0]], clr: 100, up: [0, 0, 1]',
        more: 'openings: { h: { on: run, at: 190, toward: 90, round: 20 } }',
      }),
    ).toEqual(['tool/crosses-bend']);
    expect(
      codes({
        more: 'openings: { h: { on: run, at: 700, toward: 30, round: 24 } }',
        tools: '[{ opening-gauge: { opening: h, datum: end } }]',
        run: 'points: [[-500, 0, 0], [900, 0, 0]]',
      }),
    ).toEqual(['tool/cannot-build']);
    // Under auto the job goes on without.
    const auto = tried(job({ more: 'openings: { h: { on: run, at: 200, toward: 30, round: 60 } }', tools: 'auto' }));
    expect(auto.problems.map(({ severity }) => severity)).toEqual(['warning']);
    expect(auto.tools).toEqual([]);
  });
});
