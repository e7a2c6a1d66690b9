import { beforeAll, describe, expect, test } from 'vitest';
import { pdfBytes } from '../../src/export/pdf.ts';
import type { JobSheet, SheetBlock } from '../../src/export/sheet-blocks.ts';
import { CAUTIONS } from '../../src/export/sheet-cautions.ts';
import { pieceChecks } from '../../src/export/sheet-checks.ts';
import { jobSheet } from '../../src/export/sheet-content.ts';
import { inchFraction, lengthFigure } from '../../src/export/sheet-figures.ts';
import { jobSheetHtml } from '../../src/export/sheet-html.ts';
import { jobSheetPages } from '../../src/export/sheet-pages.ts';
import { type Mark, PAPERS, type Page, textWidth } from '../../src/export/sheet-paper.ts';
import { barTube, bend, jobOf, rectangle, round, runTube, solved, straight, trim } from '../support/jobs.ts';
import { EXAMPLES, rowsOf, type SheetOfExample, sheetOf } from './sheet-support.ts';

const sheets = new Map<string, SheetOfExample>();
beforeAll(() => {
  for (const name of EXAMPLES) sheets.set(name, sheetOf(name, name === 'bench-frame' ? 3 : 1));
});

const flat = (blocks: readonly SheetBlock[]): readonly SheetBlock[] =>
  blocks.flatMap((block) => (block.kind === 'beside' ? flat(block.blocks) : [block]));
const cellsOf = (sheet: JobSheet, heading: RegExp): readonly string[] =>
  sheet.sections
    .filter((section) => heading.test(section.heading))
    .flatMap((section) => flat(section.blocks))
    .flatMap((block) => (block.kind === 'table' ? block.rows.flat() : []));

describe('the job sheet', () => {
  test('has a row for each piece and each cut, with its lengths, angles and marks', () => {
    for (const name of EXAMPLES) {
      const { sheet, solution } = sheets.get(name)!;
      const { units } = solution.job;
      const list = cellsOf(sheet, /^Cut list$/);
      rowsOf(solution).forEach((row, i) => {
        expect(list).toContain(row.member);
        expect(list).toContain(lengthFigure(row.stockLength, units));
        const cells = cellsOf(sheet, new RegExp(`^${i + 1}  ${row.member}$`));
        for (const end of row.ends.filter(({ cut }) => cut !== 'plain')) {
          expect(cells, row.member).toContain(lengthFigure(end.shortPoint, units));
          if (end.flat) expect(cells).toContain(lengthFigure(end.flat.center, units));
          if (end.inBend) {
            expect(cells).toContain(lengthFigure(end.inBend.inside, units));
            expect(cells).toContain(lengthFigure(end.inBend.outside, units));
          }
          for (const { cutBack } of end.ordinates ?? []) expect(cells).toContain(lengthFigure(cutBack, units));
        }
        for (const bent of row.bending?.rows ?? []) expect(cells).toContain(lengthFigure(bent.arcLength, units));
      });
    }
  });

  test('carries cautions, stock, merges and what was measured on the tools', () => {
    const { sheet, tools } = sheets.get('bench-frame')!;
    expect(
      sheet.sections.flatMap(({ blocks }) => flat(blocks)).flatMap((b) => (b.kind === 'list' ? b.items : [])),
    ).toEqual(expect.arrayContaining([...CAUTIONS, ...tools[0]!.tool.use]));
    // Four frame sides of 1240.1 or 640.1 and a leg of 760 on square tube, a rung on round.
    expect(cellsOf(sheet, /^Stock$/)).toContain('5');
    for (const { tool, proofs } of tools) {
      const cells = cellsOf(sheet, new RegExp(`^${tool.name}, revision ${tool.revision}$`));
      for (const proof of proofs) expect(cells).toContain(`${proof.thinnestWall.toFixed(3)} mm`);
    }
    expect(cellsOf(sheets.get('dust-wye')!.sheet, /^Merge into duct$/).some((cell) => cell.endsWith('mm^2'))).toBe(
      true,
    );
  });

  test('tells what the job was warned of', () => {
    const { solution } = sheets.get('boat-rail')!;
    const warning = {
      code: 'joint/ends-apart',
      severity: 'warning',
      path: [],
      message: 'the ends lie 3 mm apart',
    } as const;
    const sheet = jobSheet(solution, { tools: [], madeBy: 'x', warnings: [warning] });
    expect(jobSheetHtml(sheet)).toContain('the ends lie 3 mm apart');
    expect(jobSheetHtml(jobSheet(solution, { tools: [], madeBy: 'x' }))).not.toContain('Warnings');
  });

  test('inches come with the nearest 64th', () => {
    expect(lengthFigure(2.25 * 25.4, 'in')).toBe('2.250 (2-1/4)');
    expect(inchFraction((5 + 63.6 / 64) * 25.4)).toBe('6');
    expect(inchFraction(-25.4 / 128.1)).toBe('0');
    expect(cellsOf(sheets.get('cargo-rack')!.sheet, /^Cut list$/)).toContain('80.000 (80)');
  });
});

describe('check dimensions', () => {
  test('of a straight piece mitered at both ends', () => {
    const tube = barTube('bar', rectangle(40, 30, 3, 2), { from: [0, 0, 0], to: [0, 0, 900], up: [0, 1, 0] });
    const job = jobOf(
      [tube],
      [
        trim('bar.start', { kind: 'at', distance: 100 }, { miterDeg: 30, longPointDeg: 0 }),
        trim('bar.end', { kind: 'at', distance: 700 }, { miterDeg: 45, longPointDeg: 90 }),
      ],
    );
    const { lines, across } = pieceChecks(solved(job).pieces[0]!);
    const lean = (reach: number, deg: number): number => reach * Math.tan((deg * Math.PI) / 180);
    // Up and down lie 15 off the axis, right and left 20; the start leans up, the end right.
    const expected = [600 + lean(15, 30), 600 + lean(20, 45), 600 - lean(15, 30), 600 - lean(20, 45)];
    lines.forEach(({ along, straight: through }, i) => {
      expect(along).toBeCloseTo(expected[i]!, 6);
      expect(through).toBeCloseTo(expected[i]!, 6);
    });
    expect(across.map(({ length }) => length)).toEqual([
      expect.closeTo(30 / Math.cos(Math.PI / 6), 3),
      expect.closeTo(40 / Math.cos(Math.PI / 4), 3),
    ]);
  });

  test('of a bent piece, with a tape along it and straight across', () => {
    const tube = runTube('hook', round(30), { up: [0, 1, 0], run: [straight(100), bend(80, 90, 0), straight(50)] });
    const [up, right, down] = pieceChecks(solved(jobOf([tube])).pieces[0]!).lines;
    const quarter = Math.PI / 2;
    expect(up!.along).toBeCloseTo(150 + (80 - 15) * quarter, 9);
    expect(right!.along).toBeCloseTo(150 + 80 * quarter, 9);
    expect(down!.along).toBeCloseTo(150 + (80 + 15) * quarter, 9);
    expect(up!.straight).toBeCloseTo(Math.hypot(100 + 65, 50 + 65), 9);
    expect(down!.straight).toBeCloseTo(Math.hypot(100 + 95, 50 + 95), 9);
  });
});

/** Tags that are closed in the order they were opened, void ones aside. */
function unbalanced(html: string): readonly string[] {
  const open: string[] = [];
  const bad: string[] = [];
  for (const [, slash, name = '', own] of html.matchAll(/<(\/?)([a-z][a-z0-9]*)\b[^>]*?(\/?)>/gi)) {
    if (own || ['meta', '!doctype'].includes(name.toLowerCase())) continue;
    if (!slash) open.push(name);
    else if (open.pop() !== name) bad.push(name);
  }
  return [...bad, ...open];
}

describe('as a page of HTML', () => {
  test('holds all it shows: nothing is fetched, nothing runs', () => {
    for (const name of EXAMPLES) {
      const html = jobSheetHtml(sheets.get(name)!.sheet);
      expect(html.replaceAll('http://www.w3.org/2000/svg', '')).not.toMatch(
        /https?:|<script|@import|url\(|<link|javascript:/i,
      );
      for (const [, target] of html.matchAll(/(?:href|src)="([^"]*)"/g))
        expect(target).toMatch(/^data:image\/png;base64,/);
      expect(unbalanced(html)).toEqual([]);
      expect(html).toContain("default-src 'none'");
    }
    expect(unbalanced('<p><b>x</p></b>')).not.toEqual([]);
  });

  test('what a job says is text, whatever it says', () => {
    const { solution } = sheets.get('boat-rail')!;
    const about = '<script>alert(1)</script> & "quotes"\nand a line\u0007';
    const html = jobSheetHtml(jobSheet({ ...solution, job: { ...solution.job, about } }, { tools: [], madeBy: 'x' }));
    expect(html).toContain('&lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quotes&quot; and a line');
    expect(html).not.toContain('<script>');
  });

  test('and as PDF it is the same bytes twice', () => {
    const { solution, tools } = sheets.get('cargo-rack')!;
    const build = (): readonly string[] => {
      const sheet = jobSheet(solution, { tools, madeBy: 'x' });
      const pdf = pdfBytes(jobSheetPages(sheet, 'letter'), { title: sheet.title, madeBy: 'x' });
      return [jobSheetHtml(sheet), Buffer.from(pdf).toString('latin1')];
    };
    const zone = process.env.TZ;
    const first = build();
    process.env.TZ = 'Pacific/Kiritimati';
    expect(build()).toEqual(first);
    if (zone === undefined) delete process.env.TZ;
    else process.env.TZ = zone;
  });
});

const texts = (marks: readonly Mark[]) => marks.flatMap((mark) => (mark.kind === 'text' ? [mark] : []));

/** Words that leave the sheet, or stand on other words. */
function collisions(page: Page): readonly string[] {
  const boxes = texts(page.marks).map(({ text, at, size, bold, anchor }) => {
    const width = textWidth(text, size, bold) / (bold ? 1.1 : 1);
    const left = at[0] - (anchor === 'end' ? width : anchor === 'middle' ? width / 2 : 0);
    return { text, left, right: left + width, top: at[1] - 0.7 * size, foot: at[1] + 0.1 * size };
  });
  const off = boxes.filter(
    (b) => b.left < 13.9 || b.right > page.width - 13.9 || b.top < 13.9 || b.foot > page.height - 12,
  );
  const crossed = boxes.filter((b, i) =>
    boxes.some((c, k) => k > i && b.left < c.right - 0.1 && c.left < b.right - 0.1 && b.top < c.foot && c.top < b.foot),
  );
  return [...off, ...crossed].map(({ text }) => text);
}

describe('on paper', () => {
  test('no word leaves its sheet or covers another, on A4 and Letter', () => {
    for (const name of EXAMPLES) {
      for (const paper of ['a4', 'letter'] as const) {
        const pages = jobSheetPages(sheets.get(name)!.sheet, paper);
        for (const [i, page] of pages.entries()) {
          expect(page).toMatchObject(PAPERS[paper]);
          expect(collisions(page), `${name} ${paper} ${i + 1}`).toEqual([]);
        }
        expect(texts(pages.at(-1)!.marks).map(({ text }) => text)).toContain(
          `sheet ${pages.length} of ${pages.length}`,
        );
      }
    }
    const page = jobSheetPages(sheets.get('boat-rail')!.sheet, 'a4')[0]!;
    const [word] = texts(page.marks);
    expect(
      collisions({ ...page, marks: [...page.marks, { ...word!, at: [word!.at[0] + 1, word!.at[1]] }] }),
    ).not.toEqual([]);
  });

  test('a long table goes on over sheets, rows whole, and a huge word is broken', () => {
    const rows = Array.from({ length: 150 }, (_, i) => [String(i), 'x'.repeat(400), 'y'.repeat(300)]);
    const table = { kind: 'table', heads: ['no.', 'a', 'b'], sides: ['right', 'left', 'left'], rows } as const;
    const sheet: JobSheet = { title: 't', footer: 'f', sections: [{ heading: 'h', level: 2, blocks: [table] }] };
    const pages = jobSheetPages(sheet, 'a4');
    expect(pages.length).toBeGreaterThan(5);
    for (const page of pages) expect(collisions(page)).toEqual([]);
    const said = pages.flatMap((page) => texts(page.marks).map(({ text }) => text));
    for (const [no] of rows) expect(said).toContain(no);
  });
});
