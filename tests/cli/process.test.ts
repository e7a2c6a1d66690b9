import { execFile, spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { join } from 'node:path';
import { promisify } from 'node:util';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { sha256 } from '../../src/export/manifest.ts';
import { type Bench, bench, RAIL, RAIL_TOOLS } from './bench.ts';

const ROOT = new URL('../../', import.meta.url).pathname;
const BIN = join(ROOT, 'bin', 'kerfwright.js');
const [GUIDE] = RAIL_TOOLS;

let place: Bench;
beforeEach(() => {
  place = bench();
  place.put('rail.yaml', RAIL);
});
afterEach(() => place.clear());

const kerfwright = (argv: readonly string[], more: { env?: NodeJS.ProcessEnv; input?: string } = {}) =>
  spawnSync(process.execPath, [BIN, ...argv], {
    cwd: place.folder,
    env: { ...process.env, ...more.env },
    ...(more.input === undefined ? {} : { input: more.input }),
  });

const shell = (script: string) =>
  spawnSync('bash', ['-c', script.replaceAll('kerfwright', `"${process.execPath}" "${BIN}"`)], {
    cwd: place.folder,
    encoding: 'utf8',
  });

describe('the program as a process', () => {
  it('makes the same bytes as another process, in another time zone and language', () => {
    const first = kerfwright(['build', 'rail.yaml', '--out', 'a', '--plate'], { env: { TZ: 'UTC', LANG: 'C' } });
    const second = kerfwright(['build', 'rail.yaml', '--out', 'b', '--plate'], {
      env: { TZ: 'Pacific/Kiritimati', LANG: 'de_DE.UTF-8', LC_ALL: 'tr_TR.UTF-8' },
    });
    expect([first.status, second.status]).toEqual([0, 0]);
    expect(place.all('a')).toEqual(place.all('b'));
    const files = place.all('a/rail');
    expect(files.length).toBeGreaterThanOrEqual(6);
    for (const name of files) {
      expect(sha256(place.bytes(`a/rail/${name}`)), name).toBe(sha256(place.bytes(`b/rail/${name}`)));
    }
  });

  it('makes the same bytes, and tells the same, with any number of threads', () => {
    const [one, two, five] = [1, 2, 5].map((n) =>
      kerfwright(['build', 'rail.yaml', '--out', `with-${n}`, '--plate', '--threads', String(n)]),
    );
    expect([one?.status, two?.status, five?.status]).toEqual([0, 0, 0]);
    const files = place.all('with-1/rail');
    expect(files.length).toBeGreaterThanOrEqual(6);
    for (const [n, run] of [[2, two] as const, [5, five] as const]) {
      expect(place.all(`with-${n}/rail`)).toEqual(files);
      for (const name of files) {
        expect(sha256(place.bytes(`with-${n}/rail/${name}`)), name).toBe(sha256(place.bytes(`with-1/rail/${name}`)));
      }
      for (const stream of ['stdout', 'stderr'] as const) {
        expect(run?.[stream].toString().replaceAll(`with-${n}`, 'with-1')).toBe(one?.[stream].toString());
      }
    }
  });

  it.each([
    ['xargs', 'seq 2 | xargs -P 2 -I %'],
    ['GNU parallel', 'seq 2 | parallel --will-cite -j 2 -I %'],
  ])('is run in parts by %s, and the parts make up the whole', (_, runner) => {
    for (let i = 1; i <= 3; i++) place.put(`j${i}.yaml`, RAIL.replace('job: rail', `job: rail-${i}`));
    const jobs = `j*.yaml --only ${GUIDE} --format stl`;
    expect(shell(`kerfwright build ${jobs} --out whole`).status).toBe(0);
    const parts = shell(`${runner} kerfwright build ${jobs} --out parts --shard %/2 --threads 1`);
    expect({ status: parts.status, err: parts.stderr }).toMatchObject({ status: 0 });
    expect(shell('diff -r whole parts').stdout).toBe('');
    expect(place.all('parts').filter((name) => name.endsWith('.stl'))).toHaveLength(3);
  });

  it.each(['0', '-1', '1.5', 'many', '65', ''])('refuses %j threads', (threads) => {
    const { status, stderr } = kerfwright(['build', 'rail.yaml', '--threads', threads]);
    expect({ status, err: stderr.toString() }).toMatchObject({ status: 2, err: expect.stringContaining('--threads') });
  });

  it('reads a pipe and writes one, byte for byte', () => {
    const piped = kerfwright(['build', '-', '--only', GUIDE, '--format', 'stl', '--stdout'], { input: RAIL });
    expect(piped.status).toBe(0);
    kerfwright(['build', 'rail.yaml', '--only', GUIDE, '--format', 'stl']);
    expect(sha256(piped.stdout)).toBe(sha256(place.bytes(`out/rail/${GUIDE}.stl`)));
    expect(piped.stderr.toString()).toBe('');
  });

  it.each([
    [['check', 'rail.yaml'], 0],
    [['check', 'rail.yaml', '--set', 'sections.tube.od=-1'], 1],
    [['check', 'nowhere.yaml'], 2],
    [['chek'], 2],
  ])('%j exits with %i', (argv, code) => {
    expect(kerfwright(argv).status).toBe(code);
  });

  it('does not mind a reader that stops reading', () => {
    const ran = shell('kerfwright schema | true; echo "$PIPESTATUS"');
    expect({ out: ran.stdout, err: ran.stderr }).toEqual({ out: '0\n', err: '' });
  });

  it.runIf(existsSync('/dev/full'))('says so when standard output cannot be written, exit 2', () => {
    const ran = shell('kerfwright schema > /dev/full');
    expect(ran.status).toBe(2);
    expect(ran.stderr).toContain('standard output: ENOSPC');
  });

  it('leaves whole files or none when it is killed at any moment', async () => {
    kerfwright(['build', 'rail.yaml', '--format', 'stl']);
    const old = new Map(place.all('out/rail').map((name) => [name, sha256(place.bytes(`out/rail/${name}`))]));
    const argv = ['build', 'rail.yaml', '--format', 'stl', '--set', 'sections.tube.od=31'];
    for (const timeout of [200, 600, 1000, 1400]) {
      await promisify(execFile)(process.execPath, [BIN, ...argv], {
        cwd: place.folder,
        timeout,
        killSignal: 'SIGKILL',
      }).catch(() => undefined);
      for (const name of place.all('out/rail').filter((file) => !file.startsWith('.'))) {
        expect(place.bytes(`out/rail/${name}`).length).toBeGreaterThan(0);
      }
    }
    expect(kerfwright(argv).status).toBe(0);
    const now = place.all('out/rail');
    expect(now).toEqual([...old.keys()]);
    expect(now.filter((name) => sha256(place.bytes(`out/rail/${name}`)) === old.get(name))).toEqual([]);
  });

  it('shows its help without loading what reads and builds jobs', () => {
    const ran = shell(
      'NODE_DEBUG=esm kerfwright --help 2>&1 >/dev/null | grep -oE "node_modules/(@?[a-z-]+)" | sort -u; exit 0',
    );
    expect(ran.stdout.trim()).toMatch(/^(node_modules\/commander)?$/);
  });
});
