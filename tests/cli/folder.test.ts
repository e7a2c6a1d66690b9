import { existsSync, lstatSync, mkdirSync, readFileSync, readlinkSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { deliver } from '../../src/cli/deliver.ts';
import { inspectFolder, isSafeName, planFolder } from '../../src/cli/folder.ts';
import { type Files, nodeFiles } from '../../src/cli/io.ts';
import { OWN_FOLDER } from '../../src/cli/job-place.ts';
import type { OutputFile } from '../../src/cli/output-file.ts';
import { MANIFEST_NAME, type ManifestFile, manifestText, sha256 } from '../../src/export/manifest.ts';
import { type Bench, bench } from './bench.ts';

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text);

/** A job's files with a manifest that tells the truth about them. */
function filesOf(contents: Readonly<Record<string, string>>): readonly OutputFile[] {
  const files = Object.entries(contents).map(([name, text]) => ({ name, bytes: bytes(text) }));
  const entries = files.map(
    (file): ManifestFile => ({
      name: file.name,
      format: 'stl',
      sha256: sha256(file.bytes),
      bytes: file.bytes.length,
      parts: [],
    }),
  );
  const settings = { formats: ['stl'], plate: false, only: [] };
  const manifest = manifestText({
    madeBy: 'test',
    program: 'p',
    job: 'j',
    input: { sha256: sha256(''), sets: [] },
    settings,
    warnings: [],
    files: entries,
    tools: [],
  });
  return [...files, { name: MANIFEST_NAME, bytes: bytes(manifest) }];
}

let place: Bench;
let folder: string;
let serial = 0;
beforeEach(() => {
  place = bench();
  folder = join(place.folder, 'out', 'j');
});
afterEach(() => place.clear());

interface Ways {
  readonly files?: Partial<Files>;
  readonly force?: boolean;
}

/** Plans and carries out; tells the codes of what was refused, or nothing. */
function put(contents: Readonly<Record<string, string>>, { files = {}, force = false }: Ways = {}): readonly string[] {
  const all = { ...nodeFiles, ...files };
  const state = inspectFolder(all, folder, { job: 'j', names: OWN_FOLDER });
  if (!state.value) return state.problems.map((p) => p.code);
  const plan = planFolder(all, state.value, { files: filesOf(contents), keep: () => false, force });
  if (!plan.value) return plan.problems.map((p) => p.code);
  return deliver(all, plan.value, () => `t${serial++}`).map((p) => p.code);
}

const read = (name: string): string => readFileSync(join(folder, name), 'utf8');
const fail = (code: string): never => {
  throw Object.assign(new Error(`${code}: made to fail`), { code });
};

describe('the folder of a job', () => {
  it('is made with its files and nothing else', () => {
    expect(put({ 'a.stl': 'A', 'b.stl': 'B' })).toEqual([]);
    expect(place.all('out/j')).toEqual(['a.stl', 'b.stl', MANIFEST_NAME]);
  });

  it('keeps the time of files whose bytes stay, and of all when nothing changes', () => {
    put({ 'a.stl': 'A', 'b.stl': 'B' });
    const before = ['a.stl', 'b.stl', MANIFEST_NAME].map((name) => lstatSync(join(folder, name), { bigint: true }));
    expect(put({ 'a.stl': 'A', 'b.stl': 'B' })).toEqual([]);
    const after = ['a.stl', 'b.stl', MANIFEST_NAME].map((name) => lstatSync(join(folder, name), { bigint: true }));
    expect(after.map((s) => [s.ino, s.mtimeNs])).toEqual(before.map((s) => [s.ino, s.mtimeNs]));
    put({ 'a.stl': 'A', 'b.stl': 'new' });
    expect(lstatSync(join(folder, 'a.stl'), { bigint: true }).mtimeNs).toBe(before[0]?.mtimeNs);
    expect(read('b.stl')).toBe('new');
  });

  it('loses a file that is no longer made, if it is still ours', () => {
    put({ 'a.stl': 'A', 'b.stl': 'B' });
    expect(put({ 'a.stl': 'A' })).toEqual([]);
    expect(place.all('out/j')).toEqual(['a.stl', MANIFEST_NAME]);
  });

  it('keeps a file that is no longer made, if somebody changed it', () => {
    put({ 'a.stl': 'A', 'b.stl': 'B' });
    writeFileSync(join(folder, 'b.stl'), 'mine now');
    expect(put({ 'a.stl': 'A' })).toEqual([]);
    expect(read('b.stl')).toBe('mine now');
  });

  it('never replaces a file that is not ours, unless forced', () => {
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, 'a.stl'), 'foreign');
    expect(put({ 'a.stl': 'A' })).toEqual(['output/exists']);
    expect(place.all('out/j')).toEqual(['a.stl']);
    expect(read('a.stl')).toBe('foreign');
    expect(put({ 'a.stl': 'A' }, { force: true })).toEqual([]);
    expect(read('a.stl')).toBe('A');
  });

  it('never replaces a file of ours that was changed since, unless forced', () => {
    put({ 'a.stl': 'A' });
    writeFileSync(join(folder, 'a.stl'), 'filed down by hand');
    expect(put({ 'a.stl': 'A2' })).toEqual(['output/exists']);
    expect(read('a.stl')).toBe('filed down by hand');
  });

  it('does not take a manifest of another program, or of another job, for ours', () => {
    mkdirSync(folder, { recursive: true });
    writeFileSync(join(folder, MANIFEST_NAME), '{"name":"web app","icons":[]}');
    expect(put({ 'a.stl': 'A' })).toEqual(['output/exists']);
    const other = filesOf({}).at(-1)!;
    writeFileSync(
      join(folder, MANIFEST_NAME),
      new TextDecoder().decode(other.bytes).replace('"job": "j"', '"job": "k"'),
    );
    expect(put({ 'a.stl': 'A' })).toEqual(['output/exists']);
    expect(place.all('out/j')).toEqual([MANIFEST_NAME]);
  });

  it('is refused when it is a file, or a link to somewhere else', () => {
    mkdirSync(join(place.folder, 'out'));
    writeFileSync(folder, 'a file');
    expect(put({ 'a.stl': 'A' })).toEqual(['output/unwritable']);
    expect(readFileSync(folder, 'utf8')).toBe('a file');
    nodeFiles.remove(folder);
    const elsewhere = join(place.folder, 'elsewhere');
    mkdirSync(elsewhere);
    symlinkSync(elsewhere, folder);
    expect(put({ 'a.stl': 'A' })).toEqual(['output/unsafe-name']);
    expect(place.all('elsewhere')).toEqual([]);
  });

  it('cannot be made below a file', () => {
    writeFileSync(join(place.folder, 'out'), 'a file');
    expect(put({ 'a.stl': 'A' })).toEqual(['output/unwritable']);
    expect(place.all()).toEqual(['out']);
  });

  it('is written without following a link that lies where a file goes', () => {
    const victim = join(place.folder, 'victim');
    writeFileSync(victim, 'precious');
    mkdirSync(folder, { recursive: true });
    symlinkSync(victim, join(folder, 'a.stl'));
    expect(put({ 'a.stl': 'A' })).toEqual(['output/exists']);
    expect(readlinkSync(join(folder, 'a.stl'))).toBe(victim);
    expect(put({ 'a.stl': 'A' }, { force: true })).toEqual([]);
    expect(readFileSync(victim, 'utf8')).toBe('precious');
    expect(lstatSync(join(folder, 'a.stl')).isFile()).toBe(true);
  });

  it('does not take a link for its own file, though the bytes behind it are the same', () => {
    writeFileSync(join(place.folder, 'same'), 'A');
    mkdirSync(folder, { recursive: true });
    symlinkSync(join(place.folder, 'same'), join(folder, 'a.stl'));
    expect(put({ 'a.stl': 'A' })).toEqual(['output/exists']);
  });

  it('does not lose what a folder in the place of a file holds, even forced', () => {
    mkdirSync(join(folder, 'a.stl'), { recursive: true });
    writeFileSync(join(folder, 'a.stl', 'inside'), 'kept');
    expect(put({ 'a.stl': 'A' }, { force: true })).toEqual(['output/unwritable']);
    expect(read('a.stl/inside')).toBe('kept');
  });

  it('is not left by a name out of a manifest that was tampered with', () => {
    put({ 'a.stl': 'A', 'b.stl': 'B' });
    const victim = join(place.folder, 'out', 'victim.stl');
    writeFileSync(victim, 'B');
    writeFileSync(join(folder, MANIFEST_NAME), read(MANIFEST_NAME).replace('"b.stl"', '"../victim.stl"'));
    expect(put({ 'a.stl': 'A' })).toEqual([]);
    expect(existsSync(victim)).toBe(true);
  });

  it.each([
    '../a.stl',
    '/etc/a',
    '.hidden',
    'a/b.stl',
    'a\\b.stl',
    'con.stl',
    'NUL',
    '',
    'a\u0000b',
    'a\nb',
    '..',
    'a.',
  ])('takes no file named %j', (name) => {
    expect(isSafeName(name)).toBe(false);
    expect(put({ [name]: 'A' })).toEqual(['output/unsafe-name']);
    expect(place.all()).toEqual([]);
  });

  it('takes the longest names a job can give', () => {
    expect(isSafeName(`${'x'.repeat(63)}.stl`)).toBe(true);
    expect(isSafeName(`${'x'.repeat(64)}-notch-collar-a.3mf`)).toBe(true);
  });
});

describe('writing that fails', () => {
  const snapshot = (): object =>
    Object.fromEntries(place.all('out/j').map((name) => [name, [read(name), lstatSync(join(folder, name)).ino]]));

  it('on a full disk leaves the old files and no temporary ones', () => {
    put({ 'a.stl': 'A', 'b.stl': 'B' });
    const before = snapshot();
    let writes = 0;
    const writeNew: Files['writeNew'] = (path, data) => {
      nodeFiles.writeNew(path, data.subarray(0, 1));
      if (++writes === 2) fail('ENOSPC');
    };
    expect(put({ 'a.stl': 'A2', 'b.stl': 'B2' }, { files: { writeNew } })).toEqual(['output/unwritable']);
    expect(snapshot()).toEqual(before);
  });

  it('leaves no folder behind that it made', () => {
    expect(put({ 'a.stl': 'A' }, { files: { writeNew: () => fail('ENOSPC') } })).toEqual(['output/unwritable']);
    expect(place.all()).toEqual([]);
  });

  it.each([1, 2, 3, 4, 5])('at rename %i puts back what was renamed before', (failing) => {
    put({ 'a.stl': 'A', 'b.stl': 'B', 'gone.stl': 'G' });
    const before = place.all('out/j').map((name) => [name, read(name)]);
    let renames = 0;
    const rename: Files['rename'] = (from, to) => (++renames === failing ? fail('EACCES') : nodeFiles.rename(from, to));
    const codes = put({ 'a.stl': 'A2', 'b.stl': 'B2', 'new.stl': 'N' }, { files: { rename } });
    expect(codes).toEqual(['output/unwritable']);
    expect(place.all('out/j').map((name) => [name, read(name)])).toEqual(before);
  });

  it.each([1, 2, 3, 4, 5])('for good at rename %i (power cut) is mended by the next build', (cut) => {
    put({ 'a.stl': 'A', 'b.stl': 'B' });
    let renames = 0;
    let dead = false;
    const guard =
      <T extends unknown[]>(call: (...args: T) => void) =>
      (...args: T): void => {
        if (dead) fail('EIO');
        call(...args);
      };
    const files: Partial<Files> = {
      rename: guard((from: string, to: string) => {
        dead = ++renames === cut;
        return dead ? fail('EIO') : nodeFiles.rename(from, to);
      }),
      writeNew: guard(nodeFiles.writeNew),
      remove: guard(nodeFiles.remove),
    };
    put({ 'a.stl': 'A2', 'b.stl': 'B2', 'c.stl': 'C2' }, { files });
    expect(put({ 'a.stl': 'A3', 'b.stl': 'B3' })).toEqual([]);
    expect([read('a.stl'), read('b.stl')]).toEqual(['A3', 'B3']);
    expect(place.all('out/j').filter((name) => name.startsWith('.'))).toEqual([]);
  });

  it('gives the manifest its name last', () => {
    const order: string[] = [];
    const rename: Files['rename'] = (from, to) => {
      order.push(to);
      nodeFiles.rename(from, to);
    };
    put({ 'z.stl': 'Z', 'a.stl': 'A' }, { files: { rename } });
    expect(order.at(-1)).toBe(join(folder, MANIFEST_NAME));
    expect(order.filter((path) => path.endsWith('.stl'))).toHaveLength(2);
  });

  it('shows a watcher no model file before all bytes are on the disk', () => {
    const written: string[] = [];
    const writeNew: Files['writeNew'] = (path, data) => {
      written.push(path);
      expect(existsSync(join(folder, 'a.stl'))).toBe(false);
      nodeFiles.writeNew(path, data);
    };
    put({ 'a.stl': 'A', 'b.stl': 'B' }, { files: { writeNew } });
    expect(written).toHaveLength(4);
    for (const path of written) expect(path).toMatch(/[\\/]\.kerfwright-[0-9a-z]+\.part$/);
  });

  it('leaves temporary files that the next build clears away', () => {
    put({ 'a.stl': 'A' });
    writeFileSync(join(folder, '.kerfwright-0123abcd.part'), 'half a file');
    writeFileSync(join(folder, '.kerfwright-not ours.txt'), 'kept');
    expect(put({ 'a.stl': 'A' })).toEqual([]);
    expect(place.all('out/j')).toEqual(['.kerfwright-not ours.txt', 'a.stl', MANIFEST_NAME]);
  });
});
