import { beforeAll, describe, expect, test } from 'vitest';
import { pdfBytes } from '../../src/export/pdf.ts';
import { lengthFigure } from '../../src/export/sheet-figures.ts';
import { jobSheetHtml } from '../../src/export/sheet-html.ts';
import { jobSheetPages } from '../../src/export/sheet-pages.ts';
import { EXAMPLES, rowsOf, type SheetOfExample, sheetOf } from '../export/sheet-support.ts';
import { openPage } from './paper-browser.ts';
import { pdfInfo, pdfText, rasterize } from './paper-readers.ts';

const sheets = new Map<string, SheetOfExample>();
beforeAll(() => {
  for (const name of EXAMPLES) sheets.set(name, sheetOf(name, 1));
});

const pdfOf = (name: string, paper: 'a4' | 'letter'): Uint8Array => {
  const { sheet } = sheets.get(name)!;
  return pdfBytes(jobSheetPages(sheet, paper), { title: sheet.title, madeBy: 'kerfwright' });
};

/** Every length, angle and name that a saw or a tape needs. */
function figuresOf(name: string): readonly string[] {
  const { solution, tools } = sheets.get(name)!;
  const { units } = solution.job;
  return [
    ...rowsOf(solution).flatMap((row) => [
      row.member,
      lengthFigure(row.stockLength, units),
      ...row.ends.flatMap((end) =>
        end.cut === 'plain'
          ? []
          : [
              lengthFigure(end.longPoint, units),
              lengthFigure(end.shortPoint, units),
              ...(end.flat && end.flat.miterDeg > 0 ? [`${end.flat.miterDeg.toFixed(2)} deg`] : []),
              ...(end.inBend ? [lengthFigure(end.inBend.inside, units), lengthFigure(end.inBend.outside, units)] : []),
              ...(end.ordinates ?? []).map(({ cutBack }) => lengthFigure(cutBack, units)),
            ],
      ),
    ]),
    ...tools.map(({ tool }) => tool.revision),
  ];
}

describe('the job sheet as PDF', () => {
  for (const name of EXAMPLES) {
    test(`of ${name} holds the numbers of every cut, and is of the paper's size`, () => {
      const pdf = pdfOf(name, 'a4');
      const text = pdfText(pdf).replaceAll(/\s+/g, ' ');
      for (const figure of figuresOf(name)) expect(text, figure).toContain(figure);
      expect(pdfInfo(pdf).get('Page size')).toMatch(/A4/);
      expect(pdfInfo(pdfOf(name, 'letter')).get('Page size')).toMatch(/letter/);
      const other = EXAMPLES[(EXAMPLES.indexOf(name) + 1) % EXAMPLES.length]!;
      expect(figuresOf(other).every((figure) => text.includes(figure))).toBe(false);
    });
  }

  test('the first sheet carries the picture', () => {
    const { pixels } = rasterize(pdfOf('cargo-rack', 'letter'), { perMm: 2 });
    const gray = pixels.filter((value) => value > 60 && value < 220).length;
    expect(gray).toBeGreaterThan(2000);
  });
});

describe('the job sheet in a browser', () => {
  test.each([
    ['a screen', [1200, 1600]],
    ['a phone', [390, 844]],
  ] as const)('opens on %s without an error, and shows the assembly', (_, size) => {
    const { dom, console: said, screen } = openPage(jobSheetHtml(sheets.get('boat-rail')!.sheet), size);
    expect(said).toEqual([]);
    for (const figure of figuresOf('boat-rail')) expect(dom, figure).toContain(figure);
    const channels = screen.bytes.length / (screen.width * screen.height);
    let colored = 0;
    for (let i = 0; i < screen.bytes.length; i += channels) {
      const [r, g, b] = [screen.bytes[i]!, screen.bytes[i + 1]!, screen.bytes[i + 2]!];
      if (Math.max(r, g, b) - Math.min(r, g, b) > 12) colored++;
    }
    expect(colored).toBeGreaterThan(1000);
  });

  test('a page that asks for something outside itself would be found out', () => {
    const html = jobSheetHtml(sheets.get('boat-rail')!.sheet);
    const asking = html.replace('<footer>', '<img src="http://example.invalid/x.png"><footer>');
    expect(openPage(asking, [600, 400]).console.length).toBeGreaterThan(0);
  });
});
