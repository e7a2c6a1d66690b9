import { describe, expect, test } from 'vitest';
import { type FitUpCheck, type FitUpChecks, fitUpChecks } from '../../src/export/fit-up-checks.ts';
import { plasticMass } from '../../src/export/plastic.ts';
import type { SheetBlock, SheetSection } from '../../src/export/sheet-blocks.ts';
import { jobSheet } from '../../src/export/sheet-content.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { example } from '../support/tools.ts';

const solutionOf = (text: string): Solution => {
  const { value, problems } = solveJob(loadJob(text).value!);
  if (!value) throw new Error(problems.map(({ message }) => message).join('\n'));
  return value;
};

/** Names of the ends at both sides of a check, shorter than the whole list of them. */
const between = ({ points }: FitUpChecks, { from, to }: FitUpCheck): string =>
  [points[from]!.ends[0], points[to]!.ends[0]].join(' - ');

describe('what to measure when the pieces stand together', () => {
  test('both diagonals of a mitered frame, by its work points and by its outside corners', () => {
    const checks = fitUpChecks(solutionOf(example('bench-frame')));
    const long = checks.diagonals.filter(({ outsides }) => outsides !== undefined);
    expect(long.map((check) => between(checks, check))).toEqual(['front.start - right.end', 'front.end - back.end']);
    for (const { centers, outsides } of long) {
      // Centers 1200 by 600; the tube of 40.1 stands half its width outside them on every side.
      expect(centers).toBeCloseTo(Math.hypot(1200, 600), 6);
      expect(outsides).toBeCloseTo(Math.hypot(1240.1, 640.1), 2);
    }
    // The rung parts the frame into two: each half has its own two diagonals.
    const half = checks.diagonals.filter(({ outsides }) => outsides === undefined);
    expect(half.map(({ centers }) => centers)).toEqual(Array(4).fill(expect.closeTo(Math.hypot(600, 600), 6)));
  });

  test('a frame that is out of square has two diagonals that differ', () => {
    const corners = ['[0, 0, 0]', '[1200, 0, 0]', '[1260, 600, 0]', '[0, 600, 0]'];
    const names = ['a', 'b', 'c', 'd'];
    const bars = names.map(
      (name, i) => `  ${name}: { section: t, points: [${corners[i]}, ${corners[(i + 1) % 4]}] }\n`,
    );
    const miters = names.map((name, i) => `  - miter: { ends: [${name}.end, ${names[(i + 1) % 4]}.start] }\n`);
    const checks = fitUpChecks(
      solutionOf(
        `job: skew\nsections: { t: { kind: round, od: 30, wall: 2 } }\nmembers:\n${bars.join('')}joints:\n${miters.join('')}`,
      ),
    );
    const [p, q] = checks.diagonals;
    expect(p!.centers).toBeCloseTo(Math.hypot(1260, 600), 6);
    expect(q!.centers).toBeCloseTo(Math.hypot(1200, 600), 6);
  });

  test('a bent member closes a frame too', () => {
    const checks = fitUpChecks(solutionOf(example('cargo-rack')));
    // Rails 48 in apart; the shelf stands 20 in behind the bow: 20, 48, 52.
    expect(checks.diagonals.map(({ centers }) => centers / 25.4)).toEqual([
      expect.closeTo(52, 6),
      expect.closeTo(52, 6),
    ]);
  });

  test('the spans between free ends of what runs into one trunk', () => {
    const checks = fitUpChecks(solutionOf(example('dust-wye')));
    const spans = new Map(checks.spans.map((check) => [between(checks, check), check.centers]));
    expect(spans.get('left.start - right.start')).toBeCloseTo(164, 1);
    expect(checks.spans).toHaveLength(6);
  });

  test('nothing where there is one piece', () => {
    const one =
      'job: one\nsections: { t: { kind: round, od: 30, wall: 2 } }\nmembers:\n  a: { section: t, points: [[0, 0, 0], [0, 0, 300]] }\njoints:\n  - trim: { end: a.end, at: 200 }\n';
    const { sections } = jobSheet(solutionOf(one), { tools: [], madeBy: 'test' });
    expect(sections.map(({ heading }) => heading)).not.toContain('Check when fitted up');
  });
});

describe('the sheet', () => {
  const cells = (sections: readonly SheetSection[], heading: string): readonly string[] => {
    const { blocks } = sections.find((section) => section.heading === heading)!;
    const tables = blocks.flatMap((block): readonly SheetBlock[] => (block.kind === 'beside' ? block.blocks : [block]));
    return tables.flatMap((block) => (block.kind === 'table' ? block.rows.flat() : []));
  };

  test('carries them, in inches with 64ths where the job is in inches', () => {
    const { sections } = jobSheet(solutionOf(example('cargo-rack')), { tools: [], madeBy: 'test' });
    const found = cells(sections, 'Check when fitted up');
    expect(found).toContain('52.000 (52)');
    expect(found).toContain('rail-left.start');
  });
});

describe('plastic', () => {
  test('is weighed solid, by the makers’ round figures', () => {
    // 10 cm^3 of PLA at 1.24 g/cm^3 and of PETG at 1.27 (common practice, see the source).
    expect(plasticMass(10_000, 'pla')).toBeCloseTo(12.4, 9);
    expect(plasticMass(10_000, 'petg')).toBeCloseTo(12.7, 9);
  });
});
