import { execFileSync } from 'node:child_process';
import { cpSync, existsSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, relative } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { RAIL, RAIL_TOOLS } from './bench.ts';

const ROOT = new URL('../../', import.meta.url).pathname;
const [GUIDE] = RAIL_TOOLS;

/** An empty folder with the packed program and what it needs to run, and nothing that it needs to be built. */
let place: string;
const inPlace = (file: string, argv: readonly string[]): string =>
  execFileSync(file, argv, { cwd: place, encoding: 'utf8', stdio: ['ignore', 'pipe', 'pipe'] });

beforeAll(() => {
  place = mkdtempSync(join(tmpdir(), 'kerfwright-packed-'));
  execFileSync('npm', ['pack', '--ignore-scripts', '--silent', '--pack-destination', place], { cwd: ROOT });
  const own = join(place, 'node_modules', 'kerfwright');
  mkdirSync(own, { recursive: true });
  const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
  execFileSync('tar', ['-xzf', join(place, `kerfwright-${version}.tgz`), '-C', own, '--strip-components', '1']);
  const needed = execFileSync('npm', ['ls', '--omit=dev', '--all', '--parseable'], { cwd: ROOT, encoding: 'utf8' });
  for (const path of needed.split('\n').filter((line) => line.includes('node_modules'))) {
    cpSync(path, join(place, relative(ROOT, path)), { recursive: true });
  }
  writeFileSync(join(place, 'rail.yaml'), RAIL);
});
afterAll(() => rmSync(place, { recursive: true, force: true }));

describe('the packed program', () => {
  it('runs a job without anything it was built or tested with', () => {
    expect(existsSync(join(place, 'node_modules', 'typescript'))).toBe(false);
    expect(existsSync(join(place, 'node_modules', 'vitest'))).toBe(false);
    const bin = join('node_modules', 'kerfwright', 'bin', 'kerfwright.js');
    const out = inPlace(process.execPath, [bin, 'build', 'rail.yaml', '-q', '--threads', '2']);
    expect(out.trim().split('\n')).toHaveLength(4);
    expect(inPlace(process.execPath, [bin, '--version'])).toMatch(/^\d+\.\d+\.\d+\n$/);
  });

  it('runs from the code compiled with it, and as well without it or beside code that another node has left', () => {
    const own = join(place, 'node_modules', 'kerfwright');
    const code = join(own, 'dist', 'command', 'program.code');
    const script = `import { loadProgram, tuneCompiler } from '${join(own, 'dist', 'command', 'load.js')}';
      tuneCompiler();
      console.log(loadProgram().script.cachedDataRejected);`;
    const taken = (): string => inPlace(process.execPath, ['--input-type=module', '--eval', script]).trim();
    const version = (): string => inPlace(process.execPath, [join(own, 'bin', 'kerfwright.js'), '--version']);
    const [compiled, told] = [readFileSync(code), version()];
    expect(taken()).toBe('false');
    const foreign = Buffer.from(compiled);
    foreign.writeUInt32LE(foreign.readUInt32LE(4) ^ 1, 4);
    for (const other of [foreign, compiled.subarray(0, compiled.length / 2), Buffer.alloc(0)]) {
      writeFileSync(code, other);
      expect(taken()).toBe('true');
      expect(version()).toBe(told);
    }
    rmSync(code);
    expect(taken()).toBe('undefined');
    expect(version()).toBe(told);
    writeFileSync(code, compiled);
  });

  it('has the 3D view for its job sheets, and the schemas of what it writes', () => {
    const own = join(place, 'node_modules', 'kerfwright');
    const bin = join(own, 'bin', 'kerfwright.js');
    inPlace(process.execPath, [bin, 'build', 'rail.yaml', '-q', '--format', 'html', '--out', 'sheets']);
    const page = readFileSync(join(place, 'sheets', 'rail', 'rail-sheet.html'), 'utf8');
    expect(page).toContain('id="view-data"');
    expect(page).toContain(readFileSync(join(own, 'dist', 'viewer', 'view.js'), 'utf8'));
    const schema = readFileSync(join(own, 'dist', 'schemas', 'solve.schema.json'), 'utf8');
    expect(inPlace(process.execPath, [bin, 'schema', 'solve'])).toBe(schema);
    expect(existsSync(join(place, 'node_modules', 'three'))).toBe(false);
  });

  it('is a library whose files are those of the command line', () => {
    const script = `import { readFileSync, writeFileSync } from 'node:fs';
      import { buildJob, loadJob, solveJob, makeTools } from 'kerfwright';
      const text = readFileSync('rail.yaml', 'utf8');
      const { value } = await buildJob(text, { only: ['${GUIDE}'], formats: ['stl'] });
      for (const { name, bytes } of value.files) writeFileSync('own-' + name, bytes);
      const job = loadJob(text).value;
      console.log(makeTools(solveJob(job).value).value.map(({ name }) => name).join(' '));`;
    expect(inPlace(process.execPath, ['--input-type=module', '-e', script]).trim()).toBe(RAIL_TOOLS.join(' '));
    const [own, built] = [`own-${GUIDE}.stl`, `out/rail/${GUIDE}.stl`].map((name) => readFileSync(join(place, name)));
    expect(Buffer.compare(own!, built!)).toBe(0);
  });

  it('has types that a strict script can use', () => {
    writeFileSync(
      join(place, 'use.mts'),
      `import { buildJob, type BuiltJob, type Problem } from 'kerfwright';
       const { value, problems } = await buildJob('job: x');
       export const built: BuiltJob | undefined = value;
       export const codes: readonly string[] = problems.map((problem: Problem) => problem.code);
       // @ts-expect-error a format there is not
       await buildJob('job: x', { formats: ['obj'] });`,
    );
    const tsc = join(ROOT, 'node_modules', '.bin', 'tsc');
    const types = join(ROOT, 'node_modules', '@types');
    const flags = [
      '--noEmit',
      '--strict',
      '--module',
      'nodenext',
      '--target',
      'es2022',
      '--types',
      'node',
      '--typeRoots',
      types,
    ];
    expect(inPlace(tsc, [...flags, 'use.mts'])).toBe('');
  });

  it('has no dependency with an install script', () => {
    const lock = JSON.parse(readFileSync(join(ROOT, 'package-lock.json'), 'utf8'));
    const scripted = Object.entries<{ dev?: boolean; hasInstallScript?: boolean }>(lock.packages)
      .filter(([path, entry]) => path !== '' && !entry.dev && entry.hasInstallScript)
      .map(([path]) => path);
    expect(scripted).toEqual([]);
  });
});
