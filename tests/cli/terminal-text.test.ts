import { readdirSync } from 'node:fs';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { cutDrawing } from '../../src/cli/cut-drawing.ts';
import { loadJob } from '../../src/job/load.ts';
import type { Problem } from '../../src/job/problem.ts';
import { renderProblem, renderProblems } from '../../src/job/render.ts';
import { solveJob } from '../../src/solve/solve.ts';
import { BAD_INPUTS } from '../bad-input/cases.ts';
import { example } from '../support/tools.ts';
import { type Bench, bench, RAIL } from './bench.ts';

const EXAMPLES = readdirSync(new URL('../../fixtures-examples', import.meta.url), { withFileTypes: true })
  .filter((entry) => entry.isDirectory() && entry.name !== 'pictures')
  .map(({ name }) => name);
const UTF8 = { LANG: 'en_US.UTF-8' };

let place: Bench;
beforeEach(() => {
  place = bench();
});
afterEach(() => place.clear());

/** Lines wider than a terminal that hold more than one word: a file name or a long word is never broken. */
const tooWide = (text: string): readonly string[] =>
  text.split('\n').filter((line) => [...line].length > 80 && line.trim().includes(' '));

/** A job with names as long as people give them, and in the unit that takes more room. */
const LONG = RAIL.replaceAll('rail', 'upper-left-side-stay-of-the-long-rack').replace(
  'job: upper',
  'units: in\njob: upper',
);

describe('texts for a terminal of 80 columns', () => {
  it.each([...EXAMPLES, 'long names'])('keep within it: %s', async (name) => {
    place.put('job.yaml', name === 'long names' ? LONG : example(name));
    for (const command of ['check', 'solve']) {
      const { out, err } = await place.kerfwright([command, 'job.yaml'], { env: UTF8 });
      expect(tooWide(out + err), command).toEqual([]);
      expect(out.length).toBeGreaterThan(300);
    }
  });

  it('and so do problems, with no word of them lost', async () => {
    for (const { name, yaml } of BAD_INPUTS.filter((row) => row.yaml.length < 5000)) {
      const { problems } = loadJob(yaml);
      const text = renderProblems(problems, { fileName: 'bad.yaml', text: yaml, width: 80 });
      expect(tooWide(text), name).toEqual([]);
      const words = text.replaceAll(/\s+/g, ' ');
      for (const { message, hint } of problems) {
        if (/[^ -~]/.test(`${message}${hint}`)) continue;
        expect(words).toContain(message.replaceAll(/\s+/g, ' '));
        if (hint) expect(words).toContain(hint.replaceAll(/\s+/g, ' '));
      }
    }
    // The same way on the command line.
    place.put('bad.yaml', RAIL.replace('at: 280', 'at: 2800'));
    const { err } = await place.kerfwright(['check', 'bad.yaml', '-q']);
    expect(err).toContain('trim/');
    expect(tooWide(err)).toEqual([]);
  });

  it('mark the place in a line of the file that is longer than the screen', () => {
    const text = `note: ${'x'.repeat(150)} HERE ${'y'.repeat(150)}`;
    const col = text.indexOf('HERE') + 1;
    const problem: Problem = {
      code: 'field/unknown',
      severity: 'error',
      path: [],
      message: 'no',
      at: { line: 1, col, width: 4 },
    };
    for (const width of [undefined, 80]) {
      const lines = renderProblem(problem, { fileName: 'a.yaml', text, ...(width ? { width } : {}) }).split('\n');
      const [source, marks] = [lines[2]!, lines[3]!];
      expect(source.slice(marks.indexOf('^'), marks.lastIndexOf('^') + 1)).toBe('HERE');
      expect(source.length).toBeLessThanOrEqual(width ?? 117);
      expect(source).toContain('...x');
      expect(source.endsWith('y...')).toBe(true);
    }
  });

  it('are told whole where no width is given, as a library does', () => {
    const message = 'word '.repeat(60).trim();
    const problem: Problem = { code: 'field/unknown', severity: 'error', path: [], message };
    expect(renderProblem(problem, { fileName: 'a.yaml' }).split('\n')[1]).toBe(`  ${message}`);
  });
});

describe('drawings of cuts', () => {
  const endOf = (text: string, id: string) => {
    const { value } = solveJob(loadJob(text).value!);
    return value!.ends.find((end) => end.id === id)!;
  };

  it('show where a cope is deep and where it is not, in either letters', () => {
    // A tube on a larger one, its witness line on top, along the post: short points at 0 and 180 degrees, long at 90 and 270.
    const end = endOf(RAIL, 'rail.start');
    for (const [letters, blank] of [
      ['ascii', /[ ]/],
      ['unicode', /[ ]/],
    ] as const) {
      const lines = cutDrawing(end, letters);
      const drawing = lines.slice(0, -1);
      expect(lines.at(-1)).toMatch(/^0 up +90 right +180 down +270 left +0$/);
      const firstInk = (column: number): number =>
        drawing.findIndex((line) => line[column] !== undefined && !blank.test(line[column]!));
      for (const [u, column] of [0, 16, 32, 48, 64].entries()) {
        const wanted = u % 2 === 1 ? 0 : drawing.length - 1;
        expect(firstInk(column), `${letters} ${column}`).toBe(wanted);
      }
    }
  });

  it('lean a miter as it is sawn, the long point above', () => {
    const [top, , bottom] = cutDrawing(endOf(RAIL.replace('miter: 20', 'miter: 45'), 'rail.end'), 'ascii');
    expect(top).toMatch(/ {2}long point$/);
    expect(bottom).toMatch(/ {2}short point$/);
    // The upper dot of the last row lies four dots below the long point: at 45 degrees four letters back.
    const width = (line: string): number => line.replace(/ +(long|short) point$/, '').length;
    expect(width(top!) - width(bottom!)).toBe(4);
  });

  it('are left out of a square cut', () => {
    expect(cutDrawing(endOf(RAIL.replace('miter: 20', 'miter: 0'), 'rail.end'), 'ascii')).toEqual([]);
  });

  it('are ASCII unless the locale says UTF-8, and stay away with --quiet and in JSON', async () => {
    place.put('rail.yaml', RAIL);
    const solve = async (argv: readonly string[], env: Readonly<Record<string, string>>): Promise<string> =>
      (await place.kerfwright(['solve', 'rail.yaml', ...argv], { env })).out;
    const [plain, braille] = [await solve([], { LANG: 'C' }), await solve([], UTF8)];
    expect(plain).toMatch(/^[\n -~]*$/);
    expect(plain).toContain('270 left');
    expect(braille).toMatch(/[\u2801-\u28ff]{4}/);
    expect(await solve([], { ...UTF8, LC_ALL: 'C' })).toBe(plain);
    const quiet = await solve(['-q'], UTF8);
    expect(quiet).not.toMatch(/270 left|[\u2800-\u28ff]/);
    expect(braille.split('\n')).toEqual(expect.arrayContaining(quiet.split('\n')));
    expect(await solve(['--json'], UTF8)).toMatch(/^[\n -~]*$/);
  });

  it('and check says only what is wrong with --quiet', async () => {
    place.put('rail.yaml', RAIL);
    expect(await place.kerfwright(['check', 'rail.yaml', '-q'])).toMatchObject({ code: 0, out: '', err: '' });
  });
});
