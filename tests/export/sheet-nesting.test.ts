import { Ajv2020 } from 'ajv/dist/2020.js';
import { describe, expect, test } from 'vitest';
import { cutListCsv } from '../../src/export/csv-cut-list.ts';
import { cutTable } from '../../src/export/cut-table.ts';
import type { SheetDrawing } from '../../src/export/sheet-blocks.ts';
import { jobSheet } from '../../src/export/sheet-content.ts';
import { cutListJson } from '../../src/export/sheet-cut-list.ts';
import { cutListSchema } from '../../src/export/sheet-cut-list-schema.ts';
import { loadJob } from '../../src/job/load.ts';
import { solveJob } from '../../src/solve/solve.ts';

const JOB = `job: rack
sections:
  leg: { kind: round, od: 60.3, wall: 2 }
  rail: { kind: square, side: 40, wall: 2 }
stock:
  leg: { bends: [{ clr: 76, angle: 90, legs: 60 }, { clr: 76, angle: 45, legs: 30 }], square-end: 5 }
  rail: { lengths: [3000, 2000] }
members:
  a: { section: leg, start: { at: [0, 0, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ straight: 40 }, { bend: { clr: 76, angle: 35, toward: up } }] }
  b: { section: leg, start: { at: [0, 200, 0], heading: [1, 0, 0], up: [0, 0, 1] }, run: [{ bend: { clr: 76, angle: 40, toward: up } }] }
  w: { section: rail, points: [[0, 1300, 0], [1500, 1300, 0]], up: [0, 0, 1] }
  x: { section: rail, points: [[0, 1400, 0], [900, 1400, 0]], up: [0, 0, 1] }
joints:
  - trim: { end: w.end, at: 1490, miter: 30, long-point: up }
  - trim: { end: x.end, at: 880, miter: 30, long-point: right }
`;
const solution = solveJob(loadJob(JOB).value!).value!;
const table = cutTable(solution);

describe('the cutting plan', () => {
  test('stands in the JSON cut list, within its schema', () => {
    const list: unknown = JSON.parse(cutListJson(table, { madeBy: 'kerfwright 0.0.0' }));
    const valid = new Ajv2020({ strict: true, allErrors: true }).compile(cutListSchema());
    expect(valid(list), JSON.stringify(valid.errors)).toBe(true);
    expect(list).toMatchObject({
      stock: [
        { section: 'leg', bends: [{ bendAngleDeg: 90, pieces: [{ member: 'a' }, { member: 'b' }] }] },
        { section: 'rail', sticks: [{ length: 3000, pieces: [{ member: 'w', from: 0 }, { member: 'x' }] }] },
      ],
    });
  });

  test('stands in the CSV: which stick or bend, from where to where', () => {
    const [heads, ...rows] = cutListCsv(table)
      .trim()
      .split('\r\n')
      .map((line) => line.split(','));
    const cell = (member: string, head: string) => rows.find(([name]) => name === member)![heads!.indexOf(head)];
    expect(cell('w', 'cut from')).toBe('stick 1');
    expect(Number(cell('w', 'on stick to mm'))).toBeCloseTo(table.pieces[2]!.longLength, 3);
    expect(cell('b', 'cut from')).toBe('bend 1');
    expect(Number(cell('a', 'on bend to deg'))).toBeCloseTo(35, 3);
    expect(cell('a', 'on stick to mm')).toBe('');
  });

  test('is drawn in the sheet: every piece a closed outline to scale, in the order it is sawn', () => {
    const sheet = jobSheet(solution, { tools: [], madeBy: 'kerfwright 0.0.0' });
    const plans = sheet.sections.filter(({ heading }) => heading.startsWith('Cutting plan'));
    expect(plans.map(({ heading }) => heading)).toEqual(['Cutting plan, leg', 'Cutting plan, rail']);
    const drawings = plans
      .flatMap((plan) => plan.blocks)
      .flatMap((block): readonly SheetDrawing[] => {
        const inner = block.kind === 'beside' ? block.blocks : [block];
        return inner.flatMap((own) => (own.kind === 'drawing' ? [own] : []));
      });
    expect(drawings).toHaveLength(2);
    for (const { marks, width, height } of drawings) {
      const outlines = marks.flatMap((mark) => (mark.kind === 'line' && mark.type === 'outline' ? [mark.points] : []));
      expect(outlines).toHaveLength(2);
      for (const [x, y] of outlines.flat()) {
        expect(x).toBeGreaterThanOrEqual(0);
        expect(x).toBeLessThanOrEqual(width);
        expect(y).toBeGreaterThanOrEqual(0);
        expect(y).toBeLessThanOrEqual(height);
      }
    }
    const [w, x] = drawings[1]!.marks.flatMap((mark) =>
      mark.kind === 'line' && mark.type === 'outline' ? [mark.points] : [],
    );
    const wide = (points: readonly (readonly number[])[]) =>
      Math.max(...points.map((p) => p[0]!)) - Math.min(...points.map((p) => p[0]!));
    expect(wide(w!) / wide(x!)).toBeCloseTo(table.pieces[2]!.longLength / table.pieces[3]!.longLength, 6);
  });
});
