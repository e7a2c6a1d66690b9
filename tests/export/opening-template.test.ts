import { describe, expect, test } from 'vitest';
import { openingPattern } from '../../src/export/opening-template.ts';
import { patternPages, patternSheet } from '../../src/export/template-pages.ts';
import { svgText } from '../../src/export/template-svg.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { made } from '../support/tools.ts';

const solution = (at: string): Solution =>
  made(`
job: t
sections: { s: { kind: round, od: 100, wall: 2 } }
members: { run: { section: s, points: [[0, 0, 0], [500, 0, 0]], up: [0, 0, 1] } }
openings: { h: { on: run, ${at} } }
tools: []
`).solution;

describe('the pattern of an opening', () => {
  test('is its edge unrolled: u^2 = a^2 - sin^2 x on the unit cylinder (Apostol & Mnatsakanian, Amer. Math. Monthly 114 (2007) 388-416), about the cross', () => {
    const job = solution('at: 200, toward: 60, round: 60');
    const { drawing } = openingPattern(job.openings[0]!, job);
    const lines = drawing.marks.flatMap((mark) => (mark.kind === 'line' ? [mark] : []));
    const cross = lines.filter(({ type }) => type === 'center');
    const [x0, y0] = [cross[0]!.points[0]![0], cross[1]!.points[0]![1]];
    const edge = lines.filter(({ type }) => type === 'outline').at(-1)!.points;
    expect(edge.length).toBeGreaterThan(90);
    for (const [x, y] of edge) expect(((y - y0) / 50) ** 2 + Math.sin((x - x0) / 50) ** 2).toBeCloseTo(0.36, 9);
    expect(edge[0]).toEqual(edge.at(-1));
    // The whole of it lies on the paper, with room to hold.
    for (const [x, y] of edge) {
      expect(Math.min(x, y, drawing.width - x, drawing.height - y)).toBeGreaterThan(17);
    }
  });

  test('up the page is toward the end of the tube', () => {
    const job = solution('at: 200, toward: up, lean: 40, round: 30');
    const [opening] = job.openings;
    const { drawing } = openingPattern(opening!, job);
    const lines = drawing.marks.flatMap((mark) => (mark.kind === 'line' ? [mark] : []));
    const y0 = lines.filter(({ type }) => type === 'center')[1]!.points[0]![1];
    const edge = lines.filter(({ type }) => type === 'outline').at(-1)!.points;
    // The axis leans toward the end: down the sides of the tube the hole falls back toward the start, lower on the page.
    const widest = edge.reduce((p, q) => (q[0] > p[0] ? q : p));
    expect(widest[1] - y0).toBeGreaterThan(1.5);
    expect(y0 - Math.min(...edge.map(([, y]) => y))).toBeCloseTo(opening!.along[1], 9);
  });

  test('tells where the cross is scribed, on one sheet or tiled, the same bytes every time', () => {
    const small = solution('at: 200, toward: 60, round: 60');
    const page = patternSheet(openingPattern(small.openings[0]!, small));
    const text = svgText(page, 'h');
    expect(text).toContain('200.00 mm from the long point at the start');
    expect(text).toContain('60.00 deg from the witness line');
    expect(svgText(patternSheet(openingPattern(small.openings[0]!, small)), 'h')).toBe(text);
    expect(patternPages(openingPattern(small.openings[0]!, small), 'a4')).toHaveLength(1);
    const long = solution('at: 250, toward: up, slot: [400, 40]');
    const pages = patternPages(openingPattern(long.openings[0]!, long), 'a4');
    expect(pages.length).toBeGreaterThan(2);
  });
});
