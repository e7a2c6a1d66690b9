import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { viewScript } from '../../src/cli/view-script.ts';
import { jobSheetHtml } from '../../src/export/sheet-html.ts';
import { viewData } from '../../src/export/sheet-view.ts';
import { viewText } from '../../src/export/view-data.ts';
import { smallJob } from '../viewer/small-job.ts';
import { openSession, type Screen, type Session, type Spot } from './browser-session.ts';
import { readPng } from './paper-browser.ts';
import { pdfText } from './paper-readers.ts';

let folder: string;
let page: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'kerfwright-view-'));
  page = join(folder, 'sheet.html');
  const script = viewScript();
  if (!script) throw new Error('the 3D view is not built: npm run build');
  const { sheet, solution, tools } = smallJob();
  writeFileSync(page, jobSheetHtml(sheet, { script, data: viewText(viewData(solution, tools)) }));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const inBrowser = async (screen: Screen, look: (session: Session) => Promise<void>): Promise<void> => {
  const session = await openSession(page, screen);
  try {
    await look(session);
  } finally {
    await session.close();
  }
};

interface Place {
  readonly x: number;
  readonly y: number;
  readonly width: number;
  readonly height: number;
}

const placeOfCanvas = async (session: Session): Promise<Place> => {
  await session.evaluate("document.getElementById('view').scrollIntoView()");
  const found = await session.evaluate(
    "JSON.stringify(document.querySelector('#view canvas').getBoundingClientRect())",
  );
  return JSON.parse(String(found));
};

/** Pixels of the canvas as the screen shows it, and how many of them are ink. */
const seen = async (session: Session, place: Place, dots: number) => {
  const { width, height, bytes } = readPng(await session.screenshot());
  const channels = bytes.length / (width * height);
  const pixels: number[] = [];
  for (let y = Math.ceil((place.y + 2) * dots); y < (place.y + place.height - 2) * dots; y++)
    for (let x = Math.ceil((place.x + 2) * dots); x < (place.x + place.width - 2) * dots; x++) {
      const at = (y * width + x) * channels;
      pixels.push((bytes[at]! << 16) | (bytes[at + 1]! << 8) | bytes[at + 2]!);
    }
  return { pixels, ink: pixels.filter((pixel) => pixel !== 0xffffff).length };
};

const changed = (before: readonly number[], after: readonly number[]): number =>
  before.filter((pixel, i) => pixel !== after[i]).length;

const press = (session: Session, text: string, nth = 0): Promise<unknown> =>
  session.evaluate(
    `[...document.querySelectorAll('#view button')].filter((b) => b.textContent === ${JSON.stringify(text)}).at(${nth}).click()`,
  );

describe('the view that can be turned', () => {
  test.each([
    ['on a desk, with the mouse', { width: 1100, height: 900 }, 'mouse', 1],
    ['on a phone, with a finger', { width: 390, height: 844, phone: { dots: 2 } }, 'touch', 2],
  ] as const)('is drawn and turns %s; nothing is asked of any network', async (_, screen, how, dots) => {
    await inBrowser(screen, async (session) => {
      const place = await placeOfCanvas(session);
      const first = await seen(session, place, dots);
      expect(first.ink).toBeGreaterThan(0.02 * first.pixels.length);
      expect(changed(first.pixels, (await seen(session, place, dots)).pixels)).toBe(0);
      const from: Spot = [place.x + place.width * 0.4, place.y + place.height * 0.5];
      await session.drag(from, [from[0] + 90, from[1] + 30], how);
      const turned = await seen(session, place, dots);
      expect(changed(first.pixels, turned.pixels)).toBeGreaterThan(0.02 * first.pixels.length);
      await press(session, 'corner');
      expect(changed(first.pixels, (await seen(session, place, dots)).pixels)).toBeLessThan(
        0.001 * first.pixels.length,
      );
      await press(session, 'only this', -1);
      expect(changed(first.pixels, (await seen(session, place, dots)).pixels)).toBeGreaterThan(
        0.05 * first.pixels.length,
      );
      // The whole page is no wider than the screen.
      expect(await session.evaluate('document.documentElement.scrollWidth')).toBeLessThanOrEqual(screen.width);
      expect(session.said()).toEqual([]);
      expect(session.asked()).toEqual([]);
    });
  });

  test('on paper there is the still picture and no view', async () => {
    await inBrowser({ width: 900, height: 700 }, async (session) => {
      const text = pdfText(await session.pdf());
      expect(text).toContain('small-bracket');
      expect(text).not.toContain('only this');
      expect(await session.evaluate("document.getElementById('view').hidden")).toBe(false);
    });
  });

  test('a browser that cannot draw it shows the page without, and complains of nothing', async () => {
    await inBrowser({ width: 900, height: 700, flat: true }, async (session) => {
      expect(await session.evaluate("document.getElementById('view').hidden")).toBe(true);
      expect(await session.evaluate("document.querySelectorAll('svg image').length")).toBe(1);
      expect(session.said()).toEqual([]);
    });
  });

  test('a script that is not the view’s own would be kept out, and a fault would be seen', async () => {
    const bad = join(folder, 'bad.html');
    const { sheet } = smallJob();
    writeFileSync(bad, jobSheetHtml(sheet, { script: { text: 'document.title = "ran"', sha256: 'AAAA' }, data: '{}' }));
    const session = await openSession(bad, { width: 400, height: 400 });
    try {
      expect(await session.evaluate('document.title')).toBe('small-bracket');
      // The browser tells of it when it comes to it.
      await expect.poll(() => session.said().length, { timeout: 20_000 }).toBeGreaterThan(0);
    } finally {
      await session.close();
    }
  });
});
