import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import { templatePages, templateSheet } from '../../src/export/template-pages.ts';
import { svgText } from '../../src/export/template-svg.ts';
import { type WrapTemplate, wrapTemplate } from '../../src/export/wrap-template.ts';
import { tand } from '../../src/geometry/angle.ts';
import { besideAt } from '../../src/geometry/centerline.ts';
import { outlineAt, perimeter } from '../../src/geometry/section.ts';
import { generatorLength } from '../../src/geometry/tube-surface.ts';
import { distance, type Mm, type Vec3 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import { stopDistance } from '../../src/solve/generator.ts';
import type { CutEnd, Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { randomCope, runs } from '../properties/arbitrary.ts';
import {
  barTube,
  bend,
  cope,
  cutOf,
  jobOf,
  oval,
  rectangle,
  round,
  runTube,
  sAt,
  solved,
  straight,
  trim,
} from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { example } from '../support/tools.ts';

const EXAMPLES = ['bench-frame', 'boat-rail', 'cargo-rack', 'dust-wye', 'flue-elbow'] as const;

function exampleSolution(name: string): Solution {
  const { value, problems } = solveJob(loadJob(example(name), {}).value!);
  if (!value) expect.fail(problems.map((problem) => problem.message).join('\n'));
  return value;
}

const templateOf = (solution: Solution, id: string): WrapTemplate => wrapTemplate(cutOf(solution, id), { solution });

/** Where paper laid along the tube's own line at u ends after `y` mm from the base line: walked in short steps, no formula. */
function wrappedBack(end: CutEnd, base: Mm, { u, y }: { readonly u: number; readonly y: Mm }): Vec3 {
  const dir = end.end === 'end' ? 1 : -1;
  const [a, b] = outlineAt(end.member.section, u).point;
  const STEP = 0.25;
  let at = besideAt(end.member.centerline, base, a, b);
  let s = base;
  let left = y;
  for (let i = 0; i < 100_000 && left > 0; i++) {
    const next = besideAt(end.member.centerline, s + dir * STEP, a, b);
    const step = distance(at, next);
    if (step >= left) return besideAt(end.member.centerline, s + dir * STEP * (left / step), a, b);
    left -= step;
    s += dir * STEP;
    at = next;
  }
  return at;
}

/** Largest distance of the wrapped pattern from what the tube is cut to, at the points of the line and between them. */
function offCut(end: CutEnd, template: WrapTemplate): number {
  const pairs = template.outer.points.flatMap(([x, y], i): readonly (readonly [number, number])[] => {
    const next = template.outer.points[i + 1];
    if (!next) return [];
    return [0, 0.5].map((k) => {
      const point = wrappedBack(end, template.base.s, {
        u: (x + k * (next[0] - x)) / template.around,
        y: y + k * (next[1] - y),
      });
      return [0, Math.min(...end.stops.map((stop) => stopDistance(stop, point)))] as const;
    });
  });
  return worst(`pattern of ${end.id}`, pairs);
}

describe('the pattern, wrapped back on its tube, lies on the cut', () => {
  for (const name of EXAMPLES) {
    test(`on every cut end of ${name}`, () => {
      const solution = exampleSolution(name);
      expect(solution.ends.length).toBeGreaterThan(2);
      for (const end of solution.ends) expect(offCut(end, wrapTemplate(end, { solution })), end.id).toBeLessThan(0.01);
    });
  }

  const elbow = solved(
    jobOf(
      [runTube('elbow', round(50.8, 1.65), { run: [straight(40), bend(76.2, 90, 30), straight(60)] })],
      [trim('elbow.end', { kind: 'into-bend', bendAngleDeg: 50 }, { miterDeg: 20, longPointDeg: 75 })],
    ),
  );

  test('within a bend, from the straight behind it', () => {
    const template = templateOf(elbow, 'elbow.end');
    expect(offCut(cutOf(elbow, 'elbow.end'), template)).toBeLessThan(0.01);
    expect(template.bend).toBeDefined();
    expect(template.inBend).toEqual({ bend: 1, intoBendDeg: 50 });
  });

  test('on any section, coped to any other at any angle', () => {
    fc.assert(
      fc.property(randomCope, ({ job }) => {
        const solution = solved(job);
        const end = cutOf(solution, 'branch.end');
        const template = wrapTemplate(end, { solution });
        expect(offCut(end, template)).toBeLessThan(0.01);
        for (const page of [...templatePages(template, 'a4'), templateSheet(template)]) {
          expect(svgText(page, end.id)).not.toMatch(/NaN|Infinity/);
        }
      }),
      runs(10),
    );
  });

  test('a pattern drawn along the centerline, or a degree off, would be found out', () => {
    const end = cutOf(elbow, 'elbow.end');
    const template = templateOf(elbow, 'elbow.end');
    const along = end.curves.outer.samples.map(({ u, s }) => [u * template.around, s - template.base.s] as const);
    expect(offCut(end, { ...template, outer: { surface: 'outer', points: along } })).toBeGreaterThan(5);
    const turned = template.outer.points.map(([x, y]) => [x + template.around / 360, y] as const);
    expect(offCut(end, { ...template, outer: { surface: 'outer', points: turned } })).toBeGreaterThan(0.1);
  });

  test('the square line is where an edge square to the wall is longest', () => {
    const solution = exampleSolution('dust-wye');
    for (const id of ['left.end', 'duct.end']) {
      const end = cutOf(solution, id);
      const template = wrapTemplate(end, { solution });
      expect(template.oneLine, id).toBe(false);
      const pairs = template.square!.points.slice(0, -1).map(([x, y]): [number, number] => {
        const u = x / template.around;
        const span = { from: template.base.s, to: sAt(end, u, 'square') };
        return [generatorLength(end.member, u, span), y];
      });
      expect(worst(`square ${id}`, pairs)).toBeLessThan(0.01);
    }
  });
});

/** y of the outer line at x, between its points. */
function heightAt({ outer }: WrapTemplate, x: Mm): Mm {
  const after = outer.points.findIndex((point) => point[0] >= x);
  const [p, q] = [outer.points[Math.max(0, after - 1)]!, outer.points[after]!];
  return q[0] === p[0] ? q[1] : p[1] + ((x - p[0]) / (q[0] - p[0])) * (q[1] - p[1]);
}

const mitered = (od: Mm, miterDeg: number): WrapTemplate => {
  const tube = barTube('tube', round(od, 2), { from: [0, 0, 0], to: [0, 0, 900], up: [0, 1, 0] });
  const job = jobOf([tube], [trim('tube.end', { kind: 'at', distance: 500 }, { miterDeg, longPointDeg: 0 })]);
  return templateOf(solved(job), 'tube.end');
};

describe('published patterns', () => {
  // Apostol and Mnatsakanian, "Unwrapping Curves from Cylinders and Cones", Amer. Math. Monthly 114 (2007) 388-416:
  // a flat cut at angle a from square unrolls to u(x) = r tan(a) sin(x/r), x counted from a quarter before the long point.
  test.each([
    [25, 30],
    [19.05, 45],
    [60, 12.5],
  ])('a flat cut on radius %d at %d degrees is a sine', (r, a) => {
    const template = mitered(2 * r, a);
    const middle = (template.longPoint + template.shortPoint) / 2;
    const pairs = Array.from({ length: 97 }, (_, i): [number, number] => {
      const x = (template.around * i) / 96;
      return [r * tand(a) * Math.sin(x / r + Math.PI / 2), heightAt(template, x) - middle];
    });
    expect(worst('sine', pairs)).toBeLessThan(0.005);
    const wrong = pairs.map(([, y], i): [number, number] => [
      r * tand(a + 0.1) * Math.sin(((template.around / 96) * i) / r + Math.PI / 2),
      y,
    ]);
    expect(worst('sine of another angle', wrong)).toBeGreaterThan(0.02);
  });

  // Math Central, University of Regina: 200 diameter cut at 45 degrees, y = 100 cos(x/100), period 200 pi.
  test('a duct of 200 diameter cut at 45 degrees', () => {
    const template = mitered(200, 45);
    expect(template.around).toBeCloseTo(200 * Math.PI, 9);
    const middle = (template.longPoint + template.shortPoint) / 2;
    const pairs = [0, 50, 100, 157, 271, 314, 400, 628].map((x): [number, number] => [
      100 * Math.cos(x / 100),
      heightAt(template, x) - middle,
    ]);
    expect(worst('200 at 45', pairs)).toBeLessThan(0.005);
  });

  // Math Central, University of Regina: square tube of 3 in, the edge of a 45 degree miter is 3 sqrt 2 = 4.24 in.
  test('square tube of 3 in at 45 degrees', () => {
    const side = 76.2;
    const tube = barTube('tube', rectangle(side, side, 0.001, 2), { from: [0, 0, 0], to: [0, 0, 900], up: [0, 1, 0] });
    const job = jobOf([tube], [trim('tube.end', { kind: 'at', distance: 500 }, { miterDeg: 45, longPointDeg: 0 })]);
    const template = templateOf(solved(job), 'tube.end');
    expect(template.longPoint - template.shortPoint).toBeCloseTo(side, 3);
    // Over the right side, from the upper corner to the lower.
    const [p, q] = [side / 2, (3 * side) / 2];
    const edge = Math.hypot(q - p, heightAt(template, q) - heightAt(template, p));
    expect(edge / 25.4).toBeCloseTo(3 * Math.SQRT2, 2);
    expect(edge / 25.4).toBeCloseTo(4.24, 2);
  });
});

describe('what is written beside the pattern', () => {
  test('ordinates are the line at sixteen places, and the witness lines lie at the quarters', () => {
    const solution = exampleSolution('cargo-rack');
    for (const end of solution.ends) {
      const template = wrapTemplate(end, { solution });
      expect(template.around).toBeCloseTo(perimeter(end.member.section), 9);
      for (const [i, { x }] of template.witness.entries()) expect((4 * x) / template.around).toBeCloseTo(i, 12);
      expect(
        worst(
          `ordinates of ${end.id}`,
          template.ordinates.map((row) => [heightAt(template, row.around), row.outer]),
        ),
      ).toBeLessThan(0.003);
      expect(Math.max(...template.ordinates.map((row) => row.outer))).toBeLessThanOrEqual(template.longPoint + 1e-6);
    }
  });

  test('the base line lies on the kept tube, at a sixteenth from the long point of the other end', () => {
    const solution = exampleSolution('cargo-rack');
    const piece = solution.pieces.find(({ member }) => member.name === 'stay-left')!;
    const { base, shortPoint } = templateOf(solution, 'stay-left.end');
    expect(base.from).toBe('other-end');
    expect(base.s - piece.from).toBeCloseTo(base.distance, 9);
    expect((base.distance / 25.4) * 16).toBeCloseTo(Math.round((base.distance / 25.4) * 16), 9);
    expect(shortPoint).toBeGreaterThan(24);
    expect(base.s).toBeGreaterThan(piece.startEnd!.shortPoint);
  });

  test('behind a bend the base line is measured from its tangent point', () => {
    const solution = exampleSolution('cargo-rack');
    const end = cutOf(solution, 'bow.end');
    const last = end.member.centerline.segments.filter((segment) => segment.kind === 'bend').at(-1)!;
    const { base } = templateOf(solution, 'bow.end');
    expect(base.from).toBe('tangent-point');
    expect(base.s - (last.s0 + last.length)).toBeCloseTo(base.distance, 9);
  });

  test('a piece too short for the usual room keeps its base line on the tube', () => {
    const run = barTube('run', round(50), { from: [-200, 0, 0], to: [200, 0, 0], up: [0, 0, 1] });
    const stub = barTube('stub', round(30), { from: [0, 0, 36], to: [0, 0, 0], up: [0, 1, 0] });
    const solution = solved(jobOf([run, stub], [cope('stub.end', ['run'])]));
    const { base, shortPoint } = templateOf(solution, 'stub.end');
    expect(base.s).toBeGreaterThanOrEqual(0);
    expect(shortPoint).toBeGreaterThan(0);
    expect(shortPoint).toBeLessThanOrEqual(15.1);
  });

  test('left and right of a mirrored pair are mirror images', () => {
    const solution = exampleSolution('cargo-rack');
    const [left, right] = ['stay-left.end', 'stay-right.end'].map((id) => templateOf(solution, id)) as [
      WrapTemplate,
      WrapTemplate,
    ];
    expect(right.base.distance).toBeCloseTo(left.base.distance, 9);
    const pairs = Array.from({ length: 90 }, (_, i): [number, number] => {
      const x = (left.around * i) / 90;
      return [heightAt(left, x), heightAt(right, left.around - x)];
    });
    expect(worst('mirror', pairs)).toBeLessThan(0.005);
    expect(
      worst(
        'not mirrored',
        pairs.map(([y], i) => [y, heightAt(right, (left.around * i) / 90)]),
      ),
    ).toBeGreaterThan(1);
  });

  test('the limits in a bend are the longest way of a strip and the sideways run of a straight one', () => {
    const od = 30;
    const clr = 100;
    const tube = runTube('tube', round(od), { up: [0, 1, 0], run: [straight(80), bend(clr, 90, 0), straight(20)] });
    const job = jobOf([tube], [trim('tube.end', { kind: 'into-bend', bendAngleDeg: 30 })]);
    const { bend: limits, base } = templateOf(solved(job), 'tube.end');
    const arc = (radius: Mm): Mm => (radius * Math.PI) / 6;
    expect(base.s).toBe(55);
    expect(limits!.tangent).toBeCloseTo(25, 9);
    expect(limits!.reach).toBeCloseTo(arc(clr + od / 2), 2);
    // At the sides the line curves with the whole of 1/clr, and runs arc(clr).
    expect(limits!.sideways).toBeGreaterThanOrEqual(arc(clr) ** 2 / (2 * clr) - 0.01);
    expect(limits!.sideways).toBeLessThan((arc(clr) ** 2 / (2 * clr)) * 1.05);
    expect(limits!.slits).toHaveLength(16);
  });

  test('paper falls short by pi times its thickness on any section', () => {
    const tube = barTube('tube', oval(80, 40), { from: [0, 0, 0], to: [0, 0, 300], up: [0, 1, 0] });
    const solution = solved(jobOf([tube], [trim('tube.end', { kind: 'at', distance: 200 })]));
    const end = cutOf(solution, 'tube.end');
    const thickness = 0.12;
    const outside = perimeter(oval(80 + thickness, 40 + thickness));
    expect(wrapTemplate(end, { solution, paperThickness: thickness }).paper.short).toBeCloseTo(
      outside - perimeter(oval(80, 40)),
      9,
    );
  });
});
