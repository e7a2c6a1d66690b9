import { describe, expect, test } from 'vitest';
import { codesOf, movedInJob, prove, toolsOf } from '../proof/support.ts';
import { kernel, made, meshOf, tried, vertices } from '../support/tools.ts';

const job = (tool: string, more = ''): string => `
job: t
${more}
sections:
  s: { kind: round, od: 40mm, wall: 2mm, measured: { od: 40.2mm } }
  big: { kind: round, od: 130mm, wall: 2mm }
  oval: { kind: flat-oval, width: 60mm, height: 30mm, wall: 2mm }
members: { m: { section: s, points: [[0, 0, 0], [200, 0, 0]] } }
joints: []
tools: [{ fit-coupon: ${tool} }]
`;

const provedOf = (tool: string, more?: string) => [...toolsOf(kernel, made(job(tool, more)).solution.job).values()];

describe('a fit coupon', () => {
  test('has six rings about the fit of the shop round the measured tube, each bored as loose as its number says', () => {
    const [proved] = provedOf('s', 'shop: { fit: { slide: 0.4 } }');
    const { tool } = proved!;
    expect(tool.facts.find(({ label }) => label === 'clearances')?.value).toBe('0.2, 0.3, 0.4, 0.5, 0.6, 0.7');
    expect(prove(kernel, proved!).problems).toEqual([]);
    const [part] = tool.parts;
    const points = vertices(meshOf(part!));
    const bores = part!.tubes.map(({ member }) => {
      const [x, y] = member.centerline.end.origin;
      return Math.min(...points.map((p) => Math.hypot(p[0] - x, p[1] - y)));
    });
    // The corners of a bore's facets stand off by the clearance and twice the chord tolerance.
    bores.forEach((r, i) => {
      expect(r - 20.1).toBeCloseTo(0.2 + 0.1 * i + 0.02, 4);
    });
  });

  test('with one bore a tenth of a millimeter tight is refused', () => {
    const [proved] = provedOf('s');
    const [x, y] = proved!.tool.parts[0]!.tubes[2]!.member.centerline.end.origin;
    const tight = movedInJob(proved!, ([a, b, c]) => {
      const r = Math.hypot(a - x, b - y);
      return r > 20.7 ? undefined : [x + ((a - x) * (r - 0.1)) / r, y + ((b - y) * (r - 0.1)) / r, c];
    });
    expect(codesOf(prove(kernel, tight))).toContain('proof/clearance');
  });

  test('of a tube too large for rings is half rings, which hold it from both sides', () => {
    const [proved] = provedOf('{ section: big, clearances: [0.3, 0.2, 0.3] }');
    expect(proved!.tool.parts).toHaveLength(2);
    expect(proved!.tool.parts[0]!.tubes[0]!.insertion.kind).toBe('lift');
    const proof = prove(kernel, proved!);
    expect(proof.problems).toEqual([]);
    expect(proof.parts.map(({ clearance }) => clearance!.cover > 0.49)).toEqual([true, true]);
  });

  test('in a job in inches carries numbers to write into it', () => {
    const [proved] = provedOf('{ section: oval, clearances: [0.01, 0.015] }', 'units: in');
    expect(proved!.tool.facts.find(({ label }) => label === 'clearances')?.value).toBe('0.010, 0.015');
  });

  test('of a section that is not there is refused by name, of one larger than the bed it comes in pieces', () => {
    expect(tried(job('nothing')).problems.map(({ code }) => code)).toEqual(['reference/unknown']);
    const [proved] = provedOf('{ section: big, clearances: [0.3] }', 'shop: { printer: { bed: [100, 100, 100] } }');
    expect(proved!.tool.parts.length).toBeGreaterThan(1);
    expect(prove(kernel, proved!).problems).toEqual([]);
  });
});
