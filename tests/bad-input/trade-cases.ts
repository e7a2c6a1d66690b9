import { type BadInput, bend, job, row, run } from './job-text.ts';

export const UNIT_ROWS: readonly BadInput[] = [
  row('a unit that is none', job({ section: '  leg: { kind: round, od: 50nm, wall: 2 }' }), [
    'unit/unreadable',
    3,
    '"nm" is not a unit',
  ]),
  row('words for an od', job({ section: '  leg: { kind: round, od: about fifty, wall: 2 }' }), [
    'unit/unreadable',
    3,
    'is not a length',
  ]),
  row('a clock time for a length', job({ section: '  leg: { kind: round, od: 12:30, wall: 2 }' }), [
    'unit/unreadable',
    3,
    '"12:30"',
  ]),
  row('a comma for a point', job({ section: '  leg:\n    kind: round\n    od: 57,15\n    wall: 2' }), [
    'unit/ambiguous',
    5,
    'comma',
  ]),
  row('a fraction without a unit in a job of mm', job({ section: '  leg: { kind: round, od: 1 1/2, wall: 2 }' }), [
    'unit/ambiguous',
    3,
    'fraction without a unit',
  ]),
  row('a bare gauge', job({ section: '  leg: { kind: round, od: 50, wall: 16ga }' }), [
    'unit/ambiguous',
    3,
    '0.065 in',
  ]),
  row('a gauge that is not there', job({ section: '  leg: { kind: round, od: 50, wall: 44bwg }' }), [
    'unit/unreadable',
    3,
    'no 44bwg',
  ]),
  row('a gauge for an od', job({ section: '  leg: { kind: round, od: 16bwg, wall: 2 }' }), [
    'unit/unreadable',
    3,
    'only a wall',
  ]),
  row('a division by zero', job({ section: '  leg: { kind: round, od: 1/0in, wall: 2 }' }), [
    'unit/unreadable',
    3,
    'divides by zero',
  ]),
  row('an angle in radians', bend('clr: 90, angle: 0.5rad, toward: left'), ['unit/unreadable', 6, 'radians']),
  row('an angle that is a slope or minutes', bend('clr: 90, angle: 22:30, toward: left'), [
    'unit/ambiguous',
    6,
    'degrees and minutes',
  ]),
  row('an opening without a shape', job({ more: 'openings:\n  tap: { on: a, at: 90, toward: up }' }), [
    'field/missing',
    8,
    'round, slot or rectangle',
  ]),
  row(
    'an opening in a member that is not there',
    job({ more: 'openings:\n  tap: { on: c, at: 90, toward: up, round: 10 }' }),
    ['reference/unknown', 8, 'no member "c"'],
  ),
  row(
    'corners of a round opening',
    job({ more: 'openings:\n  tap: { on: a, at: 90, toward: up, round: 10, corner: 2 }' }),
    ['field/conflict', 8, 'only a rectangle has corners'],
  ),
  row(
    'an elbow with welds and pieces',
    run('    { straight: 100 }, { elbow: { clr: 90, angle: 90, toward: left, welds: 3, pieces: 4 } }'),
    ['field/conflict', 6, 'welds and pieces cannot stand together'],
  ),
  row('an elbow without welds', run('    { straight: 100 }, { elbow: { clr: 90, angle: 90, toward: left } }'), [
    'field/missing',
    6,
    'needs welds or pieces',
  ]),
  row(
    'an elbow without a throat',
    run('    { straight: 100 }, { elbow: { clr: 25, angle: 90, toward: left, welds: 3 } }'),
    ['elbow/no-throat', 6, 'no throat'],
  ),
  row(
    'a member with the name of a gore',
    job({
      a: '  a: { section: leg, start: { heading: [1, 0, 0] }, run: [{ elbow: { clr: 90, angle: 90, toward: left, welds: 3 } }] }',
      b: '  a-gore-2: { section: leg, points: [[200, 0, 0], [200, 200, 0]] }',
    }),
    ['field/name', 5, '"a-gore-2" is used twice'],
  ),
  row(
    'D of a tube that is not round',
    job({
      section: '  leg: { kind: flat-oval, width: 80, height: 40, wall: 2 }',
      a: '  a: { section: leg, clr: 2D, points: [[0, 0, 0], [300, 0, 0], [300, 300, 0]] }',
    }),
    ['unit/ambiguous', 5, '80 mm wide, 40 mm high'],
  ),
];

export const TRADE_ROWS: readonly BadInput[] = [
  row('a wall as thick as the tube', job({ section: '  leg: { kind: round, od: 50, wall: 25 }' }), [
    'section/wall',
    3,
    'less than 25 mm',
  ]),
  row('a gauge number taken for mm', job({ section: '  leg: { kind: round, od: 25, wall: 16 }' }), [
    'section/wall',
    3,
    'wall of leg is 16 mm',
  ]),
  row('an ellipse whose bore folds', job({ section: '  leg: { kind: ellipse, width: 60, height: 20, wall: 3.4 }' }), [
    'section/wall',
    3,
    '3.333 mm',
  ]),
  row(
    'a corner larger than the side',
    job({ section: '  leg: { kind: square, side: 40, wall: 2, corner-radius: 21 }' }),
    ['section/shape', 3, '20 mm'],
  ),
  row(
    'a measured wall too thick',
    job({ section: '  leg: { kind: round, od: 50, wall: 2, measured: { wall: 30 } }' }),
    ['section/wall', 3, '30 mm'],
  ),
  row('a bend that folds', bend('clr: 24, angle: 45, toward: left'), [
    'bend/tighter-than-tube',
    6,
    'half the tube is 25 mm',
  ]),
  row('a bend of 200 degrees', bend('clr: 90, angle: 200, toward: left'), ['field/out-of-range', 6, '200 deg']),
  row('a bend of no degrees', bend('clr: 90, angle: 0, toward: left'), ['field/out-of-range', 6, '0 deg']),
  row('a bend without a side', bend('clr: 90, angle: 45'), ['field/missing', 6, 'toward or plane-of-bend']),
  row('a bend to nowhere', bend('clr: 90, angle: 45, toward: leftish'), ['field/unknown-choice', 6, '"leftish"']),
  row('a bend with two sides', bend('clr: 90, angle: 45, toward: left, plane-of-bend: 90'), [
    'field/conflict',
    6,
    'toward and plane-of-bend',
  ]),
  row(
    'a leg shorter than its setbacks',
    job({ a: '  a: { section: leg, clr: 60, points: [[0, 0, 0], [200, 0, 0], [200, 100, 0], [400, 100, 0]] }' }),
    ['bend/leg-too-short', 5, 'leg 2 of a is 100 mm'],
  ),
  row(
    'a corner without a turn',
    job({ a: '  a: { section: leg, clr: 60, points: [[0, 0, 0], [200, 0, 0], [400, 0, 0]] }' }),
    ['bend/corner-straight', 5, 'straight on at point 2'],
  ),
  row(
    'a corner that turns back',
    job({ a: '  a: { section: leg, clr: 60, points: [[0, 0, 0], [200, 0, 0], [100, 0, 0]] }' }),
    ['bend/corner-straight', 5, 'straight back at point 2'],
  ),
  row('two points in one place', job({ a: '  a: { section: leg, points: [[5, 0, 0], [5, 0, 0]] }' }), [
    'member/empty',
    5,
    'the same place',
  ]),
  row('corners without clr', job({ a: '  a: { section: leg, points: [[0, 0, 0], [200, 0, 0], [200, 200, 0]] }' }), [
    'field/missing',
    5,
    'clr of a is missing',
  ]),
  row(
    'more clr than corners',
    job({ a: '  a: { section: leg, clr: [60, 60], points: [[0, 0, 0], [200, 0, 0], [200, 200, 0]] }' }),
    ['field/conflict', 5, 'lists 2'],
  ),
  row(
    'up along the heading',
    job({ a: '  a: { section: leg, start: { heading: [0, 0, 1], up: [0, 0, 2] }, run: [{ straight: 9 }] }' }),
    ['field/conflict', 5, 'along the heading'],
  ),
  row('a section that is not there', job({ a: '  a: { section: legg, points: [[0, 0, 0], [200, 0, 0]] }' }), [
    'reference/unknown',
    5,
    '"legg"',
  ]),
  row('a mirror of nothing', job({ b: '  b: { mirror: c, across: { normal: [1, 0, 0] } }' }), [
    'reference/unknown',
    6,
    '"c"',
  ]),
  row('a mirror of itself', job({ b: '  b: { mirror: b, across: { normal: [1, 0, 0] } }' }), [
    'reference/loop',
    6,
    'through itself',
  ]),
  row(
    'mirrors of each other',
    job({
      a: '  a: { mirror: b, across: { normal: [1, 0, 0] } }',
      b: '  b: { mirror: a, across: { normal: [1, 0, 0] } }',
    }),
    ['reference/loop', 6, 'a -> b -> a'],
  ),
  row('a joint of an unknown member', job({ more: 'joints:\n  - miter: { ends: [a.end, c.start] }' }), [
    'reference/unknown',
    8,
    '"c"',
  ]),
  row('an end that is none', job({ more: 'joints:\n  - miter: { ends: [a.end, b.top] }' }), [
    'reference/unknown',
    8,
    'not an end',
  ]),
  row(
    'one end cut twice',
    job({ more: 'joints:\n  - miter: { ends: [a.end, b.start] }\n  - trim: { end: a.end, at: 50 }' }),
    ['joint/same-end-twice', 9, 'a.end is already cut by joint 1'],
  ),
  row('an end mitered to itself', job({ more: 'joints:\n  - miter: { ends: [a.end, a.end] }' }), [
    'joint/same-end-twice',
    8,
    'twice in this joint',
  ]),
  row('a branch coped onto itself', job({ more: 'joints:\n  - cope: { branch: a.end, run: a }' }), [
    'field/conflict',
    8,
    'onto itself',
  ]),
  row('an unknown joint', job({ more: 'joints:\n  - mitre: { ends: [a.end, b.start] }' }), [
    'field/unknown',
    8,
    '"mitre"',
  ]),
  row('a joint with three ends', job({ more: 'joints:\n  - butt: { ends: [a.end, b.start, b.end] }' }), [
    'field/out-of-range',
    8,
    'exactly 2',
  ]),
  row('a merge of one leg', job({ more: 'joints:\n  - merge: { legs: [a.end], trunk: b.start }' }), [
    'field/out-of-range',
    8,
    'at least 2',
  ]),
  row('a trim at two places', job({ more: 'joints:\n  - trim: { end: a.end, at: 50, into-bend: 30 }' }), [
    'field/conflict',
    8,
    'at and into-bend',
  ]),
  row('a trim at no place', job({ more: 'joints:\n  - trim: { end: a.end }' }), [
    'field/missing',
    8,
    'needs at, into-bend, plane, width or height',
  ]),
  row('a trim into a bend of a straight tube', job({ more: 'joints:\n  - trim: { end: a.end, into-bend: 30 }' }), [
    'field/conflict',
    8,
    'no bend',
  ]),
  row('a long point on a square trim', job({ more: 'joints:\n  - trim: { end: a.end, at: 50, long-point: up }' }), [
    'field/conflict',
    8,
    'no long point',
  ]),
  row('a miter of 89 degrees', job({ more: 'joints:\n  - trim: { end: a.end, at: 50, miter: 89 }' }), [
    'field/out-of-range',
    8,
    '0 to 85 deg',
  ]),
  row('a negative gap', job({ more: 'joints:\n  - butt: { ends: [a.end, b.start], gap: -1 }' }), [
    'field/out-of-range',
    8,
    '-1 mm',
  ]),
  row(
    'two joints of one name',
    job({ more: 'joints:\n  - trim: { name: x, end: a.end, at: 50 }\n  - trim: { name: x, end: b.end, at: 50 }' }),
    ['field/name', 9, 'used twice'],
  ),
  row('a word for the tools', job({ more: 'tools: all' }), ['field/unknown-choice', 7, '"all"']),
  row('an unknown tool', job({ more: 'tools:\n  - saw-gide: a.end' }), ['field/unknown', 8, '"saw-gide"']),
  row('a tool for an unknown member', job({ more: 'tools:\n  - saw-guide: c.end' }), ['reference/unknown', 8, '"c"']),
  row('a tool for an unknown saw', job({ more: 'tools:\n  - saw-guide: { end: a.end, saw: bandsow }' }), [
    'saw/unknown',
    8,
    '"bandsow"',
  ]),
  row('a shop with an unknown saw', job({ more: 'shop: { saw: jigsaw }' }), ['saw/unknown', 7, '"jigsaw"']),
  row(
    'two tools of one name',
    job({ more: 'tools:\n  - saw-guide: { end: a.end, name: g }\n  - saw-guide: { end: b.end, name: G }' }),
    ['tool/duplicate-name', 9, '"G"'],
  ),
  row('a saw on a collar', job({ more: 'tools:\n  - notch-collar: { end: a.end, saw: bandsaw }' }), [
    'field/unknown',
    8,
    '"saw"',
  ]),
  row('a collar in three parts', job({ more: 'tools:\n  - notch-collar: { end: a.end, parts: 3 }' }), [
    'field/unknown-choice',
    8,
    'auto, 1 or 2',
  ]),
  row('a tool name that leaves the folder', job({ more: 'tools:\n  - saw-guide: { end: a.end, name: ../g }' }), [
    'field/name',
    8,
    'is a path',
  ]),
];
