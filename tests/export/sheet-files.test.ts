import { describe, expect, test } from 'vitest';
import { PAPER_FORMATS, paperFiles } from '../../src/export/sheet-files.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Solution } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { example } from '../support/tools.ts';

const solutionOf = (name: string): Solution => solveJob(loadJob(example(name), {}).value!).value!;
const REQUEST = { tools: [], madeBy: 'kerfwright 0.0.0' } as const;

describe('files for paper and screen', () => {
  test('a template for every cut end, one sheet and one cut list', async () => {
    const files = await paperFiles(solutionOf('bench-frame'), { ...REQUEST, formats: PAPER_FORMATS });
    const names = files.map(({ name }) => name);
    expect(names).toContain('bench-frame-sheet.html');
    expect(names).toContain('bench-frame-sheet.pdf');
    expect(names).toContain('bench-frame-cut-list.csv');
    expect(names).toContain('bench-frame-cut-list.json');
    // Eight miters, two copes and a trim, each as PDF and SVG.
    expect(names.filter((name) => name.endsWith('-wrap.pdf'))).toHaveLength(11);
    expect(names.filter((name) => name.endsWith('-wrap.svg'))).toHaveLength(11);
    expect(new Set(names.map((name) => name.toLowerCase())).size).toBe(names.length);
    for (const { bytes, name } of files) expect(bytes.length, name).toBeGreaterThan(250);
  });

  test('only what was asked for', async () => {
    const files = await paperFiles(solutionOf('boat-rail'), { ...REQUEST, formats: ['csv'] });
    expect(files.map(({ name }) => name)).toEqual(['boat-rail-cut-list.csv']);
    expect(await paperFiles(solutionOf('boat-rail'), { ...REQUEST, formats: [] })).toEqual([]);
  });

  test('Letter for a job in inches, A4 for one in mm, unless told', async () => {
    const boxOf = async (name: string, paper?: 'a4' | 'letter'): Promise<string> => {
      const files = await paperFiles(solutionOf(name), { ...REQUEST, formats: ['pdf'], ...(paper ? { paper } : {}) });
      const text = Buffer.from(files[0]!.bytes).toString('latin1');
      return /\/MediaBox \[([^\]]*)\]/.exec(text)![1]!;
    };
    expect(await boxOf('cargo-rack')).toBe('0 0 612 792');
    expect(await boxOf('boat-rail')).toMatch(/^0 0 595\.2\d* 841\.8\d*$/);
    expect(await boxOf('boat-rail', 'letter')).toBe('0 0 612 792');
  });

  test('the same bytes twice', async () => {
    const build = async (): Promise<readonly string[]> => {
      const files = await paperFiles(solutionOf('dust-wye'), { ...REQUEST, formats: PAPER_FORMATS });
      return files.map(({ name, bytes }) => `${name} ${Buffer.from(bytes).toString('base64')}`);
    };
    expect(await build()).toEqual(await build());
  });
});
