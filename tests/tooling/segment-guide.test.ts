import { describe, expect, test } from 'vitest';
import { rotateVector } from '../../src/geometry/frame.ts';
import { along, distance, dot, scale, sub, type Vec3 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Feature } from '../../src/tooling/tool.ts';
import { codesOf, firstPart, movedInJob, type Proved, prove, toolsOf } from '../proof/support.ts';
import { inJob, kernel, made, meshOf, tried } from '../support/tools.ts';

interface Asked {
  readonly section?: string;
  readonly elbow?: string;
  readonly saw?: string;
  readonly tools?: string;
  readonly more?: string;
}

const job = ({
  section = '{ kind: round, od: 60.3, wall: 2 }',
  elbow = 'clr: 100, angle: 90, welds: 4, toward: right',
  saw = 'bandsaw',
  tools = '[{ segment-guide: d }]',
  more = '',
}: Asked = {}): string => `
job: t
shop: { saw: ${saw} }
sections: { s: ${section} }
members:
  d: { section: s, start: { heading: [0, 0, 1], up: [0, 1, 0] }, run: [{ straight: 120 }, { elbow: { ${elbow} } }, { straight: 100 }] }
${more}
tools: ${tools}
`;

const known = new Map<string, Proved>();

/** The first tool of a job, made once for all tests that break it. */
const proved = (text: string): Proved => {
  const before = known.get(text);
  if (before) return before;
  const [tool] = toolsOf(kernel, loadJob(text, {}).value!).values();
  known.set(text, tool!);
  return tool!;
};

const featureOf = <K extends Feature['kind']>({ tool }: Proved, kind: K): Extract<Feature, { kind: K }> =>
  tool.parts[0]!.features.find((feature): feature is Extract<Feature, { kind: K }> => feature.kind === kind)!;

describe('a segment guide', () => {
  test.each([
    ['round, band saw', {}],
    ['round, chop saw, with gaps', { saw: 'chop-saw', elbow: 'clr: 100, angle: 60, pieces: 4, toward: 30, gap: 1.5' }],
    ['flat oval on edge', { section: '{ kind: flat-oval, width: 40, height: 70, wall: 1.5 }' }],
    [
      'rectangle turned on the skew',
      {
        section: '{ kind: rectangle, width: 60, height: 40, wall: 2, corner-radius: 4 }',
        elbow: 'clr: 90, angle: 75, welds: 3, toward: 25',
        saw: 'chop-saw',
      },
    ],
  ] as const)('%s: proved from its bytes, slot and mitered stop on their planes', (_, asked) => {
    const proof = prove(kernel, proved(job(asked)));
    expect(proof.problems).toEqual([]);
    const part = firstPart(proof);
    expect(part.slotDeviation).toBeLessThan(0.002);
    expect(part.datumDeviation).toBeLessThan(0.002);
    expect(part.overlap).toBeLessThan(1e-3);
  });

  test('after half a turn and one piece along, what the slot has cut lies flat on the stop', () => {
    const tool = proved(job());
    const { cut } = featureOf(tool, 'slot');
    const stop = featureOf(tool, 'datum').plane;
    const { start, length } = tool.tool.end!.member.centerline.segments[0]!;
    const flipped = scale(rotateVector(cut.normal, start.heading, 180), 1);
    // The stop looks at the tube; the tube's end looks at the stop.
    expect(distance(flipped, stop.normal)).toBeLessThan(1e-12);
    const onAxis = along(start.origin, start.heading, length);
    const back = along(onAxis, start.heading, -2 * 100 * Math.tan((11.25 * Math.PI) / 180));
    expect(Math.abs(dot(sub(back, stop.point), stop.normal))).toBeLessThan(1e-9);
    expect(Math.abs(dot(sub(onAxis, cut.point), cut.normal))).toBeLessThan(1e-9);
  });

  test('the printed stop stands one throat and one heel from the printed slot', () => {
    const { tool } = proved(job());
    const part = tool.parts[0]!;
    const { start } = tool.end!.member.centerline.segments[0]!;
    const points = inJob(part, meshOf(part));
    const { cut } = featureOf({ tool } as Proved, 'slot');
    const stop = featureOf({ tool } as Proved, 'datum').plane;
    const onStop = points.filter((p) => Math.abs(dot(sub(p, stop.point), stop.normal)) < 1e-3);
    // Vertices of the stop's face, carried along the tube onto the cut plane.
    const lengths = onStop.map((p): [number, number] => {
      const t = dot(sub(cut.point, p), cut.normal) / dot(start.heading, cut.normal);
      const off = sub(p, start.origin);
      // Toward the heel: away from the turn's side.
      return [-dot(off, [-1, 0, 0]), t];
    });
    const tan = Math.tan((11.25 * Math.PI) / 180);
    expect(onStop.length).toBeGreaterThan(3);
    for (const [out, long] of lengths) expect(Math.abs(long - 2 * (100 + out) * tan)).toBeLessThan(2e-3);
    expect(Math.max(...lengths.map(([out]) => out))).toBeGreaterThan(29);
    expect(Math.min(...lengths.map(([out]) => out))).toBeLessThan(-29);
  });

  test('a stop 0.03 mm off, or turned by a tenth of a degree, is refused', () => {
    const good = proved(job());
    const { plane } = featureOf(good, 'datum');
    const nearStop = (p: Vec3): boolean => Math.abs(dot(sub(p, plane.point), plane.normal)) < 1e-3;
    const off = prove(
      kernel,
      movedInJob(good, (p) => (nearStop(p) ? along(p, plane.normal, -0.03) : undefined)),
    );
    expect(codesOf(off)).toEqual(['proof/datum']);
    expect(firstPart(off).datumDeviation).toBeCloseTo(0.03, 3);
    const turned = prove(
      kernel,
      movedInJob(good, (p) => {
        const across = dot(sub(p, plane.point), [1, 0, 0]);
        return nearStop(p) ? along(p, plane.normal, -0.0017 * Math.abs(across)) : undefined;
      }),
    );
    expect(codesOf(turned)).toContain('proof/datum');
  });

  test('a stop square to the tube does not carry a mitered end', () => {
    const good = proved(job());
    const { heading, origin } = good.tool.end!.member.centerline.segments[0]!.start;
    const { plane } = featureOf(good, 'datum');
    const squared = movedInJob(good, (p) => {
      if (Math.abs(dot(sub(p, plane.point), plane.normal)) > 1e-3) return undefined;
      return along(p, heading, -dot(sub(p, origin), heading));
    });
    expect(codesOf(prove(kernel, squared))).toContain('proof/datum');
  });

  test('under auto one guide serves all elbows alike, mirror images too, and their end pieces', () => {
    const more = '  e: { mirror: d, across: { at: [400, 0, 0], normal: [1, 0, 0] } }';
    const { tools } = made(job({ tools: 'auto', more }));
    expect(tools.map(({ name }) => name)).toEqual(['d-elbow-segment-guide']);
    expect(tools[0]!.for).toBe('d-elbow, e-elbow');
    expect(tools[0]!.use.join(' ')).toContain('6 in all');
    const asked = made(job({ tools: '[{ segment-guide: e }, auto]', more })).tools;
    expect(asked.map(({ name }) => name)).toEqual(['e-elbow-segment-guide']);
    // One shape, one mark.
    expect(asked[0]!.revision).toBe(tools[0]!.revision);
  });

  test('an elbow of two pieces gets saw guides, and no segment guide', () => {
    const one = 'clr: 100, angle: 40, welds: 1, toward: right';
    expect(made(job({ tools: 'auto', elbow: one })).tools.map(({ kind }) => kind)).toEqual(['saw-guide', 'saw-guide']);
    expect(tried(job({ elbow: one })).problems.map(({ code }) => code)).toEqual(['tool/cannot-build']);
  });

  test('gores too short to hold and elbows that are not there are told', () => {
    const codes = (asked: Asked): readonly string[] => tried(job(asked)).problems.map(({ code }) => code);
    expect(codes({ elbow: 'clr: 40, angle: 90, welds: 6, toward: right' })).toEqual(['tool/cannot-build']);
    expect(codes({ tools: '[{ segment-guide: { elbow: d, number: 2 } }]' })).toEqual(['tool/cannot-build']);
    expect(codes({ tools: '[{ segment-guide: dd }]' })).toEqual(['reference/unknown']);
    // One that is longer than the bed comes in pieces.
    const auto = tried(job({ tools: 'auto', elbow: 'clr: 250, angle: 120, welds: 2, toward: right' }));
    expect(new Set(auto.tools.map(({ kind }) => kind))).toEqual(new Set(['segment-guide']));
    expect(auto.tools[0]!.wholes).toHaveLength(1);
  });
});
