import { type BadInput, bend, job, row, run } from './job-text.ts';

/** A run with a goal, from line 6. */
const goal = (text: string): string =>
  job({
    b: `  b: { section: leg, start: { heading: [1, 0, 0] }, run: [{ straight: solve }, { bend: { clr: 90, angle: 45, toward: up } }],\n    goal: ${text} }`,
  });

/** What is wrong with how a number is left to the goals. */
export const SOLVE_ROWS: readonly BadInput[] = [
  row(
    'one name for a length and an angle',
    run('    { straight: solve a }, { bend: { clr: 90, angle: solve a, toward: up } }'),
    ['field/conflict', 6, 'straight in run item 1 and a bend angle here'],
  ),
  row(
    'one name for a side and a turn of the plane',
    run(
      '    { bend: { clr: 90, angle: 9, toward: solve r } }, { bend: { clr: 90, angle: 9, plane-of-bend: solve r } }',
    ),
    ['field/conflict', 6, 'a toward in run item 1 and a plane of bend here'],
  ),
  row(
    'one name wanted in two ways',
    run(
      '    { straight: { solve: a, near: 50 } }, { bend: { clr: 90, angle: 45, toward: up } }, { straight: { solve: a, near: 60 } }',
    ),
    ['field/conflict', 6, 'given near twice'],
  ),
  row('an empty wish', bend('clr: 90, angle: {}, toward: up'), [
    'field/missing',
    6,
    'needs solve, near, between or one-of',
  ]),
  row('an unknown wish', bend('clr: 90, angle: { about: 45 }, toward: up'), ['field/unknown', 6, '"about"']),
  row('a range and a list at once', bend('clr: 90, angle: { between: [30, 60], one-of: [45] }, toward: up'), [
    'field/conflict',
    6,
    'between and one-of cannot stand together',
  ]),
  row('a range the wrong way round', bend('clr: 90, angle: { between: [60, 30] }, toward: up'), [
    'field/out-of-range',
    6,
    'begins with the larger number',
  ]),
  row('a range with one end', bend('clr: 90, angle: { between: [60] }, toward: up'), [
    'field/out-of-range',
    6,
    'exactly 2',
  ]),
  row('a bend to solve near more than half a turn', bend('clr: 90, angle: { near: 200 }, toward: up'), [
    'field/out-of-range',
    6,
    'is 200 deg',
  ]),
  row('an empty list', bend('clr: 90, angle: { one-of: [] }, toward: up'), ['field/out-of-range', 6, 'at least 1']),
  row('a name that is none', bend('clr: 90, angle: solve 45, toward: up'), ['field/name', 6, '"45" is not a name']),
  row('a word that is nearly solve', bend('clr: 90, angle: slove, toward: up'), ['unit/unreadable', 6, '"slove"']),
  row('a side to solve near nowhere', bend('clr: 90, angle: 45, toward: { near: sideways }'), [
    'field/unknown-choice',
    6,
    '"sideways"',
  ]),
  row('a measured bend that is still to solve', bend('clr: 90, angle: solve, toward: up, measured: { angle: 44 }'), [
    'field/conflict',
    6,
    'is measured, 44 deg, and its angle is still to solve',
  ]),
  row('a bend measured tighter than half the tube', bend('clr: 90, angle: 45, toward: up, measured: { clr: 20 }'), [
    'bend/tighter-than-tube',
    6,
    '20 mm; half the tube is 25 mm',
  ]),
  row(
    'a multiple of D for a bend of an oval to any side',
    job({
      section: '  leg: { kind: flat-oval, width: 80, height: 40, wall: 2 }',
      b: '  b: { section: leg, start: { heading: [1, 0, 0] }, run: [{ bend: { clr: 2D, angle: 45, toward: solve } }], goal: { up: [0, 0, 1] } }',
    }),
    ['unit/ambiguous', 6, 'which way it bends is to solve'],
  ),
  row('a goal for a place beyond the run', goal('{ on-plane: { at: [0, 0, 9], normal: [0, 0, 1] }, after: 3 }'), [
    'field/out-of-range',
    7,
    'after is 3; the run has 2 items',
  ]),
  row('a place without a goal', goal('{ after: 1 }'), ['field/missing', 7, 'needs on-plane']),
  row('a goal on the axis of nobody', goal('{ on-axis-of: { member: nobody, straight: 1 } }'), [
    'reference/unknown',
    7,
    '"nobody"',
  ]),
  row('an angle to a member beyond straight back', goal('{ angle-to: { member: a, is: 190 } }'), [
    'field/out-of-range',
    7,
    'is 190 deg',
  ]),
  row('the zeroth straight', goal('{ spacing: { from: a, straight: 0, is: 10 } }'), [
    'field/out-of-range',
    7,
    'at least 1',
  ]),
  row('a bender that grips nothing', job({ first: 'job: t\nshop: { bender: { grip: -1 } }' }), [
    'field/out-of-range',
    2,
    '-1 mm',
  ]),
];
