import { describe, expect, it } from 'vitest';
import { loadJob } from '../../src/job/load.ts';
import { type JobSource, locateProblem } from '../../src/job/locate.ts';
import type { JobPath, Problem, ProblemCode } from '../../src/job/problem.ts';

const TEXT = `job: t
sections:
  leg: &leg
    kind: round
    od: 50
    wall: 2
  same: *leg
members:
  a:
    section: leg
    start: { heading: [1, 0, 0] }
    run:
      - straight: 100
      - bend: { clr: 90, angle: 45, toward: left }
  b: { section: same, points: [[0, 0, 0], [200, 0, 0]] }
joints:
  - trim:
      end: a.end
      at: 120
`;

function source(text = TEXT, sets: readonly string[] = []): JobSource {
  const loaded = loadJob(text, { sets });
  if (!loaded.source) throw new Error('no source');
  return loaded.source;
}

const problem = (path: JobPath, code: ProblemCode = 'field/out-of-range'): Problem => ({
  code,
  severity: 'error',
  path,
  message: 'm',
});
const place = (path: JobPath, code?: ProblemCode) => locateProblem(problem(path, code), source()).at;

describe('a problem with a path', () => {
  const rows: readonly [string, JobPath, object][] = [
    ['a value points at the value', ['sections', 'leg', 'od'], { line: 5, col: 9, width: 2 }],
    ['a map of several lines points at its name', ['sections', 'leg'], { line: 3, col: 3, width: 3 }],
    ['a list item points at its value', ['members', 'a', 'run', 0, 'straight'], { line: 13, col: 19, width: 3 }],
    ['a list item that is a map points at its first field', ['members', 'a', 'run', 0], { line: 13, col: 9, width: 8 }],
    ['a map on one line points at the map', ['members', 'a', 'run', 1, 'bend'], { line: 14, col: 15, width: 36 }],
    ['a field in a map on one line', ['members', 'a', 'run', 1, 'bend', 'angle'], { line: 14, col: 33, width: 2 }],
    ['a joint', ['joints', 0, 'trim'], { line: 17, col: 5, width: 4 }],
    ['a number inside lists', ['members', 'b', 'points', 1, 0], { line: 15, col: 44, width: 3 }],
    ['an alias leads to the value it repeats', ['sections', 'same', 'od'], { line: 5, col: 9, width: 2 }],
    ['the job itself points at its first field', [], { line: 1, col: 1, width: 3 }],
  ];
  it.each(rows)('%s', (_, path, at) => {
    expect(place(path)).toEqual(at);
  });

  it('that is missing climbs to the map it is missing from', () => {
    expect(place(['sections', 'leg', 'corner-radius'], 'field/missing')).toEqual({ line: 3, col: 3, width: 3 });
    expect(place(['members', 'a', 'run', 1, 'bend', 'plane-of-bend', 'deep'], 'field/missing')).toEqual({
      line: 14,
      col: 9,
      width: 4,
    });
    expect(place(['members', 'a', 'run', 9, 'straight'], 'field/missing')).toEqual({ line: 12, col: 5, width: 3 });
    expect(place(['shop', 'saw'], 'field/missing')).toEqual({ line: 1, col: 1, width: 3 });
  });

  it('about an unknown field points at the name of the field', () => {
    expect(place(['sections', 'leg', 'od'], 'field/unknown')).toEqual({ line: 5, col: 5, width: 2 });
  });

  it('keeps the place it has', () => {
    const at = { line: 99, col: 9 };
    expect(locateProblem({ ...problem(['sections']), at }, source()).at).toBe(at);
  });

  it('does not take a place outside the file', () => {
    for (const path of [
      ['__proto__'],
      ['constructor', 'name'],
      ['sections', 'toString'],
      ['joints', -1],
      ['joints', 1.5],
    ]) {
      expect(locateProblem(problem(path), source()).at?.line).toBeGreaterThan(0);
    }
  });

  it('says so when --set gave the value', () => {
    const set = source(TEXT, ['sections.leg.od=60']);
    const found = locateProblem(problem(['sections', 'leg', 'od']), set);
    expect(found.message).toBe('m (from --set sections.leg.od=60)');
    expect(found.at).toEqual({ line: 5, col: 9, width: 2 });
    expect(locateProblem(problem(['sections', 'leg', 'wall']), set).message).toBe('m');
  });
});
