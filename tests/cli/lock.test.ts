import { spawn } from 'node:child_process';
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { LOCK_NAME } from '../../src/cli/lock.ts';
import { readManifest, sha256 } from '../../src/export/manifest.ts';
import { type Bench, bench, RAIL, RAIL_TOOLS } from './bench.ts';

const BIN = new URL('../../bin/kerfwright.js', import.meta.url).pathname;
const [GUIDE] = RAIL_TOOLS;
const argv = ['build', 'rail.yaml', '--only', GUIDE, '--format', 'stl'];

let place: Bench;
beforeEach(() => {
  place = bench();
  place.put('rail.yaml', RAIL);
});
afterEach(() => place.clear());

const lock = (holder: object | string): void => {
  mkdirSync(join(place.folder, 'out/rail'), { recursive: true });
  writeFileSync(
    join(place.folder, 'out/rail', LOCK_NAME),
    typeof holder === 'string' ? holder : JSON.stringify(holder),
  );
};
const held = { process: 77, host: 'here', mark: 'theirs' };

describe('two builds into one folder', () => {
  it('wait for each other, and the one that waits in vain writes nothing and says what to do', async () => {
    lock(held);
    let waited = 0;
    const pause = (ms: number): void => {
      waited += ms;
    };
    const { code, err } = await place.kerfwright(argv, { self: { pause } });
    expect(code).toBe(2);
    expect(err.replaceAll(/\s+/g, ' ')).toContain(
      `out/rail/${LOCK_NAME}: another build has been writing into this folder for more than 20 s`,
    );
    expect(waited).toBeGreaterThanOrEqual(20_000);
    expect(place.all('out/rail')).toEqual([LOCK_NAME]);
  });

  it('go on when the other is done', async () => {
    lock(held);
    let rounds = 0;
    const pause = (): void => {
      if (++rounds === 3) place.remove(`out/rail/${LOCK_NAME}`);
    };
    expect((await place.kerfwright(argv, { self: { pause } })).code).toBe(0);
    expect(place.all('out/rail')).toEqual([`${GUIDE}.stl`, 'manifest.json'].sort());
  });

  it('take away the lock of a build that was killed here, and of no other', async () => {
    for (const holder of [{ ...held, host: 'elsewhere' }, '', '{"process":"77"}']) {
      lock(holder);
      expect((await place.kerfwright(argv, { self: { isAlive: () => false } })).code).toBe(2);
    }
    lock(held);
    expect((await place.kerfwright(argv, { self: { isAlive: () => false } })).code).toBe(0);
    expect(place.all('out/rail')).not.toContain(LOCK_NAME);
  });

  it('need no lock when there is nothing to write', async () => {
    await place.kerfwright(argv);
    lock(held);
    expect((await place.kerfwright(argv)).code).toBe(0);
    expect((await place.kerfwright([...argv, '--dry-run', '--set', 'shop.wall=5'])).code).toBe(0);
  });

  it('leave one whole set of files, whichever comes last', async () => {
    const builds = ['4', '5', '4.5', '6'].map(
      (wall) =>
        new Promise<number | null>((resolve) => {
          const child = spawn(process.execPath, [BIN, ...argv, '--set', `shop.wall=${wall}`, '--threads', '1'], {
            cwd: place.folder,
          });
          child.on('exit', resolve);
        }),
    );
    expect(await Promise.all(builds)).toEqual([0, 0, 0, 0]);
    const manifest = readManifest(place.text('out/rail/manifest.json'));
    expect(manifest?.files.map((file) => [file.name, file.sha256])).toEqual([
      [`${GUIDE}.stl`, sha256(place.bytes(`out/rail/${GUIDE}.stl`))],
    ]);
    expect(place.all('out/rail')).toEqual([`${GUIDE}.stl`, 'manifest.json'].sort());
  });
});
