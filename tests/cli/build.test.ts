import { mkdirSync, statSync, unlinkSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readManifest, sha256 } from '../../src/export/manifest.ts';
import { readStl } from '../../src/export/stl.ts';
import { checkMesh } from '../../src/solid/mesh-check.ts';
import { BAD_RAIL, type Bench, bench, RAIL, RAIL_TOOLS } from './bench.ts';

let place: Bench;
beforeEach(() => {
  place = bench();
  place.put('rail.yaml', RAIL);
});
afterEach(() => place.clear());

const [GUIDE, COLLAR] = RAIL_TOOLS;
const EVERYTHING = [`${GUIDE}.3mf`, `${GUIDE}.stl`, `${COLLAR}.3mf`, `${COLLAR}.stl`];
const made = (below: string): readonly string[] => place.all(below);
const manifest = (folder = 'out/rail') => {
  const read = readManifest(place.text(join(folder, 'manifest.json')));
  if (!read) throw new Error('no manifest');
  return read;
};

describe('build', () => {
  it('puts an STL for each part, a 3MF for each tool and a manifest into a folder named after the job', async () => {
    const { code, out, err } = await place.kerfwright(['build', 'rail.yaml']);
    expect({ code, err }).toMatchObject({ code: 0 });
    expect(made('out')).toEqual(['rail', ...['manifest.json', ...EVERYTHING].map((name) => `rail/${name}`)]);
    expect(out.trim().split('\n').sort()).toEqual(EVERYTHING.map((name) => `out/rail/${name}`));
    expect(err).toContain('wrote 5 files, 0 unchanged');
    for (const tool of RAIL_TOOLS) expect(checkMesh(readStl(place.bytes(`out/rail/${tool}.stl`))).closed).toBe(true);
  });

  it('lists in the manifest the hash and size of every file, and what was measured on every part', async () => {
    await place.kerfwright(['build', 'rail.yaml', '--set', 'shop.fit.slide=0.35mm']);
    const { files, tools, input, job, settings } = manifest();
    expect(files.map((file) => file.name)).toEqual(EVERYTHING);
    for (const file of files) {
      const bytes = place.bytes(`out/rail/${file.name}`);
      expect([file.sha256, file.bytes]).toEqual([sha256(bytes), bytes.length]);
    }
    expect(input).toEqual({ sha256: sha256(`${RAIL}\0shop.fit.slide=0.35mm`), sets: ['shop.fit.slide=0.35mm'] });
    expect({ job, settings }).toEqual({
      job: 'rail',
      settings: { formats: ['stl', '3mf', 'dxf'], plate: false, only: [] },
    });
    expect(tools.map((tool) => tool.name)).toEqual(RAIL_TOOLS);
    const [guide, collar] = tools.map((tool) => tool.proofs[0]);
    expect(guide).toMatchObject({ closed: true, overlap: 0, keptSideOverlap: 0 });
    expect(guide?.slotDeviation).toBeLessThan(0.02);
    expect(collar?.edgeDeviation).toBeLessThan(0.02);
    expect(place.text('out/rail/manifest.json')).not.toContain(place.folder);
  });

  it('makes the same bytes twice, and touches nothing the second time', async () => {
    await place.kerfwright(['build', 'rail.yaml']);
    await place.kerfwright(['build', 'rail.yaml', '--out', 'again']);
    for (const name of ['manifest.json', ...EVERYTHING]) {
      expect(sha256(place.bytes(`again/rail/${name}`)), name).toBe(sha256(place.bytes(`out/rail/${name}`)));
    }
    const times = () =>
      made('out/rail').map((name) => statSync(join(place.folder, 'out/rail', name), { bigint: true }));
    const before = times();
    // --force makes and proves everything again; without it the manifest answers.
    for (const again of [
      ['build', 'rail.yaml'],
      ['build', 'rail.yaml', '--force'],
    ]) {
      const { code, out, err } = await place.kerfwright(again);
      expect({ code, out }).toEqual({ code: 0, out: '' });
      expect(err).toContain('wrote 0 files, 5 unchanged');
      expect(times().map((s) => [s.ino, s.mtimeNs])).toEqual(before.map((s) => [s.ino, s.mtimeNs]));
    }
  });

  it('does not take a damaged file for unchanged', async () => {
    await place.kerfwright(['build', 'rail.yaml']);
    place.put(`out/rail/${GUIDE}.stl`, 'damaged');
    expect((await place.kerfwright(['build', 'rail.yaml'])).code).toBe(2);
    expect((await place.kerfwright(['build', 'rail.yaml', '--force'])).code).toBe(0);
    expect(checkMesh(readStl(place.bytes(`out/rail/${GUIDE}.stl`))).closed).toBe(true);
  });

  it('after a changed dimension writes only what it changes, and says what to print again', async () => {
    await place.kerfwright(['build', 'rail.yaml']);
    const before = place.modified(`out/rail/${GUIDE}.stl`);
    const { out, err } = await place.kerfwright(['build', 'rail.yaml', '--set', 'sections.post.od=44']);
    expect(out.trim().split('\n')).toEqual([`out/rail/${COLLAR}.stl`, `out/rail/${COLLAR}.3mf`]);
    expect(err).toContain('made 1 tool, kept 1, wrote 3 files, 2 unchanged');
    const again = err.slice(err.indexOf('print again:')).replace(/\s+/g, ' ');
    expect(again).toMatch(new RegExp(`print again: ${COLLAR}: [A-Z0-9]{5} is now [A-Z0-9]{5}; .*post od 40 to 44 mm`));
    expect(again).not.toContain(GUIDE);
    for (const { dimensions } of manifest().tools) {
      const labels = (dimensions ?? []).map(({ label }) => label);
      expect(labels.length).toBeGreaterThan(8);
      expect(new Set(labels).size).toBe(labels.length);
    }
    expect(place.modified(`out/rail/${GUIDE}.stl`)).toBe(before);
  });

  it('keeps what it did not make anew as a build from nothing would have made it', async () => {
    await place.kerfwright(['build', 'rail.yaml']);
    const change = ['--set', 'joints.1.trim.miter=25'];
    const { err } = await place.kerfwright(['build', 'rail.yaml', ...change]);
    expect(err).toContain('made 1 tool, kept 1,');
    await place.kerfwright(['build', 'rail.yaml', ...change, '--out', 'anew']);
    for (const name of ['manifest.json', ...EVERYTHING]) {
      expect(sha256(place.bytes(`out/rail/${name}`)), name).toBe(sha256(place.bytes(`anew/rail/${name}`)));
    }
  });

  it.each([
    ['shop.fit.slide=0.35mm', 2],
    ['shop.wall=5', 2],
    ['shop.saws.bandsaw.kerf=1.5', 2],
    ['job=tail', 2],
    ['about=another word', 0],
  ])('with %s put over the job makes %d of two tools anew', async (set, count) => {
    const job = RAIL.replace(
      'shop: {',
      'about: a word\nunits: mm\nshop: { saws: { bandsaw: { kind: vertical-band } },',
    );
    place.put('rail.yaml', job);
    const argv = ['build', 'rail.yaml', '--format', 'stl'];
    await place.kerfwright(argv);
    const { code, err } = await place.kerfwright([...argv, '--set', set]);
    expect({ code, err }).toMatchObject({ code: 0, err: expect.stringContaining(`made ${count} tool`) });
  });

  it('makes a tool anew when one of its files is gone, and no other', async () => {
    await place.kerfwright(['build', 'rail.yaml']);
    unlinkSync(join(place.folder, `out/rail/${GUIDE}.3mf`));
    const { out, err } = await place.kerfwright(['build', 'rail.yaml']);
    expect(out.trim()).toBe(`out/rail/${GUIDE}.3mf`);
    expect(err).toContain('made 1 tool, kept 1,');
    expect(err).not.toContain('print again');
  });

  it('removes a tool that is no longer made', async () => {
    await place.kerfwright(['build', 'rail.yaml']);
    place.put('rail.yaml', RAIL.replace(/ {2}- cope.*\n/, ''));
    const { code, err } = await place.kerfwright(['build', 'rail.yaml']);
    expect(code).toBe(0);
    expect(err.replace(/\s+/g, ' ')).toContain(`removed ${COLLAR}.3mf, ${COLLAR}.stl`);
    expect(made('out/rail')).toEqual(['manifest.json', `${GUIDE}.3mf`, `${GUIDE}.stl`]);
  });

  it('with --only makes what matches and leaves the other tools in place', async () => {
    await place.kerfwright(['build', 'rail.yaml', '--only', '*-saw-guide']);
    expect(made('out/rail')).toEqual(['manifest.json', `${GUIDE}.3mf`, `${GUIDE}.stl`]);
    await place.kerfwright(['build', 'rail.yaml']);
    const { err } = await place.kerfwright([
      'build',
      'rail.yaml',
      '--only',
      '*-saw-guide',
      '--set',
      'sections.post.od=44',
      '--format',
      'stl',
    ]);
    // The guide's 3MF was not asked for again, and is still good: the post does not shape it.
    const left = [`${GUIDE}.3mf`, `${GUIDE}.stl`, `${COLLAR}.3mf`, `${COLLAR}.stl`];
    expect(made('out/rail')).toEqual(['manifest.json', ...left]);
    expect(err.replace(/\s+/g, ' ')).toContain(
      `of an older revision, not made this time: ${COLLAR}.3mf, ${COLLAR}.stl`,
    );
    expect(manifest().tools.map((tool) => tool.name)).toEqual(RAIL_TOOLS);
    // The full build after it must not believe that all is done.
    const { out } = await place.kerfwright(['build', 'rail.yaml', '--set', 'sections.post.od=44', '--format', 'stl']);
    expect(out.trim()).toBe(`out/rail/${COLLAR}.stl`);
  });

  it('with --only that matches nothing names the tools there are', async () => {
    const { code, err } = await place.kerfwright(['build', 'rail.yaml', '--only', 'leg-*']);
    expect(code).toBe(1);
    expect(err).toContain('tools/none');
    expect(err).toContain(GUIDE);
    expect(made('.')).toEqual(['rail.yaml']);
  });

  it('writes the sheet and the cut list of a job that has nothing to print, and says where there is neither', async () => {
    place.put(
      'coil.yaml',
      'job: coil\nsections: { t: { kind: round, od: 30, wall: 2 } }\nmembers: { t: { section: t, points: [[0, 0, 0], [300, 0, 0], [300, 200, 0]], clr: 60 } }\n',
    );
    const sheet = await place.kerfwright(['build', 'coil.yaml', '--format', 'stl,html,csv']);
    expect({ code: sheet.code, err: sheet.err }).toMatchObject({ code: 0 });
    expect(made('out/coil')).toEqual(['coil-cut-list.csv', 'coil-sheet.html', 'manifest.json']);
    const tools = await place.kerfwright(['build', 'coil.yaml']);
    expect(tools.code).toBe(1);
    expect(tools.err.replace(/\s+/g, ' ')).toContain('--format html,pdf writes its sheet without');
  });

  it('takes the formats asked for, pictures too', async () => {
    await place.kerfwright(['build', 'rail.yaml', '--format', 'png,3mf', '--only', GUIDE]);
    expect(made('out/rail')).toEqual(['manifest.json', `${GUIDE}.3mf`, `${GUIDE}.png`]);
    expect(place.bytes(`out/rail/${GUIDE}.png`).subarray(1, 4)).toEqual(Buffer.from('PNG'));
    // The assembly is a picture of the whole job.
    await place.kerfwright(['build', 'rail.yaml', '--format', 'png']);
    expect(made('out/rail')).toEqual(
      ['manifest.json', 'rail-assembly.png', `${GUIDE}.3mf`, ...RAIL_TOOLS.map((tool) => `${tool}.png`)].sort(),
    );
  });

  it('writes job sheet, wrap templates and cut list beside the tools', async () => {
    const { code } = await place.kerfwright(['build', 'rail.yaml', '--format', 'stl,html,pdf,svg,csv,json']);
    expect(code).toBe(0);
    const wraps = ['rail-end-wrap', 'rail-start-wrap'].flatMap((name) => [`${name}.pdf`, `${name}.svg`]);
    const whole = ['rail-cut-list.csv', 'rail-cut-list.json', 'rail-sheet.html', 'rail-sheet.pdf'];
    expect(made('out/rail')).toEqual(
      ['manifest.json', ...RAIL_TOOLS.map((tool) => `${tool}.stl`), ...wraps, ...whole].sort(),
    );
    // The sheet shows the tools though no pictures were asked for.
    expect(place.text('out/rail/rail-sheet.html')).toContain('data:image/png');
  });

  it('leaves files in other formats of what is still as it was, and takes away what is not', async () => {
    await place.kerfwright(['build', 'rail.yaml', '--format', 'stl,csv']);
    await place.kerfwright(['build', 'rail.yaml', '--format', '3mf']);
    const both = RAIL_TOOLS.flatMap((tool) => [`${tool}.3mf`, `${tool}.stl`]);
    expect(made('out/rail')).toEqual(['manifest.json', 'rail-cut-list.csv', ...both].sort());
    expect(
      manifest()
        .tools.map((tool) => tool.name)
        .sort(),
    ).toEqual([...RAIL_TOOLS].sort());
    await place.kerfwright(['build', 'rail.yaml', '--format', '3mf', '--set', 'sections.tube.od=31']);
    expect(made('out/rail')).toEqual(['manifest.json', ...RAIL_TOOLS.map((tool) => `${tool}.3mf`)].sort());
  });

  it('lays all tools out on the bed with --plate', async () => {
    const { out } = await place.kerfwright(['build', 'rail.yaml', '--plate']);
    expect(out).toContain('out/rail/rail-plate-1.3mf');
    const plate = manifest().files.find((file) => file.name === 'rail-plate-1.3mf');
    expect([...(plate?.parts ?? [])].sort()).toEqual(RAIL_TOOLS);
    expect(plate?.tool).toBeUndefined();
  });

  it('with --dry-run tells what would be written and writes nothing', async () => {
    const { code, out, err } = await place.kerfwright(['build', 'rail.yaml', '--dry-run']);
    expect(code).toBe(0);
    expect(out).toContain(`out/rail/${GUIDE}.stl`);
    expect(err).toContain('would write 5 files');
    expect(made('.')).toEqual(['rail.yaml']);
  });

  it('with --stdout gives the bytes of one file and writes nothing', async () => {
    const { code, outBytes } = await place.kerfwright([
      'build',
      'rail.yaml',
      '--only',
      GUIDE,
      '--format',
      'stl',
      '--stdout',
    ]);
    expect(code).toBe(0);
    expect(made('.')).toEqual(['rail.yaml']);
    await place.kerfwright(['build', 'rail.yaml']);
    expect(sha256(outBytes)).toBe(sha256(place.bytes(`out/rail/${GUIDE}.stl`)));
  });

  it.each([
    [['--stdout'], 'one --format'],
    [['--stdout', '--format', 'stl'], 'this job makes 2'],
    [['--stdout', '--format', 'stl', '--json'], '--json'],
    [['--stdout', '--format', 'stl', '--plate'], '--plate'],
    [['--stdout', '--format', 'stl', '--dry-run'], '--dry-run'],
  ])('with %j refuses', async (more, says) => {
    const { code, err, out } = await place.kerfwright(['build', 'rail.yaml', ...more]);
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toContain(says);
  });

  it('puts no bytes of a model on a terminal', async () => {
    const argv = ['build', 'rail.yaml', '--only', GUIDE, '--format', 'stl', '--stdout'];
    const { code, out } = await place.kerfwright(argv, { stdoutIsTerminal: true });
    expect({ code, out }).toEqual({ code: 2, out: '' });
  });

  it('reads a job from standard input', async () => {
    const { code } = await place.kerfwright(['build', '-', '--only', GUIDE, '--format', 'stl'], { stdin: RAIL });
    expect(code).toBe(0);
    expect(made('out/rail')).toEqual(['manifest.json', `${GUIDE}.stl`]);
    const bad = await place.kerfwright(['build', '-'], { stdin: BAD_RAIL });
    expect(bad.err).toContain('<stdin>:4:');
  });

  it('makes every job of a folder, each in a folder of its own, and is not stopped by a bad one', async () => {
    mkdirSync(join(place.folder, 'jobs', 'deeper'), { recursive: true });
    place.put('jobs/b.yaml', RAIL.replace('job: rail', 'job: second'));
    place.put('jobs/a.yml', BAD_RAIL);
    place.put('jobs/c.yaml', RAIL.replace('job: rail', 'job: third'));
    place.put('jobs/notes.txt', 'no job');
    place.put('jobs/.hidden.yaml', BAD_RAIL);
    place.put('jobs/deeper/d.yaml', BAD_RAIL);
    const { code, err } = await place.kerfwright(['build', 'jobs', '--only', GUIDE, '--format', 'stl']);
    expect(code).toBe(1);
    expect(made('out').filter((name) => !name.includes('/'))).toEqual(['second', 'third']);
    expect(err).toMatch(/jobs\/a\.yml:4:\d+ {2}field\/out-of-range/);
    expect(err).toContain('jobs/a.yml: 1 error; nothing was written');
  });

  it('builds two jobs of one name once, and says so', async () => {
    place.put('other.yaml', RAIL.replace('job: rail', 'job: Rail'));
    const { code, err } = await place.kerfwright(['build', 'rail.yaml', 'other.yaml', 'rail.yaml', '--only', GUIDE]);
    expect(code).toBe(2);
    expect(err).toContain('rail.yaml has the job name Rail too');
    expect(made('out').filter((name) => !name.includes('/'))).toEqual(['rail']);
  });

  it('gives one JSON document with --json and nothing on stderr', async () => {
    place.put('bad.yaml', BAD_RAIL);
    const { code, out, err } = await place.kerfwright(['build', 'rail.yaml', 'bad.yaml', '--json', '--format', 'stl']);
    expect({ code, err }).toEqual({ code: 1, err: '' });
    const document = JSON.parse(out);
    expect(document).toMatchObject({ format: 'kerfwright-build', version: 1, dryRun: false });
    expect(document.jobs[0]).toMatchObject({
      file: 'rail.yaml',
      ok: true,
      job: 'rail',
      folder: 'out/rail',
      problems: [],
      written: [`${GUIDE}.stl`, `${COLLAR}.stl`, 'manifest.json'].sort(
        (p, q) => document.jobs[0].written.indexOf(p) - document.jobs[0].written.indexOf(q),
      ),
      tools: [{ name: COLLAR }, { name: GUIDE }].sort(
        (p, q) =>
          document.jobs[0].tools.findIndex((t: { name: string }) => t.name === p.name) -
          document.jobs[0].tools.findIndex((t: { name: string }) => t.name === q.name),
      ),
    });
    expect(document.jobs[1]).toMatchObject({
      file: 'bad.yaml',
      ok: false,
      problems: [{ code: 'field/out-of-range', severity: 'error', line: 4 }],
    });
  });

  it('is silent on stderr with --quiet, except for problems', async () => {
    expect((await place.kerfwright(['build', 'rail.yaml', '--quiet', '--only', GUIDE])).err).toBe('');
    place.put('rail.yaml', BAD_RAIL);
    expect((await place.kerfwright(['build', 'rail.yaml', '--quiet'])).err).toContain('field/out-of-range');
  });

  it('dates 3MF files only when SOURCE_DATE_EPOCH says so, and makes them again when it changes', async () => {
    const argv = ['build', 'rail.yaml', '--only', GUIDE, '--format', '3mf'];
    await place.kerfwright(argv);
    const undated = sha256(place.bytes(`out/rail/${GUIDE}.3mf`));
    await place.kerfwright(argv, { env: { SOURCE_DATE_EPOCH: '86400' } });
    expect(sha256(place.bytes(`out/rail/${GUIDE}.3mf`))).not.toBe(undated);
    expect((await place.kerfwright(argv, { env: { SOURCE_DATE_EPOCH: 'today' } })).code).toBe(2);
  });
});

describe('a job with a warning', () => {
  const WARNED = RAIL.replace('members:', '  spare: { kind: round, od: 30, wall: 2, measured: { od: 36 } }\nmembers:');

  it('is told the same warning again when nothing has changed', async () => {
    place.put('rail.yaml', WARNED);
    const argv = ['build', 'rail.yaml', '--only', GUIDE, '--format', 'stl'];
    const full = ['build', 'rail.yaml', '--format', 'stl'];
    await place.kerfwright(argv);
    const first = await place.kerfwright(full);
    const again = await place.kerfwright(full);
    const warning = (err: string): string => err.slice(0, err.indexOf('rail: proved'));
    expect(warning(first.err)).toMatch(/^rail\.yaml:6:\d+ {2}warning /);
    expect(warning(again.err)).toBe(warning(first.err));
    expect([first.code, again.code, again.out]).toEqual([0, 0, '']);
  });
});

describe('many jobs', () => {
  const argv = ['--only', GUIDE, '--format', 'stl'];
  const catalog = (count: number): void => {
    mkdirSync(join(place.folder, 'jobs', 'more'), { recursive: true });
    for (let i = 1; i <= count; i++) place.put(`jobs/j${i}.yaml`, RAIL.replace('job: rail', `job: rail-${i}`));
  };

  it('are taken by a pattern that no shell unfolded', async () => {
    catalog(2);
    place.put('jobs/other.yml', BAD_RAIL);
    place.put('jobs/more/j3.yaml', RAIL.replace('job: rail', 'job: rail-3'));
    const labels = async (pattern: string) =>
      JSON.parse((await place.kerfwright(['check', pattern, '--json'])).out).jobs.map(
        ({ file }: { file: string }) => file,
      );
    expect(await labels('jobs/j*.yaml')).toEqual(['jobs/j1.yaml', 'jobs/j2.yaml']);
    expect(await labels('job?/**/j[0-9].yaml')).toEqual(['jobs/j1.yaml', 'jobs/j2.yaml', 'jobs/more/j3.yaml']);
    expect(await labels(`${place.folder}/{jobs,none}/j1.yaml`)).toEqual([join(place.folder, 'jobs/j1.yaml')]);
    const none = await place.kerfwright(['check', 'jobs/x*.yaml']);
    expect(none).toMatchObject({ code: 2, err: 'kerfwright: jobs/x*.yaml: no file matches\n' });
  });

  it('are shared out by --shard, each once, and come out the same', async () => {
    catalog(3);
    await place.kerfwright(['build', 'jobs', '--out', 'whole', ...argv]);
    const parts = await Promise.all(
      ['1/2', '2/2'].map((shard) => place.kerfwright(['build', 'jobs', '--out', 'parts', '--shard', shard, ...argv])),
    );
    expect(parts.map(({ out }) => out.trim().split('\n').length)).toEqual([2, 1]);
    expect(made('parts')).toEqual(made('whole'));
    for (const name of made('parts').filter((path) => path.includes('.'))) {
      expect(sha256(place.bytes(`parts/${name}`)), name).toBe(sha256(place.bytes(`whole/${name}`)));
    }
    for (const shard of ['0/2', '3/2', '1', '1/0', 'a/b']) {
      expect((await place.kerfwright(['build', 'jobs', '--shard', shard])).code).toBe(2);
    }
  });

  it('of one name in two parts are seen by the part that has the later one', async () => {
    catalog(1);
    place.put('jobs/j2.yaml', RAIL.replace('job: rail', 'job: RAIL-1'));
    const [first, second] = await Promise.all(
      ['1/2', '2/2'].map((shard) => place.kerfwright(['build', 'jobs', '--shard', shard, ...argv])),
    );
    expect([first?.code, second?.code]).toEqual([0, 2]);
    expect(second?.err).toContain('jobs/j1.yaml has the job name RAIL-1 too');
  });

  it('end with an account of all of them, and what failed', async () => {
    catalog(2);
    place.put('jobs/bad.yaml', BAD_RAIL);
    const first = await place.kerfwright(['build', 'jobs', ...argv]);
    expect(first.err).toContain('3 jobs: 2 with new files, 0 unchanged, 1 failed\n  failed: jobs/bad.yaml\n');
    const again = await place.kerfwright(['build', 'jobs', ...argv, '--set', 'shop.wall=5']);
    expect(again.err).toContain('3 jobs: 2 with new files, 0 unchanged, 1 failed, 2 tools to print again\n');
    expect((await place.kerfwright(['build', 'jobs', ...argv, '-q'])).err).not.toContain('3 jobs');
  });

  it('show on a terminal how far the run is, and nowhere else', async () => {
    catalog(2);
    const { err } = await place.kerfwright(['build', 'jobs', '--dry-run', ...argv], { stderrIsTerminal: true });
    expect(err).toContain('\r\u001b[K[2/2] jobs/j2.yaml\r\u001b[K');
    for (const more of [[], ['-q']]) {
      const plain = await place.kerfwright(['build', 'jobs', '--dry-run', ...argv, ...more], {
        stderrIsTerminal: more.length > 0,
      });
      expect(plain.err).not.toContain('[1/2]');
    }
  });
});

describe('a job with variants', () => {
  const VARIED = `${RAIL}variants:
  wide: { sections.post.od: 44 }
  steep: { joints.1.trim.miter: 30 }
`;
  const argv = ['build', 'rail.yaml', '--format', 'stl'];

  it('makes one set of tools for each, and again only what one of them changes', async () => {
    place.put('rail.yaml', VARIED);
    const { code, out } = await place.kerfwright(argv);
    expect(code).toBe(0);
    expect(made('out').filter((name) => !name.includes('/'))).toEqual(['rail-steep', 'rail-wide']);
    expect(out.trim().split('\n')).toHaveLength(4);
    const guide = (variant: string): string => sha256(place.bytes(`out/rail-${variant}/${GUIDE}.stl`));
    expect(guide('wide')).not.toBe(guide('steep'));
    expect((await place.kerfwright(argv)).err).toContain('2 jobs: 0 with new files, 2 unchanged, 0 failed');
    place.put('rail.yaml', VARIED.replace('miter: 30', 'miter: 35'));
    const again = await place.kerfwright(argv);
    expect(again.out.trim()).toBe(`out/rail-steep/${GUIDE}.stl`);
  });

  it('is made like the job with the same values set', async () => {
    place.put('rail.yaml', VARIED);
    await place.kerfwright(argv);
    place.put('rail.yaml', RAIL.replace('job: rail', 'job: rail-wide'));
    await place.kerfwright([...argv, '--set', 'sections.post.od=44', '--out', 'set']);
    for (const tool of RAIL_TOOLS) {
      expect(sha256(place.bytes(`out/rail-wide/${tool}.stl`))).toBe(sha256(place.bytes(`set/rail-wide/${tool}.stl`)));
    }
  });

  it('tells which variant has a problem, and makes the others', async () => {
    place.put('rail.yaml', VARIED.replace('post.od: 44', 'post.od: -44'));
    const { code, err } = await place.kerfwright(argv);
    expect(code).toBe(1);
    expect(err).toContain('rail.yaml:13:29  field/out-of-range');
    expect(err).toContain('rail.yaml, variant wide: 1 error; nothing was written');
    expect(err).toContain('failed: rail.yaml (wide)');
    expect(made('out').filter((name) => !name.includes('/'))).toEqual(['rail-steep']);
    const check = JSON.parse((await place.kerfwright(['check', 'rail.yaml', '--json'])).out);
    expect(check.jobs.map(({ variant, ok }: { variant: string; ok: boolean }) => [variant, ok])).toEqual([
      ['wide', false],
      ['steep', true],
    ]);
  });

  it('has no one file for --stdout', async () => {
    place.put('rail.yaml', VARIED);
    const { code, err } = await place.kerfwright([...argv, '--only', GUIDE, '--stdout']);
    expect({ code, err }).toEqual({
      code: 2,
      err: 'kerfwright build: --stdout writes one file; this job has 2 variants\n',
    });
  });
});

describe('with --flat', () => {
  const argv = ['build', 'rail.yaml', 'other.yaml', '--flat'];
  const guide = `rail-${GUIDE}`;
  beforeEach(
    () => void place.put('other.yaml', RAIL.replace('job: rail', 'job: other').replace('miter: 20', 'miter: 10')),
  );

  it('puts the files of all jobs into one folder under names of their own, with the same bytes', async () => {
    const { code, out } = await place.kerfwright(argv);
    expect(code).toBe(0);
    const names = ['other', 'rail'].flatMap((job) => [
      ...EVERYTHING.map((name) => `${job}-${name}`),
      `${job}.manifest.json`,
    ]);
    expect(made('out')).toEqual(names.sort());
    expect(out.trim().split('\n').sort()).toEqual(
      names.filter((name) => !name.includes('manifest')).map((name) => `out/${name}`),
    );
    await place.kerfwright(['build', 'rail.yaml', '--out', 'deep']);
    for (const name of EVERYTHING)
      expect(sha256(place.bytes(`out/rail-${name}`))).toBe(sha256(place.bytes(`deep/rail/${name}`)));
  });

  it('keeps, replaces and removes only the files of the job at hand', async () => {
    await place.kerfwright(argv);
    expect((await place.kerfwright(argv)).err).toContain('2 jobs: 0 with new files, 2 unchanged');
    place.put('rail.yaml', RAIL.replace(/ {2}- cope.*\n/, '').replace('miter: 20', 'miter: 30'));
    const { code, out, err } = await place.kerfwright(argv);
    expect({ code, out: out.trim().split('\n') }).toEqual({ code: 0, out: [`out/${guide}.stl`, `out/${guide}.3mf`] });
    expect(err.replace(/\s+/g, ' ')).toContain(`removed rail-${COLLAR}.3mf, rail-${COLLAR}.stl`);
    expect(made('out').filter((name) => name.startsWith('other'))).toHaveLength(5);
  });

  it('keeps a tool that did not change, and lays out plates under the name of the job', async () => {
    await place.kerfwright(argv);
    const { err } = await place.kerfwright([...argv, '--set', 'sections.post.od=44']);
    expect(err.match(/made 1 tool, kept 1/g)).toHaveLength(2);
    const { out } = await place.kerfwright(['build', 'rail.yaml', '--flat', '--plate', '--set', 'sections.post.od=44']);
    expect(out.trim()).toBe('out/rail-plate-1.3mf');
  });

  it('never takes the file of another job for its own', async () => {
    // Job rail-end with tool x and job rail with tool end-x would both be rail-end-x.
    const tools = (name: string): string => `tools:\n  - saw-guide: { end: rail.end, name: ${name} }\n`;
    place.put('rail.yaml', RAIL + tools('end-x'));
    place.put('other.yaml', RAIL.replace('job: rail', 'job: rail-end').replace('miter: 20', 'miter: 10') + tools('x'));
    const { code, err } = await place.kerfwright([...argv, '--format', 'stl']);
    expect(code).toBe(2);
    expect(err).toContain('out/rail-end-x.stl is in the way');
    expect(made('out')).toEqual(['rail-end-x.stl', 'rail.manifest.json']);
  });
});
