import { describe, expect, test } from 'vitest';
import { pdfBytes } from '../../src/export/pdf.ts';
import { PAPER_MARGIN, PAPERS, type PaperName } from '../../src/export/sheet-paper.ts';
import { templatePages } from '../../src/export/template-pages.ts';
import { type WrapTemplate, wrapTemplate } from '../../src/export/wrap-template.ts';
import { loadJob } from '../../src/job/load.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { cutOf } from '../support/jobs.ts';
import { worst } from '../support/measure.ts';
import { example } from '../support/tools.ts';
import { linesCrossed, pdfInfo, pdfText, type Raster, rasterize } from './paper-readers.ts';

const INFO = { title: 'wrap template', madeBy: 'kerfwright' };

function templateOf(job: string, id: string): WrapTemplate {
  const solution = solveJob(loadJob(example(job), {}).value!).value!;
  return wrapTemplate(cutOf(solution, id), { solution });
}

const LEFT = PAPER_MARGIN + 12;
const TOP = PAPER_MARGIN;
const FOOT = PAPER_MARGIN + 16;

/** Lengths of the four bars as printed, over what they should be. */
function bars(raster: Raster, paper: PaperName): readonly (readonly [number, number])[] {
  const { height } = PAPERS[paper];
  const foot = height - FOOT;
  // Ticks reach 1.5 mm to each side of their bar: looked at 1 mm beside it they stand alone.
  const across = [foot + 3 + 1.5, foot + 3 + 1.5 + 4.2].map((y) =>
    linesCrossed(raster, { along: 'x', at: y - 1, from: LEFT - 2, to: LEFT + 53 }),
  );
  const up = [PAPER_MARGIN + 1.5, PAPER_MARGIN + 1.5 + 4.2].map((x) =>
    linesCrossed(raster, { along: 'y', at: x - 1, from: foot - 53, to: foot + 2 }),
  );
  return [...across, ...up].map((ticks, i) => {
    expect(ticks, `bar ${i}`).toHaveLength(2);
    return [i % 2 === 0 ? 50 : 50.8, ticks[1]! - ticks[0]!] as const;
  });
}

/** Height of the printed cut line over the base line at x, for a cut at the end of its member, against the template's. */
function heights(raster: Raster, template: WrapTemplate): readonly (readonly [number, number])[] {
  const points = template.outer.points;
  const near = (x: number): number => {
    const after = points.findIndex((p) => p[0] >= x);
    const [p, q] = [points[after - 1]!, points[after]!];
    return p[1] + ((x - p[0]) / (q[0] - p[0])) * (q[1] - p[1]);
  };
  // Away from names, witness lines and ticks.
  const shares = [0.27, 0.295, 0.335, 0.36, 0.41, 0.46, 0.83, 0.86, 0.9];
  return shares.map((share) => {
    const x = Math.round(share * template.around * 20) / 20 + 0.025;
    const crossed = linesCrossed(raster, { along: 'y', at: LEFT + x, from: TOP - 1, to: TOP + template.height + 13 });
    const [top, cut, base] = [crossed[0]!, crossed[1]!, crossed.at(-1)!];
    expect(base - top).toBeCloseTo(template.height + 12, 1);
    return [near(x), base - cut] as const;
  });
}

/** From the paper's edge to the 0 line at the seam, above the cut; rows that fall in a gap of the dashed line are passed over. */
function wrapLength(raster: Raster, { around }: WrapTemplate): number {
  for (let y = TOP + 2; y < TOP + 11; y += 0.5) {
    const crossed = linesCrossed(raster, { along: 'x', at: y, from: LEFT - 1, to: LEFT + around + 5 });
    const seam = crossed.find((x) => Math.abs(x - LEFT - around) < 1);
    if (seam !== undefined) return seam - crossed[0]!;
  }
  return Number.NaN;
}

describe('a printed template measured on the page', () => {
  const cases = [
    ['bench-frame', 'rung.end', 'a4'],
    ['bench-frame', 'leg.end', 'letter'],
    ['cargo-rack', 'bow.end', 'letter'],
    ['boat-rail', 'rail.end', 'a4'],
  ] as const;
  for (const [job, id, paper] of cases) {
    test(`${id} of ${job} on ${paper} is true to 0.1 mm, bars and pattern`, () => {
      const template = templateOf(job, id);
      expect(template.oneLine).toBe(true);
      const pdf = pdfBytes(templatePages(template, paper), INFO);
      const raster = rasterize(pdf);
      expect(worst(`bars ${id}`, bars(raster, paper))).toBeLessThan(0.1);
      expect(worst(`pattern ${id}`, heights(raster, template))).toBeLessThan(0.1);
      expect(worst(`wrap ${id}`, [[template.around, wrapLength(raster, template)]])).toBeLessThan(0.1);
    });
  }

  test('a printer that stretches by half a percent would be found out', () => {
    const template = templateOf('bench-frame', 'rung.end');
    const raster = { ...rasterize(pdfBytes(templatePages(template, 'a4'), INFO), { perMm: 20.1 }), perMm: 20 };
    const stretched = (['x', 'y'] as const).map((along) => {
      const foot = 297 - FOOT;
      const lines =
        along === 'x'
          ? linesCrossed(raster, { along, at: (foot + 3.5) * 1.005, from: LEFT - 2, to: LEFT + 54 })
          : linesCrossed(raster, {
              along,
              at: (PAPER_MARGIN + 0.5) * 1.005,
              from: (foot - 53) * 1.005,
              to: (foot + 2) * 1.005,
            });
      return [50, lines[1]! - lines[0]!] as const;
    });
    expect(worst('stretched', stretched)).toBeGreaterThan(0.2);
  });

  test('the sheets have the size of the paper, and the text holds the numbers of the cut', () => {
    const miter = pdfBytes(templatePages(templateOf('bench-frame', 'front.end'), 'letter'), INFO);
    expect(pdfInfo(miter).get('Page size')).toBe('612 x 792 pts (letter)');
    // A miter of 45 degrees across 40.1 mm; square tube of 40.1 with corners of 4: 4 x 40.1 - (8 - 2 pi) x 4 round the outside.
    for (const figure of [
      'front.end',
      '45.00 deg from square',
      'long point at 90.00 deg',
      '153.53 mm',
      '65.10',
      '25.00',
    ])
      expect(pdfText(miter), figure).toContain(figure);
    const stay = templateOf('cargo-rack', 'stay-left.end');
    const text = pdfText(pdfBytes(templatePages(stay, 'a4'), INFO));
    for (const row of stay.ordinates) expect(text).toContain((row.outer / 25.4).toFixed(3));
    expect(text).toContain('3.142 in (3-9/64)');
    expect(pdfInfo(pdfBytes(templatePages(stay, 'a4'), INFO)).get('Page size')).toMatch(/A4/);
  });

  test('tiled sheets are named by row and column', () => {
    const pdf = pdfBytes(templatePages(templateOf('dust-wye', 'duct.end'), 'a4'), INFO);
    const pages = Number(pdfInfo(pdf).get('Pages'));
    expect(pages).toBeGreaterThan(1);
    const text = pdfText(pdf);
    expect(text).toContain('row 1 of 1, column 2 of 2');
    expect(text).toContain(`sheet ${pages} of ${pages}`);
  });
});
