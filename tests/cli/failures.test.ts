import { mkdirSync, symlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { BAD_INPUTS } from '../bad-input/cases.ts';
import { type Bench, bench, RAIL, RAIL_TOOLS } from './bench.ts';

let place: Bench;
beforeEach(() => {
  place = bench();
});
afterEach(() => place.clear());

const [GUIDE] = RAIL_TOOLS;
const ONE = ['--only', GUIDE, '--format', 'stl'];
const fail = (code: string): never => {
  throw Object.assign(new Error(`${code}: made to fail`), { code });
};

describe('a bad job given to build', () => {
  it.each(BAD_INPUTS)('$name: $code on line $line, exit 1, no file', async ({ yaml, code, line }) => {
    place.put('job.yaml', yaml);
    const ran = await place.kerfwright(['build', 'job.yaml']);
    expect(ran.code, ran.err).toBe(1);
    expect(ran.out).toBe('');
    const places = ran.err.split('\n').filter((text) => text.startsWith(`job.yaml:${line}:`));
    expect(
      places.some((text) => text.includes(code)),
      ran.err,
    ).toBe(true);
    expect(ran.err).toContain('nothing was written');
    // biome-ignore lint/suspicious/noControlCharactersInRegex: they are what must not be there
    expect(ran.err).not.toMatch(/[\u0000-\u0009\u000b-\u001f\u007f-\u009f]/);
    expect(place.all()).toEqual(['job.yaml']);
  });
});

describe('a problem found behind the file', () => {
  it.each([
    [
      'a cope beside the run',
      RAIL.replace('[[0, 0, 0], [300, 0, 0]]', '[[0, 200, 0], [300, 200, 0]]'),
      'joint/branch-overhangs-run',
      10,
    ],
    ['a trim off the member', RAIL.replace('at: 280', 'at: 400'), 'trim/outside', 11],
    ['a tool for an end that is not cut', `${RAIL}tools:\n  - saw-guide: post.end\n`, 'tool/no-cut', 13],
  ])('%s: code and line, exit 1, no file', async (_, yaml, code, line) => {
    place.put('job.yaml', yaml);
    const ran = await place.kerfwright(['build', 'job.yaml']);
    expect(ran.code).toBe(1);
    expect(ran.err).toMatch(new RegExp(`^job\\.yaml:${line}:\\d+  ${code}$`, 'm'));
    expect(place.all()).toEqual(['job.yaml']);
  });

  it('keeps what an earlier build wrote', async () => {
    place.put('job.yaml', RAIL);
    await place.kerfwright(['build', 'job.yaml', ...ONE]);
    const before = place.all().map((name) => [name, place.modified(name)]);
    place.put('job.yaml', RAIL);
    const ran = await place.kerfwright(['build', 'job.yaml', '--set', 'joints.1.trim.at=400']);
    expect(ran.code).toBe(1);
    expect(ran.err).toContain('job.yaml with --set joints.1.trim.at=400: 1 error; nothing was written');
    expect(
      place
        .all()
        .map((name) => [name, place.modified(name)])
        .slice(1),
    ).toEqual(before.slice(1));
  });
});

describe('usage', () => {
  it.each([
    [['biuld', 'a.yaml'], 'Did you mean build?'],
    [['build'], 'missing required argument'],
    [['build', 'a.yaml', '--jsn'], 'Did you mean --json?'],
    [['build', 'a.yaml', '--format', 'obj'], '"obj" is none of stl, 3mf, png'],
    [['build', 'a.yaml', '--format', ''], 'is none of stl, 3mf, png'],
    [['build', 'a.yaml', '--set'], 'argument missing'],
    [['schema', 'extra'], 'Allowed choices are job, cut-list'],
    [['schema', 'job', 'extra'], 'too many arguments'],
    [[], 'Usage: kerfwright'],
  ])('%j exits with 2 and writes nothing', async (argv, says) => {
    const ran = await place.kerfwright(argv);
    expect({ code: ran.code, out: ran.out }).toEqual({ code: 2, out: '' });
    expect(ran.err).toContain(says);
    expect(place.all()).toEqual([]);
  });

  it.each([['--help'], ['build', '--help'], ['help', 'solve'], ['--version']])(
    '%s %s is told on stdout, exit 0',
    async (...argv) => {
      const ran = await place.kerfwright(argv);
      expect({ code: ran.code, err: ran.err }).toEqual({ code: 0, err: '' });
      for (const line of ran.out.split('\n')) expect(line.length).toBeLessThanOrEqual(80);
    },
  );
});

describe('a job file that cannot be read', () => {
  it('because it is not there: exit 2, and the others are built', async () => {
    place.put('rail.yaml', RAIL);
    const ran = await place.kerfwright(['build', 'nowhere.yaml', 'rail.yaml', ...ONE]);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('kerfwright: nowhere.yaml: there is no such file or folder');
    expect(place.all('out/rail')).toContain(`${GUIDE}.stl`);
  });

  it.each(['check', 'solve', 'build'])('because the system refuses (%s): exit 2, reason', async (command) => {
    place.put('rail.yaml', RAIL);
    const ran = await place.kerfwright([command, 'rail.yaml'], { files: { read: () => fail('EACCES') } });
    expect(ran.code).toBe(2);
    expect(ran.err).toBe('kerfwright: rail.yaml: permission denied (EACCES)\n');
    expect(place.all()).toEqual(['rail.yaml']);
  });

  it('because the folder holds none: exit 2', async () => {
    mkdirSync(join(place.folder, 'jobs'));
    const ran = await place.kerfwright(['build', 'jobs']);
    expect(ran).toMatchObject({ code: 2, err: 'kerfwright: jobs: the folder holds no .yaml or .yml file\n' });
  });

  it('because it leads below a file: exit 2', async () => {
    place.put('rail.yaml', RAIL);
    const ran = await place.kerfwright(['build', 'rail.yaml/x.yaml']);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('rail.yaml/x.yaml: a part of the path is a file');
  });

  it('as text is a problem of the job: exit 1', async () => {
    place.put('latin.yaml', Buffer.from('job: caf\xe9\n', 'latin1'));
    const ran = await place.kerfwright(['build', 'latin.yaml']);
    expect(ran.code).toBe(1);
    expect(ran.err).toContain('latin.yaml  yaml/unreadable\n  the file is not UTF-8 text');
  });

  it('for its size is a problem of the job, and is not read to its end', async () => {
    let asked = 0;
    place.put('big.yaml', '');
    const read = (_: string, limit?: number): Uint8Array => {
      asked = limit ?? Number.POSITIVE_INFINITY;
      return new Uint8Array(asked + 1);
    };
    const ran = await place.kerfwright(['build', 'big.yaml'], { files: { read } });
    expect(ran.code).toBe(1);
    expect(ran.err).toContain('yaml/too-large');
    expect(asked).toBeLessThan(1e7);
  });

  it('has a name that cannot steer the terminal', async () => {
    const ran = await place.kerfwright(['build', 'a\u001b[31m\u202eb.yaml']);
    expect(ran.code).toBe(2);
    expect(ran.err).not.toContain('\u001b');
    expect(ran.err).not.toContain('\u202e');
  });
});

describe('an output that cannot be written', () => {
  beforeEach(() => {
    place.put('rail.yaml', RAIL);
  });

  it('because a file stands where the folder goes: exit 2', async () => {
    place.put('prints', 'a file');
    const ran = await place.kerfwright(['build', 'rail.yaml', '--out', 'prints', ...ONE]);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('output/unwritable');
    expect(ran.err).toContain('prints/rail');
    expect(place.text('prints')).toBe('a file');
  });

  it('because the system allows no folder there: exit 2', async () => {
    const ran = await place.kerfwright(['build', 'rail.yaml', '--out', '/proc/kerfwright', ...ONE]);
    expect(ran.code).toBe(2);
    expect(ran.err).toMatch(/rail\.yaml {2}output\/unwritable\n {2}\/proc\/kerfwright\/rail/);
    expect(ran.out).toBe('');
  });

  it.each(['ENOSPC', 'EROFS', 'EACCES'])('for %s: exit 2, the old files as they were', async (code) => {
    await place.kerfwright(['build', 'rail.yaml', ...ONE]);
    const before = place.all('out').map((name) => [name, place.modified(`out/${name}`)]);
    const argv = ['build', 'rail.yaml', '--set', 'joints.1.trim.at=270', ...ONE];
    const ran = await place.kerfwright(argv, { files: { writeNew: () => fail(code) } });
    expect(ran).toMatchObject({ code: 2, out: '' });
    expect(ran.err).toContain(`(${code})`);
    expect(ran.err).toContain('nothing was written');
    expect(place.all('out').map((name) => [name, place.modified(`out/${name}`)])).toEqual(
      before.map(([name, time]) => [name, name === 'rail' ? place.modified('out/rail') : time]),
    );
  });

  it('because a file of somebody else is in the way: exit 2, unless forced', async () => {
    mkdirSync(join(place.folder, 'out', 'rail'), { recursive: true });
    place.put(`out/rail/${GUIDE}.stl`, 'mine');
    const ran = await place.kerfwright(['build', 'rail.yaml', ...ONE]);
    expect(ran).toMatchObject({ code: 2, out: '' });
    expect(ran.err).toContain('output/exists');
    expect(ran.err).toContain(`${GUIDE}.stl is in the way`);
    expect(place.all('out/rail')).toEqual([`${GUIDE}.stl`]);
    expect(place.text(`out/rail/${GUIDE}.stl`)).toBe('mine');
    expect((await place.kerfwright(['build', 'rail.yaml', '--force', ...ONE])).code).toBe(0);
    expect(place.bytes(`out/rail/${GUIDE}.stl`).length).toBeGreaterThan(1000);
  });

  it('because the folder of the job is a link elsewhere: exit 2, nothing lands there', async () => {
    mkdirSync(join(place.folder, 'out'));
    mkdirSync(join(place.folder, 'elsewhere'));
    symlinkSync(join(place.folder, 'elsewhere'), join(place.folder, 'out', 'rail'));
    const ran = await place.kerfwright(['build', 'rail.yaml', '--force', ...ONE]);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('output/unsafe-name');
    expect(place.all('elsewhere')).toEqual([]);
  });

  it('is told in the JSON document too', async () => {
    const ran = await place.kerfwright(['build', 'rail.yaml', '--json', ...ONE], {
      files: { writeNew: () => fail('ENOSPC') },
    });
    expect({ code: ran.code, err: ran.err }).toEqual({ code: 2, err: '' });
    expect(JSON.parse(ran.out).jobs[0]).toMatchObject({
      ok: false,
      problems: [{ code: 'output/unwritable', line: null }],
    });
  });
});

describe('a fault of the program', () => {
  it('that no job is to blame for exits with 70 and says so', async () => {
    const ran = await place.kerfwright(['build', 'rail.yaml'], {
      files: {
        kindBehind: () => {
          throw new Error('internal: made to fail');
        },
      },
    });
    expect(ran.code).toBe(70);
    expect(ran.err).toContain('kerfwright: internal: made to fail');
    expect(ran.err).toContain('fault of kerfwright');
  });
});
