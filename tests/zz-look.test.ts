import { test } from "vitest"; test("look", () => run());
import { readFileSync, writeFileSync, mkdirSync } from 'node:fs';
import { tried, example } from './support/tools.ts';
import { wrapTemplate } from '../src/export/wrap-template.ts';
import { templatePages, templateSheet } from '../src/export/template-pages.ts';
import { svgText } from '../src/export/template-svg.ts';
import { pdfBytes } from '../src/export/pdf.ts';
import { solveJob } from '../src/solve/solve.ts';
import { loadJob } from '../src/job/load.ts';
function run(){
mkdirSync('/tmp/paper', { recursive: true });
for (const [job, ids] of Object.entries({ 'bench-frame': ['front.end', 'rung.end','leg.end'], 'cargo-rack': ['bow.start', 'stay-left.end', 'shelf.start'], 'dust-wye': ['left.end', 'duct.start','duct.end'], 'boat-rail': ['hoop.end','rail.end'] })) {
  const s = solveJob(loadJob(example(job), {}).value!);
  if (!s.value) { console.log(job, s.problems); continue; }
  for (const id of ids) {
    const end = s.value.ends.find(e => e.id === id)!;
    const t0 = performance.now();
    const t = wrapTemplate(end, { solution: s.value });
    const t1 = performance.now();
    for (const paper of ['a4', 'letter'] as const) {
      const pages = templatePages(t, paper);
      writeFileSync(`/tmp/paper/${job}-${id}-${paper}.pdf`, pdfBytes(pages, { title: `${job} ${id}`, madeBy: 'kerfwright 0.1.0' }));
      console.log(job, id, paper, pages.length, pages[0]!.width, JSON.stringify(t.base), t.bend && JSON.stringify({...t.bend, slits:0}), t.oneLine, t1-t0, performance.now()-t1);
    }
    writeFileSync(`/tmp/paper/${job}-${id}.svg`, svgText(templateSheet(t), `${job} ${id}`));
  }
}
}
