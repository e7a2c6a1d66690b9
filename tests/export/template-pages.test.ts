import PDFDocument from 'pdfkit';
import { describe, expect, test } from 'vitest';
import { pdfBytes } from '../../src/export/pdf.ts';
import { type Mark, PAPER_MARGIN, PAPERS, type Page, textWidth, wrapWords } from '../../src/export/sheet-paper.ts';
import { TILE_OVERLAP, templatePages, templateSheet } from '../../src/export/template-pages.ts';
import { svgText } from '../../src/export/template-svg.ts';
import { SEAM_TAB } from '../../src/export/wrap-marks.ts';
import { type WrapTemplate, wrapTemplate } from '../../src/export/wrap-template.ts';
import { readXml } from '../../src/export/xml.ts';
import type { Vec2 } from '../../src/geometry/vector.ts';
import { loadJob } from '../../src/job/load.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { barTube, cope, cutOf, jobOf, round, solved, trim } from '../support/jobs.ts';
import { example } from '../support/tools.ts';

function templateOf(job: string, id: string): WrapTemplate {
  const solution = solveJob(loadJob(example(job), {}).value!).value!;
  return wrapTemplate(cutOf(solution, id), { solution });
}

/** A duct too large for any sheet both ways. */
function largeTemplate(): WrapTemplate {
  const tube = barTube('duct', round(160, 2), { from: [0, 0, 0], to: [0, 0, 1200], up: [0, 1, 0] });
  const job = jobOf([tube], [trim('duct.end', { kind: 'at', distance: 800 }, { miterDeg: 65, longPointDeg: 0 })]);
  const solution = solved(job);
  return wrapTemplate(cutOf(solution, 'duct.end'), { solution });
}

const flat = (marks: readonly Mark[]): readonly Mark[] =>
  marks.flatMap((mark) => (mark.kind === 'window' ? flat(mark.marks) : [mark]));
const texts = (page: Page): readonly string[] =>
  flat(page.marks).flatMap((mark) => (mark.kind === 'text' ? [mark.text] : []));
const windows = (page: Page) => page.marks.flatMap((mark) => (mark.kind === 'window' ? [mark] : []));

describe('a template on sheets', () => {
  test('takes one sheet where it fits, with all its words on it', () => {
    for (const paper of ['a4', 'letter'] as const) {
      const pages = templatePages(templateOf('cargo-rack', 'stay-left.end'), paper);
      expect(pages).toHaveLength(1);
      expect(pages[0]).toMatchObject(PAPERS[paper]);
      const words = texts(pages[0]!);
      for (const word of [
        'KEEP',
        'WASTE',
        'CHECK THIS BEFORE USE',
        '50 mm',
        '2 in',
        'row 1 of 1, column 1 of 1',
        '0 up',
      ])
        expect(words, word).toContain(word);
      expect(words.filter((word) => word === '50 mm')).toHaveLength(2);
    }
  });

  test('the arrow points away from the cut, into the kept part, however little paper there is', () => {
    const run = barTube('run', round(50), { from: [-200, 0, 0], to: [200, 0, 0], up: [0, 0, 1] });
    const stubs = [33, 40, 60, 300].map((length) => {
      const stub = barTube('stub', round(30), { from: [0, 0, length], to: [0, 0, 0], up: [0, 1, 0] });
      const solution = solved(jobOf([run, stub], [cope('stub.end', ['run'])]));
      return wrapTemplate(cutOf(solution, 'stub.end'), { solution });
    });
    for (const template of [...stubs, templateOf('cargo-rack', 'bow.start')]) {
      const marks = flat(templatePages(template, 'a4')[0]!.marks);
      const head = marks.find((mark) => mark.kind === 'fill' && mark.gray === 0);
      const keep = marks.find((mark) => mark.kind === 'text' && mark.text === 'KEEP');
      const waste = marks.find((mark) => mark.kind === 'text' && mark.text === 'WASTE');
      if (keep?.kind !== 'text' || waste?.kind !== 'text') expect.fail('no sides');
      const toKept = template.end === 'end' ? 1 : -1;
      expect(toKept * (keep.at[1] - waste.at[1])).toBeGreaterThan(0);
      if (head?.kind !== 'fill') {
        expect(template.shortPoint).toBeLessThan(6);
        continue;
      }
      const [tip, barb] = head.points;
      expect(toKept * (tip![1] - barb![1])).toBeGreaterThan(0);
    }
  });

  test('is tiled over rows and columns where it does not, and the tiles cover it with the stated overlap', () => {
    const template = largeTemplate();
    for (const paper of ['a4', 'letter'] as const) {
      const pages = templatePages(template, paper);
      const tiles = pages.filter((page) => windows(page).length > 0);
      expect(tiles.length).toBeGreaterThan(3);
      const drawingAt = (page: Page): Vec2 => {
        // The first mark of the window is the frame of the paper, its first corner at the pattern's lower left.
        const [first] = windows(page)[0]!.marks;
        if (first?.kind !== 'line') expect.fail('no frame');
        return [Math.min(...first.points.map((p) => p[0])), Math.min(...first.points.map((p) => p[1]))];
      };
      const boxes = tiles.map((page) => {
        const { box } = windows(page)[0]!;
        const [x, y] = drawingAt(page);
        return { left: box.x - x, top: box.y - y, right: box.x - x + box.width, foot: box.y - y + box.height };
      });
      const width = template.around + SEAM_TAB;
      const height = template.height + 12;
      for (let x = 0; x <= width; x += 3.7) {
        for (let y = 0; y <= height; y += 3.7) {
          expect(
            boxes.some((b) => x >= b.left && x <= b.right && y >= b.top && y <= b.foot),
            `${x} ${y}`,
          ).toBe(true);
        }
      }
      const lefts = [...new Set(boxes.map((b) => Math.round(b.left * 1000) / 1000))].sort((p, q) => p - q);
      const first = boxes.find((b) => Math.abs(b.left - lefts[0]!) < 1e-3)!;
      expect(first.right - lefts[1]!).toBeCloseTo(TILE_OVERLAP, 6);
    }
  });

  test('neighbors carry the same lettered crosses at the same place of the pattern', () => {
    const pages = templatePages(largeTemplate(), 'a4');
    const tiles = pages.flatMap((page) => {
      const [window] = windows(page);
      if (!window) return [];
      const frame = window.marks[0];
      if (frame?.kind !== 'line') expect.fail('no frame');
      const left = Math.min(...frame.points.map((p) => p[0]));
      const top = Math.min(...frame.points.map((p) => p[1]));
      const { box } = window;
      const seen = window.marks.flatMap((mark) => {
        if (mark.kind !== 'text' || !/^[A-Z]$/.test(mark.text)) return [];
        const [x, y] = mark.at;
        const inside = x > box.x && x < box.x + box.width && y > box.y && y < box.y + box.height;
        return inside ? [`${mark.text} ${(x - left).toFixed(3)} ${(y - top).toFixed(3)}`] : [];
      });
      return [seen];
    });
    const count = new Map<string, number>();
    for (const name of tiles.flat()) count.set(name, (count.get(name) ?? 0) + 1);
    expect(count.size).toBeGreaterThan(7);
    for (const [name, times] of count) expect(times, name).toBeGreaterThanOrEqual(2);
  });

  test('keeps every word and line off the edge that printers leave blank', () => {
    for (const template of [
      templateOf('dust-wye', 'duct.start'),
      templateOf('boat-rail', 'step.end'),
      largeTemplate(),
    ]) {
      for (const paper of ['a4', 'letter'] as const) {
        for (const page of templatePages(template, paper)) expect(outside(page)).toEqual([]);
      }
    }
    const name = `${'long-name-of-a-member'.repeat(3)}.end`;
    const named = { ...templateOf('boat-rail', 'step.end'), id: name, job: 'j'.repeat(60), joint: 'W'.repeat(64) };
    for (const page of templatePages(named, 'a4')) {
      expect(outside(page)).toEqual([]);
      expect(crossing(page)).toEqual([]);
    }
    const page = templatePages(templateOf('boat-rail', 'step.end'), 'a4')[0]!;
    expect(crossing(page)).toEqual([]);
    const over: Mark = { kind: 'text', at: [160, 280], text: 'words on others', size: 4 };
    expect(crossing({ ...page, marks: [...page.marks, over] })).not.toEqual([]);
    const stray: Mark = { kind: 'text', at: [150, 100], text: 'a word that runs over the edge of the sheet', size: 4 };
    expect(outside({ ...page, marks: [...page.marks, stray] })).toHaveLength(1);
  });
});

/** Texts and points that lie in the margin; half a millimeter for ticks. */
function outside({ width, height, marks }: Page): readonly string[] {
  const far = PAPER_MARGIN - 0.5;
  const off = ([x, y]: Vec2): boolean => x < far || y < far || x > width - far || y > height - far;
  return marks.flatMap((mark): readonly string[] => {
    if (mark.kind === 'line' || mark.kind === 'fill') return mark.points.some(off) ? [mark.kind] : [];
    if (mark.kind === 'window') {
      const { box } = mark;
      return off([box.x, box.y]) || off([box.x + box.width, box.y + box.height]) ? ['window'] : [];
    }
    if (mark.kind !== 'text' || mark.turnDeg) return [];
    const long = textWidth(mark.text, mark.size, mark.bold);
    const start = mark.at[0] - (mark.anchor === 'end' ? long : mark.anchor === 'middle' ? long / 2 : 0);
    return off([start, mark.at[1]]) || off([start + long, mark.at[1] - mark.size * 0.7]) ? [mark.text] : [];
  });
}

/** Level texts that stand on one another. */
function crossing({ marks }: Page): readonly string[] {
  const boxes = flat(marks).flatMap((mark) => {
    if (mark.kind !== 'text' || mark.turnDeg) return [];
    const { text, at, size, anchor, bold } = mark;
    const long = textWidth(text, size, bold) / (bold ? 1.1 : 1);
    const left = at[0] - (anchor === 'end' ? long : anchor === 'middle' ? long / 2 : 0);
    return [{ text, left, right: left + long, top: at[1] - 0.7 * size, foot: at[1] }];
  });
  return boxes.flatMap((b, i) =>
    boxes
      .slice(i + 1)
      .filter((c) => b.left < c.right - 0.1 && c.left < b.right - 0.1 && b.top < c.foot && c.top < b.foot)
      .map((c) => `${b.text} / ${c.text}`),
  );
}

describe('letters', () => {
  test('are reckoned no narrower than the PDF library sets them', () => {
    const doc = new PDFDocument({ autoFirstPage: false });
    const samples = [
      'long point at 90.00 deg',
      'CHECK THIS BEFORE USE',
      '0.992 (63/64)',
      'WASTE jigs, "quoted" [x]~{}|',
      'mmmWWWiii',
    ];
    for (const text of samples) {
      for (const bold of [false, true]) {
        const real = doc.font(bold ? 'Helvetica-Bold' : 'Helvetica', 10).widthOfString(text);
        const ours = textWidth(text, 10, bold);
        expect(ours, text).toBeGreaterThanOrEqual(real - 0.01);
        expect(ours, text).toBeLessThan(real * 1.11);
      }
    }
  });

  test('wrap into lines that fit, and a word too long for a line is broken', () => {
    const lines = wrapWords(
      'the base line is the edge by the words KEEP aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa',
      { size: 3, width: 40 },
    );
    for (const line of lines) expect(textWidth(line, 3)).toBeLessThanOrEqual(40);
    expect(lines.join('').replaceAll(' ', '')).toBe(
      'thebaselineistheedgebythewordsKEEPaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa',
    );
  });
});

describe('SVG of a template', () => {
  const template = templateOf('bench-frame', 'front.end');
  const sheet = templateSheet(template);
  const svg = svgText(sheet, 'front.end');

  test('is in mm, one unit a millimeter, and well formed', () => {
    const events = [...readXml(svg)];
    const root = events[0]!;
    if (root.kind !== 'start') expect.fail('no root');
    const [, , width, height] = root.attributes.get('viewBox')!.split(' ').map(Number);
    expect(root.attributes.get('width')).toBe(`${width}mm`);
    expect(root.attributes.get('height')).toBe(`${height}mm`);
    expect(sheet.width).toBeCloseTo(width!, 4);
  });

  test('holds the cut line to a ten-thousandth of a millimeter', () => {
    const wide = [...svg.matchAll(/<path d="([^"]*)"[^>]*stroke-width="0.35"/g)].map((found) =>
      [...found[1]!.matchAll(/[ML](-?[\d.]+) (-?[\d.]+)/g)].map(([, x, y]): Vec2 => [Number(x), Number(y)]),
    );
    const line = wide.find((points) => points.length === template.outer.points.length)!;
    const [x0, y0] = line[0]!;
    const [, first] = template.outer.points[0]!;
    line.forEach(([x, y], i) => {
      const point = template.outer.points[i]!;
      expect(Math.abs(x - x0 - point[0])).toBeLessThan(2e-4);
      expect(Math.abs(y0 - y - (point[1] - first))).toBeLessThan(2e-4);
    });
  });

  test('escapes what a name may hold', () => {
    const page: Page = { width: 10, height: 10, marks: [{ kind: 'text', at: [1, 1], text: '<a & "b">', size: 3 }] };
    expect(svgText(page, 'x')).toContain('&lt;a &amp; &quot;b&quot;&gt;');
  });
});

describe('bytes', () => {
  const info = { title: 'front.end', madeBy: 'kerfwright 0.0.0' };

  test('are the same from the same template, in any time zone', () => {
    const build = (): readonly string[] => {
      const template = templateOf('bench-frame', 'front.end');
      return [
        Buffer.from(pdfBytes(templatePages(template, 'a4'), info)).toString('latin1'),
        svgText(templateSheet(template), 'front.end'),
      ];
    };
    const zone = process.env.TZ;
    const first = build();
    process.env.TZ = 'Pacific/Kiritimati';
    const second = build();
    if (zone === undefined) delete process.env.TZ;
    else process.env.TZ = zone;
    expect(second).toEqual(first);
    const dated = pdfBytes(templatePages(templateOf('bench-frame', 'front.end'), 'a4'), {
      ...info,
      sourceDateEpoch: 1_700_000_000,
    });
    expect(Buffer.from(dated).toString('latin1')).not.toBe(first[0]);
    expect(Buffer.from(dated).toString('latin1')).toContain('D:20231114221320Z');
  });

  test('ask the viewer not to scale', () => {
    const pages = templatePages(templateOf('bench-frame', 'front.end'), 'a4');
    expect(Buffer.from(pdfBytes(pages, info)).toString('latin1')).toContain('/PrintScaling /None');
  });
});
