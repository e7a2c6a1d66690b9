import type { ProblemCode } from '../../src/job/problem.ts';

/** A job text that must be refused: the code, the line it is told at, and a part of the message. */
export interface BadInput {
  readonly name: string;
  readonly yaml: string;
  readonly code: ProblemCode;
  readonly line: number;
  readonly says: string;
}

const SECTION = '  leg: { kind: round, od: 50, wall: 2 }';
export const A = '  a: { section: leg, points: [[0, 0, 0], [200, 0, 0]] }';
const B = '  b: { section: leg, points: [[200, 0, 0], [200, 200, 0]] }';

/** Line 1 job, 2 sections, 3 leg, 4 members, 5 a, 6 b, and what is added from line 7. */
export const job = ({
  first = 'job: t',
  section = SECTION,
  a = A,
  b = B,
  more = '',
}: {
  first?: string;
  section?: string;
  a?: string;
  b?: string;
  more?: string;
}): string => `${first}\nsections:\n${section}\nmembers:\n${a}\n${b}\n${more}`;

/** A run from line 6; what is added begins there. */
export const run = (items: string): string =>
  job({ a: '  a: { section: leg, start: { heading: [1, 0, 0] }, run: [', b: `${items}`, more: '    ] }' });

export const bend = (text: string): string => run(`    { straight: 100 }, { bend: { ${text} } }`);

export const row = (name: string, yaml: string, expected: readonly [ProblemCode, number, string]): BadInput => ({
  name,
  yaml,
  code: expected[0],
  line: expected[1],
  says: expected[2],
});
