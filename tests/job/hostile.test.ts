import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { loadJob } from '../../src/job/load.ts';
import { hasErrors, PROBLEM_CODES } from '../../src/job/problem.ts';
import { renderProblems } from '../../src/job/render.ts';
import { starterJob } from '../../src/job/starter.ts';
import { EVERY_FIELD } from './every-field.ts';

/** A job or problems, each with a known code, a place in the file and a readable message; never a throw. */
function holds(text: string, sets: readonly string[] = []): void {
  const { value, problems } = loadJob(text, { sets });
  expect(value === undefined).toBe(hasErrors(problems));
  const lines = text.split('\n').length;
  for (const { code, message, at } of problems) {
    expect(PROBLEM_CODES).toHaveProperty([code]);
    expect(message).not.toMatch(/undefined|\[object/);
    if (at) {
      expect(at.line).toBeGreaterThanOrEqual(1);
      expect(at.line).toBeLessThanOrEqual(lines);
      expect(at.col).toBeGreaterThanOrEqual(1);
    }
  }
  renderProblems(problems.slice(0, 5), { fileName: 'job.yaml', text, color: true });
}

const SCRAPS = [
  '{',
  '}',
  '[',
  ']',
  ':',
  ': ',
  '- ',
  '\n',
  '\n  ',
  '"',
  "'",
  '&a ',
  '*a',
  '!!str ',
  '#',
  '|',
  '>',
  '? ',
  '---\n',
  '%YAML 1.1\n',
  '\t',
  '.nan',
  '.inf',
  '1e999',
  '-0',
  '0x1F',
  '010',
  '1_0',
  'null',
  '~',
  '<<: *a',
  '__proto__: 1',
  'constructor',
  '\u0000',
  '\ud800',
  '💥',
  '\u2028',
  '99999999999999999999',
  '1/0in',
  'solve',
  'a.end',
  ' ',
];

describe('whatever the text', () => {
  it('a mutated job is loaded or refused, never a crash', () => {
    const edit = fc.record({
      at: fc.double({ min: 0, max: 1, noNaN: true }),
      drop: fc.nat({ max: 12 }),
      add: fc.oneof(fc.constantFrom(...SCRAPS), fc.string({ maxLength: 6 })),
    });
    fc.assert(
      fc.property(
        fc.constantFrom(EVERY_FIELD, starterJob()),
        fc.array(edit, { minLength: 1, maxLength: 4 }),
        (text, edits) => {
          const mutated = edits.reduce((t, { at, drop, add }) => {
            const i = Math.floor(at * t.length);
            return t.slice(0, i) + add + t.slice(i + drop);
          }, text);
          holds(mutated);
        },
      ),
      { numRuns: 1000 },
    );
  });

  it('a job with any value in any field is loaded or refused', () => {
    const lines = EVERY_FIELD.split('\n');
    const value = fc.oneof(
      fc.constantFrom(...SCRAPS.filter((s) => !s.includes('\n'))),
      fc.json({ maxDepth: 3 }),
      fc.double().map(String),
      fc.integer().map(String),
    );
    fc.assert(
      fc.property(fc.nat({ max: lines.length - 1 }), fc.nat({ max: 8 }), value, (line, field, text) => {
        const values = [...lines[line]!.matchAll(/: ([^,{}[\]]+|\[[^\]]*\])/g)];
        const match = values[field % Math.max(1, values.length)];
        if (!match) return;
        const from = match.index + 2;
        const changed = lines[line]!.slice(0, from) + text + lines[line]!.slice(from + match[1]!.length);
        holds([...lines.slice(0, line), changed, ...lines.slice(line + 1)].join('\n'));
      }),
      { numRuns: 1000 },
    );
  });

  it('any text at all is refused with a reason', () => {
    const scraps = fc.array(
      fc.oneof(fc.constantFrom(...SCRAPS), fc.constantFrom('job', 'sections', 'members', 'od', '1')),
      { maxLength: 60 },
    );
    fc.assert(
      fc.property(
        fc.oneof(
          scraps.map((parts) => parts.join('')),
          fc.string({ unit: 'binary', maxLength: 200 }),
        ),
        (text) => {
          holds(text);
          expect(loadJob(text).problems.length).toBeGreaterThan(0);
        },
      ),
      { numRuns: 2000 },
    );
  });

  it('any --set is put over the job or refused', () => {
    const paths = [
      'job',
      'units',
      'shop.saw',
      'shop.printer.bed.0',
      'sections.leg.od',
      'sections',
      'members.trunk.run.1.bend.clr',
      'members',
      'joints.0',
      'joints',
      'tools.0.saw-guide',
      'tools',
    ];
    const path = fc.oneof(
      fc.constantFrom(...paths),
      fc
        .array(
          fc.oneof(
            fc.constantFrom('shop', 'sections', 'leg', 'measured', '__proto__', '0', '<<', ''),
            fc.string({ maxLength: 4 }),
          ),
          { maxLength: 4 },
        )
        .map((steps) => steps.join('.')),
    );
    fc.assert(
      fc.property(path, fc.oneof(fc.constantFrom(...SCRAPS), fc.json({ maxDepth: 2 })), (p, v) =>
        holds(EVERY_FIELD, [`${p}=${v}`]),
      ),
      { numRuns: 300 },
    );
  });

  it('a large hostile file is refused and holds nobody up: no text takes the time a hang would', () => {
    const bulk = [
      '[',
      '{a: ',
      '- ',
      '? ',
      ': ',
      ']',
      'a,',
      '- &a\n',
      '- *a\n',
      '#\n',
      '\n',
      '!a ',
      '---\n',
      '%a\n',
      '"\\x41',
      'a: 1\n',
      '<<: 1\n',
      '&',
      '|\n',
      "''",
      '\r',
      '\ufeff',
    ];
    for (const scrap of bulk) {
      const text = `a: 1\nb:\n ${scrap.repeat(Math.floor(900_000 / scrap.length))}`;
      const { value, problems } = loadJob(text);
      expect(value).toBeUndefined();
      expect(problems.length).toBeGreaterThan(0);
      expect(problems.length).toBeLessThanOrEqual(201);
    }
  });

  it('many unknown fields with long names are told without one walk through the file for each', () => {
    const text = Array.from({ length: 20_000 }, (_, i) => `${'x'.repeat(30)}${i}: 1\n`).join('');
    expect(loadJob(text).problems).toHaveLength(201);
    const names = Array.from({ length: 10_000 }, (_, i) => `  .${i}: 1\n`).join('');
    expect(loadJob(`job: t\nsections:\n${names}members:\n${names.replaceAll('.', '/')}`).problems).toHaveLength(201);
  });
});
