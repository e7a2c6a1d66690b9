import { spawnSync } from 'node:child_process';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { type Bench, bench } from './bench.ts';

let place: Bench;
beforeEach(() => {
  place = bench();
});
afterEach(() => place.clear());

/** What bash offers for a line, with the cursor at its end. */
async function bashOffers(line: string): Promise<readonly string[]> {
  place.put('complete.bash', (await place.kerfwright(['completion', 'bash'])).out);
  const words = line.split(' ');
  const script = `source complete.bash; COMP_WORDS=(${words.map((word) => `"${word}"`).join(' ')}); COMP_CWORD=${words.length - 1}; _kerfwright; printf '%s\\n' "\${COMPREPLY[@]}"`;
  const { stdout, stderr } = spawnSync('bash', ['--norc', '-c', script], { cwd: place.folder, encoding: 'utf8' });
  expect(stderr).toBe('');
  return stdout
    .split('\n')
    .filter((word) => word !== '')
    .sort();
}

describe('completion', () => {
  it('offers commands, options, job files and folders in bash', async () => {
    place.put('rail.yaml', 'job: rail');
    place.put('rail.txt', '');
    expect(await bashOffers('kerfwright b')).toEqual(['build']);
    expect(await bashOffers('kerfwright build --th')).toEqual(['--threads']);
    expect(await bashOffers('kerfwright build ra')).toEqual(['rail.yaml']);
    expect(await bashOffers('kerfwright build --format ')).toEqual([]);
    expect(await bashOffers('kerfwright completion z')).toEqual(['zsh']);
    expect(await bashOffers('kerfwright help wa')).toEqual(['watch']);
  });

  it.each(['bash', 'zsh', 'fish'])('knows every command and option of the help in %s', async (shell) => {
    const { out } = await place.kerfwright(['completion', shell]);
    for (const command of ['build', 'watch', 'check', 'solve', 'init', 'schema', 'completion']) {
      expect(out).toMatch(new RegExp(`\\b${command}\\b`));
      const help = (await place.kerfwright([command, '--help'])).out;
      const options =
        help
          .slice(help.indexOf('Options:'))
          .split('\n\n')[0]!
          .match(/--[a-z-]+(?=[ ,<])/g) ?? [];
      for (const option of options) expect(out, option).toContain(shell === 'fish' ? `-l ${option.slice(2)}` : option);
    }
    const has = spawnSync(shell, ['-c', 'true']).status === 0;
    place.put('script', out);
    if (has)
      expect(spawnSync(shell, ['-n', join(place.folder, 'script')], { encoding: 'utf8' })).toMatchObject({
        status: 0,
        stderr: '',
      });
  });

  it('refuses a shell it does not know', async () => {
    expect(await place.kerfwright(['completion', 'csh'])).toMatchObject({ code: 2, out: '' });
  });
});
