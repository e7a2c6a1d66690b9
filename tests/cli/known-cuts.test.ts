import { describe, expect, it } from 'vitest';
import { knownCuts } from '../../src/cli/known-cuts.ts';
import { solveText } from '../../src/cli/pipeline.ts';
import type { CutEnd } from '../../src/solve/solution.ts';
import { RAIL } from './bench.ts';

describe('cut ends that are known from before', () => {
  const changes = [
    (text: string) => text,
    (text: string) => text.replace('od: 40', 'od: 44'),
    (text: string) => text.replace('miter: 20', 'miter: 25'),
    (text: string) => text.replace('{ labels: false }', '{ labels: false, chord-tolerance: 0.05 }'),
    (text: string) =>
      `# one line more\n${text.replace('joints:', 'tools:\n  - notch-collar: { end: rail.start, surface: square }\njoints:')}`,
    (text: string) => text.replace('[300, 0, 0]', '[300, 0, 10]'),
  ];

  it('make no difference, whatever changes in between', () => {
    const known = knownCuts();
    for (const change of [...changes, ...changes]) {
      const text = change(RAIL);
      expect(solveText({ text, sets: [], known }).solution).toEqual(solveText({ text, sets: [] }).solution);
    }
  });

  it('are traced once only while nothing they follow from has changed', () => {
    const known = knownCuts();
    const ends = (text: string): readonly CutEnd[] => solveText({ text, sets: [], known }).solution?.ends ?? [];
    const first = ends(RAIL);
    const second = ends(RAIL.replace('miter: 20', 'miter: 25'));
    const same = first.map((end) => end.curves === second.find(({ id }) => id === end.id)?.curves);
    expect(first.map(({ id }) => id).filter((_, i) => same[i])).toEqual(['rail.start']);
  });

  it('are forgotten when there are many', () => {
    const known = knownCuts();
    const [end] = solveText({ text: RAIL, sets: [] }).solution?.ends ?? [];
    known.keep('first', end!);
    known.keep('second', end!);
    for (let i = 0; i < 198; i++) known.keep(`more ${i}`, end!);
    expect(known.recall('first')).toBe(end);
    known.keep('one too many', end!);
    expect([known.recall('first'), known.recall('second')]).toEqual([end, undefined]);
  });
});
