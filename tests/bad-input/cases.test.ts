import { describe, expect, it } from 'vitest';
import { loadJob } from '../../src/job/load.ts';
import { PROBLEM_CODES } from '../../src/job/problem.ts';
import { renderProblems } from '../../src/job/render.ts';
import { BAD_INPUTS } from './cases.ts';

describe('a bad job file', () => {
  it.each(BAD_INPUTS)('$name is told as $code on line $line', ({ yaml, code, line, says }) => {
    const { value, problems } = loadJob(yaml);
    expect(value).toBeUndefined();
    const found = problems.find((p) => p.code === code && p.at?.line === line && p.message.includes(says));
    expect(found, renderProblems(problems, { fileName: 'job.yaml', text: yaml.slice(0, 5000) })).toBeDefined();
    expect(found?.severity).toBe('error');
    expect(found?.message).not.toMatch(/undefined|NaN|\[object|Infinity/);
  });

  it('is told without follow-up: nearly every row has one problem', () => {
    const several = BAD_INPUTS.filter(({ yaml }) => loadJob(yaml).problems.length > 1).map(({ name }) => name);
    expect(several).toEqual([]);
  });

  it('stands in a table of at least sixty rows with distinct names, and known codes', () => {
    expect(BAD_INPUTS.length).toBeGreaterThanOrEqual(60);
    expect(new Set(BAD_INPUTS.map(({ name }) => name)).size).toBe(BAD_INPUTS.length);
    for (const { code } of BAD_INPUTS) expect(PROBLEM_CODES).toHaveProperty([code]);
  });

  it('gives the same problems when the lines end in CR LF', () => {
    for (const { yaml } of BAD_INPUTS.filter((row) => row.yaml.length < 5000)) {
      const places = (text: string) => loadJob(text).problems.map(({ code, at }) => [code, at?.line, at?.col]);
      expect(places(yaml.replaceAll('\n', '\r\n'))).toEqual(places(yaml));
    }
  });
});
