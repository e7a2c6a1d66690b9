import { type ChildProcess, spawn } from 'node:child_process';
import { renameSync, rmSync, unlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { nodeFiles } from '../../src/cli/io.ts';
import { BAD_RAIL, type Bench, bench, byHand, RAIL, RAIL_TOOLS } from './bench.ts';

const BIN = new URL('../../bin/kerfwright.js', import.meta.url).pathname;
const [GUIDE] = RAIL_TOOLS;

let place: Bench;
let watching: ReturnType<typeof watch> | undefined;
beforeEach(() => {
  place = bench();
  place.put('rail.yaml', RAIL);
});
afterEach(() => {
  watching?.process.kill('SIGKILL');
  watching = undefined;
  place.clear();
});

/** `kerfwright watch` in a process of its own, and a wait for what it says next. */
function watch(...argv: readonly string[]) {
  const child: ChildProcess = spawn(process.execPath, [BIN, 'watch', ...argv, '--only', GUIDE, '--format', 'stl'], {
    cwd: place.folder,
  });
  let told = '';
  let heard = 0;
  let more = (): void => undefined;
  for (const stream of [child.stdout, child.stderr]) {
    stream?.on('data', (data) => {
      told += String(data);
      more();
    });
  }
  const ended = new Promise<number | null>((resolve) => child.on('exit', (code) => resolve(code)));
  /** Goes on with the very piece of output that says it: a save that follows comes as fast as a save can come. */
  const says = (what: string): Promise<string> =>
    new Promise((resolve, reject) => {
      const late = setTimeout(
        () => reject(new Error(`never said ${JSON.stringify(what)} after:\n${told.slice(heard)}`)),
        60_000,
      );
      more = () => {
        const at = told.indexOf(what, heard);
        if (at < 0) return;
        const passed = told.slice(heard, at + what.length);
        heard = at + what.length;
        more = () => undefined;
        clearTimeout(late);
        resolve(passed);
      };
      more();
    });
  return { process: child, says, ended };
}

const longer = (by: number): string =>
  RAIL.replace('at: 280', `at: ${280 + by}`).replace('miter: 20', `miter: ${20 + by}`);

describe('watch', () => {
  it('builds, builds again on every save, and ends with 130 on Ctrl-C', async () => {
    watching = watch('rail.yaml');
    await watching.says(`out/rail/${GUIDE}.stl`);
    await watching.says('Ctrl-C stops');
    const first = place.bytes(`out/rail/${GUIDE}.stl`);
    writeFileSync(join(place.folder, 'rail.yaml'), longer(1));
    await watching.says('print again');
    expect(Buffer.compare(place.bytes(`out/rail/${GUIDE}.stl`), first)).not.toBe(0);
    watching.process.kill('SIGINT');
    expect(await watching.ended).toBe(130);
    expect(place.all('out/rail')).toEqual(['manifest.json', `${GUIDE}.stl`]);
  });

  it('sees a save that puts a new file in the place of the old one, twice', async () => {
    watching = watch('rail.yaml');
    await watching.says('Ctrl-C stops');
    for (const by of [2, 3]) {
      place.put('.rail.yaml.swp', longer(by));
      renameSync(join(place.folder, '.rail.yaml.swp'), join(place.folder, 'rail.yaml'));
      await watching.says('print again');
    }
  });

  it('shows problems, keeps the last good files, and says when the problems are gone', async () => {
    watching = watch('rail.yaml');
    await watching.says('Ctrl-C stops');
    const before = place.bytes(`out/rail/${GUIDE}.stl`);
    place.put('rail.yaml', BAD_RAIL);
    await watching.says('field/out-of-range');
    await watching.says('the last good files stay in out/rail');
    expect(Buffer.compare(place.bytes(`out/rail/${GUIDE}.stl`), before)).toBe(0);
    place.put('rail.yaml', RAIL);
    await watching.says('rail.yaml: the problems are gone');
    expect(Buffer.compare(place.bytes(`out/rail/${GUIDE}.stl`), before)).toBe(0);
  });

  it('sees the second of two saves that follow at once, whatever moment that is', async () => {
    watching = watch('rail.yaml');
    await watching.says('Ctrl-C stops');
    for (const [ms, by] of [
      [10, 4],
      [25, 5],
      [40, 6],
    ] as const) {
      place.put('rail.yaml', BAD_RAIL);
      await new Promise((resolve) => setTimeout(resolve, ms));
      place.put('rail.yaml', longer(by));
      await watching.says('print again');
    }
  });

  it('looks again after a while, because the watcher tells nothing of a save that follows another at once', async () => {
    const hand = byHand();
    const told: string[] = [];
    const run = place.kerfwright(['watch', 'rail.yaml', '--only', GUIDE, '--format', 'stl'], {
      watching: hand.watching,
      heard: (text) => {
        told.push(text);
        if (text.includes('Ctrl-C stops')) {
          place.put('rail.yaml', BAD_RAIL);
          hand.changed();
        }
        // The event that the watcher swallows.
        if (text.includes('the last good files stay')) place.put('rail.yaml', longer(1));
        if (text.includes('the problems are gone')) hand.stopped();
      },
    });
    expect((await run).code).toBe(130);
    expect(told.join('')).toContain('print again');
  });

  it('takes in new jobs of a folder, one bad one among them, and keeps the files of a job that goes away', async () => {
    watching = watch('.');
    await watching.says('Ctrl-C stops');
    place.put('bad.yaml', BAD_RAIL);
    await watching.says('field/out-of-range');
    place.put('second.yaml', RAIL.replace('job: rail', 'job: second'));
    await watching.says(`out/second/${GUIDE}.stl`);
    unlinkSync(join(place.folder, 'rail.yaml'));
    await watching.says('rail.yaml: the job file is gone; its files stay in out/rail');
    expect(place.all('out').filter((name) => name.endsWith('.stl'))).toHaveLength(2);
  });

  it('tells a job file that goes away between being listed and being read as gone, not as one with problems', async () => {
    const hand = byHand();
    let vanishes = false;
    const told: string[] = [];
    const { code } = await place.kerfwright(['watch', '.', '--only', GUIDE, '--format', 'stl'], {
      files: {
        read: (path, most) => {
          if (vanishes && path.endsWith('rail.yaml')) rmSync(path, { force: true });
          return nodeFiles.read(path, most);
        },
      },
      watching: hand.watching,
      heard: (text) => {
        told.push(text);
        if (text.includes('Ctrl-C stops')) {
          vanishes = true;
          hand.changed();
        }
        if (text.includes('the job file is gone')) hand.stopped();
      },
    });
    expect(code).toBe(130);
    expect(told.join('')).toContain('rail.yaml: the job file is gone; its files stay in out/rail');
    expect(told.join('')).not.toContain('the last good files stay');
  });

  it('refuses standard input and a file that is not there', async () => {
    expect(await place.kerfwright(['watch', '-'])).toMatchObject({ code: 2 });
    watching = watch('none.yaml');
    await watching.says('there is no such file or folder');
    expect(await watching.ended).toBe(2);
  });
});
