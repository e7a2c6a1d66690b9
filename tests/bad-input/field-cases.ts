import { A, type BadInput, job, row, run } from './job-text.ts';

export const YAML_ROWS: readonly BadInput[] = [
  row('an empty file', '', ['yaml/not-a-map', 1, 'the file is empty']),
  row('a file of comments', '# nothing\n', ['yaml/not-a-map', 1, 'the file is empty']),
  row('a list at the top', '- job: t\n', ['yaml/not-a-map', 1, 'not a map']),
  row('plain text', 'hello\n', ['yaml/not-a-map', 1, 'not a map']),
  row('a tab to indent', job({ section: '\tleg: { kind: round, od: 50, wall: 2 }' }), [
    'yaml/unreadable',
    3,
    'a tab is used to indent',
  ]),
  row('a bracket that never closes', job({ more: 'joints: [' }), ['yaml/unreadable', 7, 'not readable as YAML']),
  row('a quote that never closes', job({ first: 'job: "t' }), ['yaml/unreadable', 7, 'not readable as YAML']),
  row('two jobs in one file', `${job({})}---\n${job({})}`, ['yaml/unreadable', 8, 'a second document begins here']),
  row('YAML 1.1 by directive', `%YAML 1.1\n---\n${job({})}`, ['yaml/unreadable', 1, 'YAML 1.1']),
  row('a tag', job({ first: 'job: !!str t' }), ['yaml/unreadable', 1, 'tag']),
  row('a tag of a programming language', job({ first: 'job: !!js/function t' }), ['yaml/unreadable', 1, 'tag']),
  row('a control character', job({ first: 'job: t\u0007' }), ['yaml/unreadable', 1, 'U+0007']),
  row('an alias without its anchor', job({ more: 'about: *none' }), ['yaml/unreadable', 7, '*none']),
  row('an alias inside its own value', job({ more: 'joints: &j [ { trim: *j } ]' }), [
    'yaml/alias',
    7,
    'inside the value it repeats',
  ]),
  row('aliases that double nineteen times', doubling(19), ['yaml/alias', 15, 'counting what aliases repeat']),
  row('brackets forty deep', job({ more: `about: ${'['.repeat(40)}${']'.repeat(40)}` }), [
    'yaml/too-large',
    7,
    'more than 20 deep',
  ]),
  row('a file above a million characters', job({ more: `#${'x'.repeat(1_000_001)}` }), [
    'yaml/too-large',
    1,
    'at most 1000000',
  ]),
  row(
    'a word where a direction stands',
    job({ a: '  a: { section: leg, up: skyward, points: [[0, 0, 0], [200, 0, 0]] }' }),
    ['field/wrong-type', 5, 'it takes a list'],
  ),
  row('a key given twice', job({ section: '  leg: { kind: round, od: 50, od: 60, wall: 2 }' }), [
    'field/name',
    3,
    'stands twice',
  ]),
  row('a member given twice', job({ more: A }), ['field/name', 7, 'stands twice']),
  row('a merge key', job({ section: '  leg: &l { kind: round, od: 50, wall: 2 }\n  two: { <<: *l, od: 40 }' }), [
    'field/name',
    4,
    'merge key',
  ]),
  row(
    'a number for a name',
    job({ section: '  leg: { kind: round, od: 50, wall: 2 }\n  12: { kind: round, od: 50, wall: 2 }' }),
    ['field/name', 4, 'must be text'],
  ),
  row('a name that reaches into the program', job({ more: '  __proto__: { mirror: a }' }), [
    'field/name',
    7,
    'is not a name',
  ]),
];

function doubling(times: number): string {
  const lines = Array.from(
    { length: times },
    (_, i) => `a${i}: &a${i} [${i === 0 ? '1, 2' : `*a${i - 1}, *a${i - 1}`}]`,
  );
  return `${lines.join('\n')}\n`;
}

export const FIELD_ROWS: readonly BadInput[] = [
  row('no job name', job({ first: 'about: nameless' }), ['field/missing', 1, 'job is missing']),
  row('no members', 'job: t\nsections:\n  leg: { kind: round, od: 50, wall: 2 }\n', [
    'field/missing',
    1,
    'members is missing',
  ]),
  row('no member in members', 'job: t\nsections:\n  leg: { kind: round, od: 50, wall: 2 }\nmembers: {}\n', [
    'field/missing',
    4,
    'members is empty',
  ]),
  row('a path for a job name', job({ first: 'job: ../../etc' }), ['field/name', 1, 'is a path']),
  row('a device for a job name', job({ first: 'job: NUL.txt' }), ['field/name', 1, 'device name']),
  row('a job name with a point at its end', job({ first: 'job: wye.' }), ['field/name', 1, 'ends with a point']),
  row('a job name of 65 letters', job({ first: `job: ${'x'.repeat(65)}` }), ['field/name', 1, '65 characters']),
  row('a job name with a blank', job({ first: 'job: dust wye' }), ['field/name', 1, 'is not a name']),
  row('a number for a job name', job({ first: 'job: 12' }), ['field/wrong-type', 1, 'takes text']),
  row('an unknown field at the top', job({ more: 'member: {}' }), ['field/unknown', 7, '"member"']),
  row('an unknown field of a section', job({ section: '  leg: { kind: round, diameter: 50, od: 50, wall: 2 }' }), [
    'field/unknown',
    3,
    '"diameter"',
  ]),
  row('units we do not have', job({ more: 'units: cm' }), ['field/unknown-choice', 7, 'mm or in']),
  row('a section of unknown kind', job({ section: '  leg: { kind: rond, od: 50, wall: 2 }' }), [
    'field/unknown-choice',
    3,
    '"rond"',
  ]),
  row('a section without a kind', job({ section: '  leg: { od: 50, wall: 2 }' }), [
    'field/missing',
    3,
    'kind of leg is missing',
  ]),
  row('a section without a wall', job({ section: '  leg: { kind: round, od: 50 }' }), [
    'field/missing',
    3,
    'wall of leg is missing',
  ]),
  row('an empty od', job({ section: '  leg: { kind: round, od: , wall: 2 }' }), [
    'field/missing',
    3,
    'od of leg is empty',
  ]),
  row('a section as text', job({ section: '  leg: 50x2' }), ['field/wrong-type', 3, 'a map of fields']),
  row('yes for true', job({ more: 'shop: { labels: yes }' }), ['field/wrong-type', 7, 'true or false']),
  row('od that is not a number', job({ section: '  leg: { kind: round, od: .nan, wall: 2 }' }), [
    'field/wrong-type',
    3,
    '".nan"',
  ]),
  row('od without end', job({ section: '  leg: { kind: round, od: .inf, wall: 2 }' }), [
    'field/wrong-type',
    3,
    '".inf"',
  ]),
  row('a hexadecimal od', job({ section: '  leg: { kind: round, od: 0x32, wall: 2 }' }), [
    'field/wrong-type',
    3,
    '0x32',
  ]),
  row('od with a leading zero', job({ section: '  leg: { kind: round, od: 050, wall: 2 }' }), [
    'unit/ambiguous',
    3,
    'octal',
  ]),
  row('od as a list', job({ section: '  leg: { kind: round, od: [50], wall: 2 }' }), [
    'field/wrong-type',
    3,
    'is a list',
  ]),
  row('a negative od', job({ section: '  leg: { kind: round, od: -50, wall: 2 }' }), [
    'field/out-of-range',
    3,
    '-50 mm',
  ]),
  row('od of nothing', job({ section: '  leg: { kind: round, od: 0, wall: 2 }' }), ['field/out-of-range', 3, '0 mm']),
  row('an enormous od', job({ section: '  leg: { kind: round, od: 1e300, wall: 2 }' }), [
    'field/out-of-range',
    3,
    'it takes 3 to 2000 mm',
  ]),
  row('a point of two coordinates', job({ a: '  a: { section: leg, points: [[0, 0], [200, 0, 0]] }' }), [
    'field/out-of-range',
    5,
    'exactly 3',
  ]),
  row('one point', job({ a: '  a: { section: leg, points: [[0, 0, 0]] }' }), ['field/out-of-range', 5, 'at least 2']),
  row(
    'a heading that points nowhere',
    job({ a: '  a: { section: leg, start: { heading: [0, 0, 0] }, run: [{ straight: 9 }] }' }),
    ['field/out-of-range', 5, 'points nowhere'],
  ),
  row('a run without items', job({ a: '  a: { section: leg, start: { heading: [0, 0, 1] }, run: [] }' }), [
    'field/out-of-range',
    5,
    'at least 1',
  ]),
  row(
    'a member of two kinds',
    job({ a: '  a: { section: leg, points: [[0, 0, 0], [200, 0, 0]], run: [{ straight: 9 }] }' }),
    ['field/conflict', 5, 'run cannot stand in'],
  ),
  row('a member of no kind', job({ a: '  a: { section: leg }' }), ['field/missing', 5, 'needs run, points or mirror']),
  row('a run item of two kinds', run('    { straight: 100, bend: { clr: 90, angle: 45, toward: left } }'), [
    'field/conflict',
    6,
    'straight and bend',
  ]),
  row('a taper of a number', run('    { straight: 100 }, { taper: 60 }'), [
    'field/wrong-type',
    6,
    'it takes a map of fields',
  ]),
  row('a layer thicker than the nozzle', job({ more: 'shop: { printer: { layer: 0.5 } }' }), [
    'field/conflict',
    7,
    'lays less',
  ]),
  row(
    'a blade thicker than its kerf',
    job({ more: 'shop: { saws: { band: { kind: vertical-band, kerf: 1, blade: 1.5 } } }' }),
    ['field/conflict', 7, 'at least its own thickness'],
  ),
  row('members that differ by capitals', job({ b: '  A: { section: leg, points: [[0, 9, 0], [200, 9, 0]] }' }), [
    'field/name',
    6,
    'only by capitals',
  ]),
  row('an escape code in the text', job({ more: 'about: "a\\e[31mred"' }), ['field/wrong-type', 7, 'U+001B']),
];
