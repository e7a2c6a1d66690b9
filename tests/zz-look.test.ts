import { mkdirSync, writeFileSync } from 'node:fs';
import { test } from 'vitest';
import { pdfBytes } from '../src/export/pdf.ts';
import { jobSheetHtml } from '../src/export/sheet-html.ts';
import { jobSheetPages } from '../src/export/sheet-pages.ts';
import { sheetOf } from './export/sheet-support.ts';
test('look', () => {
  mkdirSync('/tmp/paper', { recursive: true });
  for (const job of ['cargo-rack', 'bench-frame', 'dust-wye','boat-rail']) {
    const { sheet } = sheetOf(job, 3);
    const t0 = performance.now();
    writeFileSync(`/tmp/paper/${job}.html`, jobSheetHtml(sheet));
    const t1 = performance.now();
    for (const paper of ['a4', 'letter'] as const) {
      const bytes = pdfBytes(jobSheetPages(sheet, paper), { title: job, madeBy: 'kerfwright 0.1.0' });
      writeFileSync(`/tmp/paper/${job}-${paper}.pdf`, bytes);
      console.log(job, paper, bytes.length, t1 - t0, performance.now() - t1);
    }
  }
});
