import { describe, expect, it } from 'vitest';
import type { Job } from '../../src/job/job.ts';
import { loadJob } from '../../src/job/load.ts';
import { hasErrors } from '../../src/job/problem.ts';
import { renderProblems } from '../../src/job/render.ts';
import { starterJob } from '../../src/job/starter.ts';
import { EVERY_FIELD } from './every-field.ts';

function loaded(yaml: string): Job {
  const { value, problems } = loadJob(yaml);
  if (!value) throw new Error(renderProblems(problems, { fileName: 'job.yaml', text: yaml }));
  return value;
}

const member = (job: Job, name: string) => job.members.find((m) => m.name === name);
const section = (job: Job, name: string) => job.sections.find((s) => s.name === name);

const small = (more: string, units = 'mm'): string =>
  `job: t\nunits: ${units}\nsections:\n  leg: { kind: round, od: 50mm, wall: 2mm }\nmembers:\n  a: { section: leg, points: [[0, 0, 0], [8, 0, 0]] }\n${more}`;

describe('a job that uses every field', () => {
  const job = loaded(EVERY_FIELD);

  it('has no problems, not even a warning', () => {
    expect(loadJob(EVERY_FIELD).problems).toEqual([]);
  });

  it('keeps members, joints and tools in the order of the file', () => {
    expect(job.members.map((m) => m.name)).toEqual([
      'trunk',
      'brace',
      'offset',
      'frame-rail',
      'flue',
      'leg-left',
      'leg-right',
    ]);
    expect(job.joints.map((j) => j.kind)).toEqual(['cope', 'miter', 'merge', 'trim', 'trim']);
    expect(job.tools === 'auto' ? [] : job.tools.map((t) => t.kind)).toEqual([
      'saw-guide',
      'marking-gauge',
      'notch-collar',
      'segment-guide',
      'opening-gauge',
      'fit-up-cradle',
      'fit-up-cradle',
      'fit-up-cradle',
      'fit-up-cradle',
    ]);
    expect(job.restAuto).toBe(true);
  });

  it('reads sections as ordered and as measured', () => {
    expect(section(job, 'leg')).toMatchObject({
      nominal: { kind: 'round', od: 63.5, wall: 1.651 },
      actual: { kind: 'round', od: 63.4, wall: 1.651 },
      material: '304',
    });
    expect(section(job, 'post')?.nominal).toEqual({
      kind: 'rectangle',
      width: 40,
      height: 60,
      wall: 2,
      cornerRadius: 3,
    });
    expect(section(job, 'frame')).toMatchObject({
      nominal: { width: 40, height: 40, cornerRadius: 4 },
      actual: { width: 39.8, height: 39.8, cornerRadius: 4 },
    });
  });

  it('reads a run with its goals, each with the path of its field', () => {
    expect(member(job, 'trunk')).toMatchObject({
      kind: 'run',
      start: { at: [0, 0, 0], heading: [0, 0, 1], up: [0, 1, 0] },
      run: [
        { kind: 'straight', length: 200, path: ['members', 'trunk', 'run', 0, 'straight'] },
        {
          kind: 'bend',
          clr: 120,
          bendAngleDeg: 45,
          toward: { kind: 'toward', deg: 270 },
          path: ['members', 'trunk', 'run', 1, 'bend'],
        },
        { kind: 'straight', length: { kind: 'solve' } },
        { kind: 'bend', clr: 90, bendAngleDeg: { kind: 'solve' }, toward: { kind: 'plane-of-bend', deg: 90 } },
      ],
      goals: [
        {
          kind: 'on-plane',
          plane: { point: [0, 0, 500], normal: [0, 0, 1] },
          path: ['members', 'trunk', 'goal', 0, 'on-plane'],
        },
        { kind: 'spacing', member: 'brace', distance: 80, path: ['members', 'trunk', 'goal', 1, 'spacing', 'from'] },
      ],
    });
  });

  it('reads what is wanted of numbers left to solve, and bends as measured', () => {
    expect(member(job, 'offset')).toMatchObject({
      run: [
        { length: { kind: 'solve', between: [10, 400] } },
        {
          bendAngleDeg: { kind: 'solve', name: 'a', oneOf: [30, 45] },
          toward: { kind: 'toward', deg: { kind: 'solve', near: 270 } },
        },
        { length: { kind: 'solve', name: 's', near: 120 } },
        { bendAngleDeg: { kind: 'solve', name: 'a' }, toward: { kind: 'plane-of-bend', deg: { kind: 'solve' } } },
        { length: { kind: 'solve', name: 's' } },
        { clr: 89.5, bendAngleDeg: 29.4, nominal: { clr: 90, bendAngleDeg: 30 } },
      ],
      goals: [
        { kind: 'on-point', after: 3, path: ['members', 'offset', 'goal', 0, 'on-point'] },
        { kind: 'on-line' },
        { kind: 'up' },
        { kind: 'in-plane' },
        { kind: 'on-axis', member: 'brace', straight: 2 },
        { kind: 'heading' },
        { kind: 'parallel-to', member: 'brace' },
        { kind: 'developed-length', length: 900 },
        { kind: 'angle-to', straight: 1, angleDeg: 45 },
        { kind: 'spacing', straight: 3, distance: 10 },
      ],
    });
  });

  it('reads what the bender can do, one straight for all where none is given', () => {
    expect(job.shop.bender).toEqual({ first: 60, between: 30, last: 50, clr: 40 });
    const grip = loaded(
      'job: t\nshop: { bender: { grip: 2in, last: 10 } }\nsections: { s: { kind: round, od: 20, wall: 2 } }\nmembers: { a: { section: s, points: [[0, 0, 0], [9, 0, 0]] } }\n',
    );
    expect(grip.shop.bender).toEqual({ first: 50.8, between: 50.8, last: 10 });
  });

  it('reads points with a clr for each corner', () => {
    expect(member(job, 'brace')).toMatchObject({ kind: 'points', clrs: [90, 95.25], up: [0, 0, 1] });
  });

  it('reads a mirror image across a plane, whose normal comes out as a unit vector', () => {
    expect(member(job, 'leg-right')).toMatchObject({
      kind: 'mirror',
      of: 'leg-left',
      across: { point: [0, 0, 0], normal: [1, 0, 0] },
    });
  });

  it('reads joints, and names those without a name after kind and end', () => {
    expect(job.joints).toMatchObject([
      {
        kind: 'cope',
        name: 'cope-brace-end',
        gap: 0.5,
        open: 'bore',
        branch: { member: 'brace', end: 'end' },
        runs: [{ member: 'trunk' }, { member: 'frame-rail' }],
      },
      { kind: 'miter', name: 'corner', gap: 0, plane: { point: [0, 0, 0], normal: [0, 0, 1] } },
      {
        kind: 'merge',
        name: 'merge-trunk-start',
        legs: [{ member: 'leg-left' }, { member: 'leg-right' }],
        trunk: { member: 'trunk', end: 'start' },
      },
      { kind: 'trim', where: { kind: 'into-bend', bendAngleDeg: 37, bend: 1 }, miterDeg: 0, longPointDeg: 0 },
      { kind: 'trim', where: { kind: 'at', distance: 30 }, miterDeg: 30, longPointDeg: 90 },
    ]);
  });

  it('reads tools in full and in short', () => {
    expect(job.tools).toMatchObject([
      { kind: 'saw-guide', saw: 'chop-saw', name: 'my-guide', datum: 'end', grip: 60, surface: 'outer', parts: 'auto' },
      {
        kind: 'marking-gauge',
        end: { member: 'brace', end: 'end', path: ['tools', 1, 'marking-gauge'] },
        datum: 'auto',
      },
      { kind: 'notch-collar', surface: 'inner', parts: 2 },
      { kind: 'segment-guide', elbow: 'flue', number: 1, saw: 'bandsaw', grip: 50, name: 'gores' },
      { kind: 'opening-gauge', opening: 'tap', datum: 'mark', name: 'tap-gauge' },
      {
        kind: 'fit-up-cradle',
        name: 'jig',
        holds: { kind: 'joints', joints: [{ joint: 'corner' }] },
        heat: 20,
        saddle: 24,
        base: 'plate',
        height: 80,
        stations: [{ member: 'brace', at: [40] }],
      },
      { holds: { kind: 'joints', joints: [{ joint: 'corner' }] }, heat: 25, saddle: 20, base: 'frame' },
      { holds: { kind: 'members', members: [{ member: 'brace' }, { member: 'trunk' }] }, stations: [] },
      { holds: { kind: 'all' } },
    ]);
  });
});

describe('defaults', () => {
  it('fill the whole shop', () => {
    const { shop, tools, joints, units } = loaded(small('joints:\ntools:\nshop:\n'));
    expect({ tools, joints, units }).toEqual({ tools: 'auto', joints: [], units: 'mm' });
    expect(shop).toEqual({
      printer: { bed: [220, 220, 250], nozzle: 0.4, layer: 0.2, material: 'petg' },
      fit: { slide: 0.3 },
      wall: 4,
      strap: { width: 5, thickness: 2 },
      labels: true,
      chordTolerance: 0.01,
      saw: 'bandsaw',
      saws: [
        { name: 'bandsaw', kind: 'vertical-band', kerf: 1.2, blade: 0.9, clearance: 0.3 },
        { name: 'chop-saw', kind: 'top-down', kerf: 2.4, blade: 2, clearance: 0.4 },
      ],
    });
  });

  it('are the same sizes in a job of inches', () => {
    expect(loaded(small('', 'in')).shop).toEqual(loaded(small('')).shop);
  });

  it('make a corner twice the wall, or what fits', () => {
    const job = loaded(
      small('').replace('leg: {', 'thick: { kind: rectangle, width: 40, height: 8, wall: 3 }\n  leg: {'),
    );
    expect(section(job, 'thick')?.nominal).toMatchObject({ cornerRadius: 4 });
  });

  it('let a corner radius of nothing stand', () => {
    const job = loaded(
      small('').replace('leg: {', 'sharp: { kind: square, side: 40, wall: 3, corner-radius: 0 }\n  leg: {'),
    );
    expect(section(job, 'sharp')?.nominal).toMatchObject({ cornerRadius: 0 });
  });

  it("let the shop's own saws stand in place of ours, and the first be the usual one", () => {
    const { shop } = loaded(small('shop: { saws: { cold: { kind: top-down, kerf: 1.6 } } }'));
    expect(shop.saws).toEqual([{ name: 'cold', kind: 'top-down', kerf: 1.6, blade: 1.6, clearance: 0.4 }]);
    expect(shop.saw).toBe('cold');
  });
});

describe('a multiple of OD for clr', () => {
  const oval = (toward: string): Job =>
    loaded(
      `job: t\nsections:\n  duct: { kind: flat-oval, width: 120, height: 60, wall: 1.5 }\nmembers:\n  a: { section: duct, start: { heading: [0, 0, 1] }, run: [{ bend: { clr: 1.5D, angle: 30, toward: ${toward} } }] }\n`,
    );
  const clr = (job: Job): unknown => {
    const a = member(job, 'a');
    return a?.kind === 'run' && a.run[0]?.kind === 'bend' ? a.run[0].clr : undefined;
  };

  it('counts the size of the section in the plane of the bend', () => {
    expect(clr(oval('up'))).toBe(90);
    expect(clr(oval('down'))).toBe(90);
    expect(clr(oval('left'))).toBe(180);
    // Flat oval, core 60 wide, half circles of 30: 2 (30 sin 30 + 30) = 90 across, times 1.5.
    expect(clr(oval('30'))).toBeCloseTo(135, 9);
  });

  it('is 1.5 times the OD of a round tube', () => {
    const job = loaded(small('').replace('[8, 0, 0]]', '[300, 0, 0], [300, 300, 0]], clr: 1.5D'));
    expect(member(job, 'a')).toMatchObject({ clrs: [75] });
  });
});

describe('YAML', () => {
  it('anchors may repeat values', () => {
    const job = loaded(
      small('').replace(
        'a: { section: leg',
        'b: { section: &s leg, points: [[0, 9, 0], [8, 9, 0]] }\n  a: { section: *s',
      ),
    );
    expect(member(job, 'a')).toMatchObject({ section: 'leg' });
  });

  it('may have a byte order mark and CR LF', () => {
    expect(loaded(`\ufeff${small('').replaceAll('\n', '\r\n')}`).name).toBe('t');
  });

  it('names that mean something to the program are names like any other', () => {
    const job = loaded(small('').replaceAll('leg', 'constructor').replace('  a:', '  toString:'));
    expect(job.members.map((m) => m.name)).toEqual(['toString']);
    expect(section(job, 'constructor')?.nominal).toMatchObject({ od: 50 });
  });

  it('a material written as a number is text', () => {
    expect(section(loaded(small('').replace('od: 50mm', 'material: 304, od: 50mm')), 'leg')?.material).toBe('304');
  });

  it('a number as inches gives the double of its millimeters', () => {
    const job = loaded(small('', 'in').replace('od: 50mm', 'od: 2.25').replace('wall: 2mm', 'wall: 0.065'));
    expect(section(job, 'leg')?.nominal).toEqual({ kind: 'round', od: 57.15, wall: 1.651 });
  });
});

describe('problems', () => {
  it('of all parts are told at once, in the order of the file', () => {
    const yaml = [
      'job: con',
      'unit: mm',
      'sections:',
      '  leg: { kind: round, od: -1, wall: 16ga }',
      'members:',
      '  a: { section: lag, points: [[0, 0, 0], [8, 0, 0]] }',
      '  b: { mirror: a }',
      'joints:',
      '  - trim: { end: c.end, at: 5 }',
      'tools:',
      '  - saw-guide: { end: a.end, saw: nothing, grip: 1 }',
    ].join('\n');
    const told = loadJob(yaml).problems.map(({ code, at }) => `${at?.line} ${code}`);
    expect(told).toEqual([
      '1 field/name',
      '2 field/unknown',
      '4 field/out-of-range',
      '4 unit/ambiguous',
      '6 reference/unknown',
      '7 field/missing',
      '9 reference/unknown',
      '11 field/out-of-range',
    ]);
  });

  it('do not follow from a part that is wrong itself', () => {
    const yaml = small('joints:\n  - trim: { end: a.end, at: 5 }\n').replace('od: 50mm', 'od: -50mm');
    expect(loadJob(yaml).problems.map((p) => p.code)).toEqual(['field/out-of-range']);
  });

  it('that only warn leave the job standing', () => {
    const { value, problems } = loadJob(small('').replace('wall: 2mm', 'wall: 2mm, measured: { od: 60mm }'));
    expect(problems).toMatchObject([
      { code: 'section/measured', severity: 'warning', measured: 60, limit: 50, at: { line: 4 } },
    ]);
    expect(hasErrors(problems)).toBe(false);
    expect(value?.sections[0]?.actual).toMatchObject({ od: 60 });
  });

  it('carry the measured value and the limit', () => {
    const yaml = small('').replace(
      'points: [[0, 0, 0], [8, 0, 0]]',
      'clr: 57.2, points: [[0, 0, 0], [300, 0, 0], [321.9203, 21.9203, 0], [321.9203, 300, 0]]',
    );
    // Leg 2 is 31 mm at 45 deg; setbacks 2 * 57.2 tan(22.5) = 47.386 mm.
    expect(loadJob(yaml).problems).toMatchObject([
      { code: 'bend/leg-too-short', measured: expect.closeTo(31, 3), limit: expect.closeTo(47.3863, 3) },
    ]);
  });

  it('speak of inches in a job of inches, and guess what a bare number was meant to be', () => {
    const [problem] = loadJob(small('shop: { printer: { nozzle: 0.4 } }', 'in')).problems;
    expect(problem?.message).toBe('nozzle of the shop is 0.4 in; it takes 0.004 to 0.079 in');
    expect(problem?.hint).toContain('write 0.4mm');
  });

  it('a goal that leans on a member that leans back is a loop', () => {
    const tube = (name: string, other: string) =>
      `  ${name}: { section: leg, start: { heading: [0, 0, 1] }, run: [{ straight: solve }], goal: { on-axis-of: ${other} } }\n`;
    const { problems } = loadJob(small(`${tube('b', 'c')}${tube('c', 'b')}`));
    expect(problems).toMatchObject([
      { code: 'reference/loop', at: { line: 8 }, message: expect.stringContaining('b -> c -> b') },
    ]);
  });

  it('are listed up to two hundred', () => {
    const { problems } = loadJob(small(Array.from({ length: 300 }, (_, i) => `x${i}: 1`).join('\n')));
    expect(problems).toHaveLength(201);
    expect(problems.at(-1)?.message).toBe('more than 200 problems; the others are not listed');
  });
});

describe('too many parts', () => {
  it('are refused: members, joints, run items', () => {
    const many = (n: number, text: (i: number) => string): string =>
      Array.from({ length: n }, (_, i) => text(i)).join('');
    const members = small(many(200, (i) => `  m${i}: { section: leg, points: [[0, 0, ${i}], [8, 0, ${i}]] }\n`));
    expect(loadJob(members).problems).toMatchObject([{ code: 'yaml/too-large', measured: 201, limit: 200 }]);
    const joints = small(`joints:\n${many(401, () => '  - trim: { end: a.end, at: 5 }\n')}`);
    expect(loadJob(joints).problems).toContainEqual(
      expect.objectContaining({ code: 'field/out-of-range', measured: 401, limit: 400 }),
    );
    const items = small(
      `  r: { section: leg, start: { heading: [0, 0, 1] }, run: [${many(201, () => '{ straight: 1 }, ')}] }\n`,
    );
    expect(loadJob(items).problems).toMatchObject([{ code: 'field/out-of-range', measured: 201, limit: 200 }]);
  });
});

describe('the starter job', () => {
  it('loads without a problem and carries modelines', () => {
    const { value, problems } = loadJob(starterJob());
    expect(problems).toEqual([]);
    expect(value?.joints.map((j) => j.kind)).toEqual(['miter', 'cope', 'trim']);
    expect(starterJob()).toMatch(/^# yaml-language-server: \$schema=/);
  });

  it('trims the arm on its last straight: 180 + 76.2 * 60 deg + 150 is 409.8 mm long, cut at 380', () => {
    const bendEnd = 180 + (76.2 * Math.PI) / 3;
    expect(380).toBeGreaterThan(bendEnd);
    expect(380).toBeLessThan(bendEnd + 150);
  });
});
