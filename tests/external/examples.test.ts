import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { run } from '../../src/cli/run.ts';
import { readStl } from '../../src/export/stl.ts';
import { readThreemf } from '../../src/export/threemf-read.ts';
import { signedVolume } from '../../src/solid/mesh-check.ts';
import { admesh, lib3mfStrict, type SlicerFile, schemaOf3mf, slicerInfo, type Verdict } from './readers.ts';

const EXAMPLES = fileURLToPath(new URL('../../fixtures-examples/', import.meta.url));
const names = readdirSync(EXAMPLES, { withFileTypes: true })
  .filter((entry) => entry.isDirectory() && readdirSync(join(EXAMPLES, entry.name)).includes('job.yaml'))
  .map((entry) => entry.name);

const out = mkdtempSync(join(tmpdir(), 'kerfwright-examples-'));
afterAll(() => rmSync(out, { recursive: true }));

const faultsOf = (verdicts: readonly Verdict[]): readonly string[] =>
  verdicts.flatMap((verdict) =>
    verdict.clean ? [] : [`${verdict.reader} on ${verdict.file}: ${verdict.faults.join('; ')}`],
  );

test('there are the examples the README names', () => {
  expect(names).toEqual(
    expect.arrayContaining(['bench-frame', 'boat-rail', 'cargo-rack', 'dust-wye', 'flue-elbow', 'hood-adapter']),
  );
});

describe.each(names)('example %s, every file through the outside readers', (name) => {
  let files: readonly string[] = [];
  beforeAll(async () => {
    const code = await run([
      'build',
      join(EXAMPLES, name, 'job.yaml'),
      '--out',
      out,
      '--format',
      'stl,3mf',
      '--plate',
      '--threads',
      '1',
      '--quiet',
    ]);
    expect(code).toBe(0);
    files = readdirSync(join(out, name)).map((file) => join(out, name, file));
  });
  const ending = (suffix: string): readonly string[] => files.filter((file) => file.endsWith(suffix));

  test('lib3mf in strict mode reads every 3MF without a warning, meshes closed and oriented', () => {
    expect(ending('.3mf').length).toBeGreaterThan(1);
    expect(faultsOf(ending('.3mf').map(lib3mfStrict))).toEqual([]);
  });

  test("the 3MF Consortium's schema accepts every model", () => {
    expect(faultsOf(ending('.3mf').map(schemaOf3mf))).toEqual([]);
  });

  test('admesh finds nothing to fix, remove or reverse in any STL', () => {
    expect(ending('.stl').length).toBeGreaterThan(0);
    expect(faultsOf(ending('.stl').map(admesh))).toEqual([]);
  });

  test('a slicer calls every part manifold, opens no edge, reverses no facet and finds our volume', () => {
    const bytes = (file: string): Uint8Array => new Uint8Array(readFileSync(file));
    const jobs: readonly SlicerFile[] = [
      ...ending('.stl').map((file) => ({ path: file, items: 1, volume: signedVolume(readStl(bytes(file))) })),
      ...ending('.3mf').map((file) => {
        const read = readThreemf(bytes(file));
        const volume = read.items.reduce((sum, item) => sum + signedVolume(read.objects[item.objectIndex]!.mesh), 0);
        return { path: file, items: read.items.length, volume };
      }),
    ];
    expect(faultsOf(slicerInfo(jobs))).toEqual([]);
  });

  test('the manifest lists every file with its hash, and every tool with its proof', () => {
    const manifest = JSON.parse(readFileSync(join(out, name, 'manifest.json'), 'utf8'));
    const listed = manifest.files.map((file: { name: string }) => file.name).sort();
    expect(listed).toEqual(
      readdirSync(join(out, name))
        .filter((file) => file !== 'manifest.json')
        .sort(),
    );
  });
});
