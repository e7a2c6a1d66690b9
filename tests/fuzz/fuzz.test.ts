import fc from 'fast-check';
import { expect, it } from 'vitest';
import { solveText } from '../../src/cli/pipeline.ts';
import { toolMaker } from '../../src/cli/whole-tool.ts';
import { readStl } from '../../src/export/stl.ts';
import { loadJob } from '../../src/job/load.ts';
import { hasErrors, PROBLEM_CODES, type Problem } from '../../src/job/problem.ts';
import { renderProblems } from '../../src/job/render.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { requestTools } from '../../src/tooling/registry.ts';
import { kernel } from '../support/tools.ts';
import { BASES } from './bases.ts';
import { shopJob } from './jobs.ts';
import { mangledText, nudgedText } from './mangle.ts';

const SEED = 20_261_125;

/** Counts what became of the jobs, so that a run which refuses everything, or nothing, is no proof of anything. */
interface Tally {
  read: number;
  made: number;
  refused: number;
}

/** What is wrong with how problems are told: each has a known code, words with numbers in them, and a line of the text. */
function badlyTold(problems: readonly Problem[], text: string): readonly string[] {
  const lines = text.split(/\r\n|\r|\n/).length;
  const told = renderProblems(problems, { fileName: 'job.yaml', text });
  return problems
    .filter(({ code, message, hint, at }) => {
      // What a job says itself is quoted, and may be anything.
      const words = `${message} ${hint ?? ''}`.replaceAll(/"(?:[^"\\]|\\.)*"/g, '');
      return (
        !(code in PROBLEM_CODES) ||
        message === '' ||
        /\bundefined\b|\bNaN\b|\[object|\bInfinity\b|internal:/.test(words) ||
        (at !== undefined && (at.line < 1 || at.line > lines || at.col < 1)) ||
        !told.includes(code)
      );
    })
    .map(({ code, message, at }) => `${code} at ${at?.line}: ${message}`);
}

const MANGLED = 20_000;
const ROUNDS = [1, 2, 3, 4];
it.each(ROUNDS)(
  `reads a quarter of ${MANGLED} mangled job texts (%i): each is a job, or told what is wrong and where`,
  (round) => {
    const tally: Tally = { read: 0, made: 0, refused: 0 };
    const numRuns = MANGLED / ROUNDS.length;
    fc.assert(
      fc.property(mangledText, (text) => {
        const { value, problems } = loadJob(text);
        expect(badlyTold(problems, text)).toEqual([]);
        expect(value === undefined).toBe(hasErrors(problems));
        tally[value ? 'read' : 'refused']++;
      }),
      { seed: SEED + 10 * round, numRuns, endOnFailure: true },
    );
    expect(Math.min(tally.read, tally.refused)).toBeGreaterThan(numRuns / 20);
  },
);

/** Solved, or refused with errors that are told well. */
function solvedOrTold(text: string): ReturnType<typeof solveText> {
  const outcome = solveText({ text, sets: [] });
  expect(badlyTold(outcome.problems, text)).toEqual([]);
  expect(outcome.solution === undefined).toBe(hasErrors(outcome.problems));
  return outcome;
}

const SOLVED = 600;
it(`solves and shapes what can be read of ${SOLVED} mangled job texts, or says why not`, () => {
  const tally: Tally = { read: 0, made: 0, refused: 0 };
  fc.assert(
    fc.property(mangledText, (text) => {
      const { solution } = solvedOrTold(text);
      if (!solution) {
        tally.refused++;
        return;
      }
      const tools = requestTools(solution);
      expect(badlyTold(tools.problems, text)).toEqual([]);
      tally.made++;
    }),
    { seed: SEED + 1, numRuns: SOLVED, endOnFailure: true },
  );
  expect(Math.min(tally.made, tally.refused)).toBeGreaterThan(SOLVED / 20);
});

/** Makes and proves the tools of a job, and tells into the tally what became of each. */
function proveAll(text: string, tally: Tally): void {
  const { solution, problems } = solveText({ text, sets: [] });
  expect(badlyTold(problems, text)).toEqual([]);
  expect(solution === undefined).toBe(hasErrors(problems));
  if (!solution) {
    tally.refused++;
    return;
  }
  tally.read++;
  const { requests, problems: asked } = requestTools(solution);
  expect(badlyTold(asked, text)).toEqual([]);
  const wanted = requests.map((_, i) => i);
  const make = toolMaker(kernel, {
    solution,
    wanted,
    formats: ['stl'],
    meshes: false,
    settings: { program: 'f', madeBy: 'f' },
  });
  for (const at of wanted) {
    const { made, problems: faults } = make(at);
    expect(badlyTold(faults, text)).toEqual([]);
    expect(made === undefined).toBe(hasErrors(faults));
    // What is refused is refused for what the job asks, not because a print of ours came out wrong.
    expect(faults.filter(({ code }) => OURS.has(code)).map(({ code, message }) => `${code} ${message}`)).toEqual([]);
    for (const { bytes } of made?.files ?? [])
      expect(checkMesh(readStl(bytes))).toMatchObject({ closed: true, zeroArea: 0, shells: 1 });
    tally[made ? 'made' : 'refused']++;
  }
}

const PROVED = 16;
it(`makes the tools of ${PROVED} jobs with numbers changed: proved on their bytes, or refused by name`, () => {
  const tally: Tally = { read: 0, made: 0, refused: 0 };
  fc.assert(
    fc.property(nudgedText, (text) => proveAll(text, tally)),
    { seed: SEED + 2, numRuns: PROVED, endOnFailure: true },
  );
  expect(tally.made).toBeGreaterThan(PROVED / 4);
});

const SHAPED = 100;
it(`solves ${SHAPED} jobs of random tapers, holes, elbows, plates, cradles, bench tools and cuts, and shapes their tools`, () => {
  const tally: Tally = { read: 0, made: 0, refused: 0 };
  fc.assert(
    fc.property(shopJob, (text) => {
      const { solution, problems } = solvedOrTold(text);
      // What is written by rule is refused by the trade, not for how it is written.
      expect(problems.filter(({ code }) => /^(yaml|unit|reference|set)\//.test(code))).toEqual([]);
      if (solution) expect(badlyTold(requestTools(solution).problems, text)).toEqual([]);
      tally[solution ? 'made' : 'refused']++;
    }),
    { seed: SEED + 3, numRuns: SHAPED, endOnFailure: true },
  );
  expect(tally.made).toBeGreaterThan(SHAPED / 2);
});

const RANDOM = 12;
it(`makes the tools of ${RANDOM} such jobs`, () => {
  const tally: Tally = { read: 0, made: 0, refused: 0 };
  fc.assert(
    fc.property(shopJob, (text) => proveAll(text, tally)),
    { seed: SEED + 4, numRuns: RANDOM, endOnFailure: true },
  );
  expect(tally.made).toBeGreaterThan(RANDOM / 4);
});

/** Failed proofs that no job can ask for. */
const OURS = new Set(['proof/not-closed', 'proof/degenerate', 'proof/volume', 'proof/edge', 'proof/datum']);

it('starts from jobs that are right', () => {
  for (const text of BASES) {
    const { solution, problems } = solveText({ text, sets: [] });
    expect(problems.filter(({ severity }) => severity === 'error')).toEqual([]);
    expect(solution && hasErrors(requestTools(solution).problems)).toBe(false);
  }
});
