import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, renameSync, statSync } from 'node:fs';
import { basename } from 'node:path';
import { fileURLToPath } from 'node:url';

/** What an outside reader says of a file: clean, or the lines that say why not. */
export interface Verdict {
  readonly reader: string;
  readonly file: string;
  readonly clean: boolean;
  readonly faults: readonly string[];
  /** Numbers it printed, by its own names. */
  readonly facts: Readonly<Record<string, number>>;
}

const here = (path: string): string => fileURLToPath(new URL(path, import.meta.url));
const SCHEMA = here('./tools/3mf_core_1.4.0.libxml2.xsd');
const CHECK_SOURCE = here('./tools/check3mf.cpp');
const CACHE = here('../.cache');
const MODEL_PART = '3D/3dmodel.model';

interface Ran {
  readonly code: number;
  readonly out: string;
  readonly err: string;
}

function run(
  command: string,
  args: readonly string[],
  from: { readonly debian: string; readonly input?: Buffer },
): Ran {
  const ran = spawnSync(command, args, { input: from.input, maxBuffer: 1 << 28 });
  if (ran.error) {
    const missing = 'code' in ran.error && ran.error.code === 'ENOENT';
    const message = missing
      ? `${command} is missing: install the Debian package ${from.debian}`
      : `${command} did not run`;
    throw new Error(message, { cause: ran.error });
  }
  return { code: ran.status ?? -1, out: ran.stdout.toString('latin1'), err: ran.stderr.toString('latin1') };
}

const verdict = (reader: string, file: string, told: Pick<Verdict, 'faults' | 'facts'>): Verdict => ({
  reader,
  file: basename(file),
  clean: told.faults.length === 0,
  ...told,
});

/** The 3MF Consortium's library, strict: readable, no warning, every mesh closed and oriented. */
export function lib3mfStrict(file: string): Verdict {
  const { code, out } = run(check3mf(), [file], { debian: 'lib3mf-dev' });
  const lines = out
    .split('\n')
    .filter((line) => /^(READ_FAILED|warning )/u.test(line) || / isManifoldAndOriented=0/u.test(line));
  const faults = code === 0 ? lines : [...lines, `exit ${code}`];
  const counts = /^objects=(\d+) items=(\d+)/mu.exec(out);
  const facts: Record<string, number> = counts ? { objects: Number(counts[1]), items: Number(counts[2]) } : {};
  for (const [, key = '', value] of out.matchAll(/ (vertices|triangles)=(\d+)/gu))
    facts[key] = (facts[key] ?? 0) + Number(value);
  return verdict('lib3mf', file, { faults, facts });
}

/** The checker, compiled once into the cache. */
function check3mf(): string {
  const binary = `${CACHE}/check3mf`;
  if (existsSync(binary) && statSync(binary).mtimeMs >= statSync(CHECK_SOURCE).mtimeMs) return binary;
  if (!existsSync('/usr/include/lib3mf')) throw new Error('lib3mf is missing: install the Debian package lib3mf-dev');
  mkdirSync(CACHE, { recursive: true });
  const fresh = `${binary}.${process.pid}`;
  const args = ['-std=c++14', '-O2', CHECK_SOURCE, '-I/usr/include/lib3mf', '-l3MF', '-o', fresh];
  const { code, err } = run('g++', args, { debian: 'g++' });
  if (code !== 0) throw new Error(`check3mf.cpp does not compile:\n${err}`);
  renameSync(fresh, binary);
  return binary;
}

/** The published schema of the 3MF Core specification. */
export function schemaOf3mf(file: string): Verdict {
  const unzipped = spawnSync('unzip', ['-p', file, MODEL_PART], { maxBuffer: 1 << 28 });
  if (unzipped.error) throw new Error('unzip is missing: install the Debian package unzip', { cause: unzipped.error });
  if (unzipped.status !== 0) return verdict('schema', file, { faults: [`no ${MODEL_PART} in the package`], facts: {} });
  const from = { debian: 'libxml2-utils', input: unzipped.stdout };
  const { code, err } = run('xmllint', ['--noout', '--nonet', '--schema', SCHEMA, '-'], from);
  const faults = code === 0 ? [] : err.split('\n').filter((line) => /error/u.test(line));
  return verdict('schema', file, { faults: code === 0 || faults.length > 0 ? faults : [`exit ${code}`], facts: {} });
}

/** Lines of admesh's statistics that must all be zero, as it names them. */
const ADMESH_ZERO = [
  'Total disconnected facets',
  'Degenerate facets',
  'Edges fixed',
  'Facets removed',
  'Facets added',
  'Facets reversed',
  'Backwards edges',
  'Normals fixed',
];

/** The STL repair tool, finding nothing to repair. */
export function admesh(file: string): Verdict {
  const { code, out, err } = run('admesh', [file], { debian: 'admesh' });
  const facts: Record<string, number> = {};
  for (const [, key = '', value] of out.matchAll(/(\w[\w ]*?) +: +(-?[\d.]+)/gu)) facts[key] ??= Number(value);
  const faults = ADMESH_ZERO.filter((key) => facts[key] !== 0).map((key) => `${key}: ${facts[key] ?? 'not printed'}`);
  return verdict('admesh', file, { faults: code === 0 ? faults : [...faults, `exit ${code} ${err.trim()}`], facts });
}

export interface SlicerFile {
  readonly path: string;
  /** Parts to print: build items of a 3MF, 1 for an STL. */
  readonly items: number;
  /** Of all of them, mm^3. */
  readonly volume: number;
}

const SLICER = 'prusa-slicer';
const SLICER_KEYS = /^(size_[xyz]|min_[xyz]|max_[xyz]|number_of_facets|number_of_parts|volume)$/u;
/** It reckons in float32; over thousands of facets that is a few parts in a million. */
const SLICER_VOLUME = 2e-5;

/**
 * A slicer's `--info`, on all files in one start (0.07 s, and about 0.01 s more for a file of 4,000 triangles). Its exit code says nothing of a mesh it
 * repaired, so every line it prints must be one of those it prints for a sound mesh.
 */
export function slicerInfo(files: readonly SlicerFile[]): readonly Verdict[] {
  const names = new Set(files.map((file) => basename(file.path)));
  if (names.size !== files.length) throw new Error('the slicer prints base names: they must differ');
  const { code, out } = run(SLICER, ['--info', ...files.map((file) => file.path)], { debian: SLICER });
  if (code !== 0 && files.length > 1) return files.flatMap((file) => slicerInfo([file]));
  const blocks = readBlocks(out);
  return files.map((file) =>
    judge(
      file,
      blocks.filter((block) => block.name === basename(file.path)),
      code,
    ),
  );
}

interface Block {
  readonly name: string;
  readonly values: Map<string, string>;
}

function readBlocks(out: string): readonly Block[] {
  const blocks: Block[] = [];
  for (const line of out.split('\n')) {
    if (line.includes('[trace]')) continue;
    const name = /^\[(.*)\]$/u.exec(line)?.[1];
    const [, key, value] = /^(\w+) = +(.*)$/u.exec(line) ?? [];
    if (name !== undefined) blocks.push({ name, values: new Map() });
    else if (key !== undefined) blocks.at(-1)?.values.set(key, value ?? '');
  }
  return blocks;
}

function judge(file: SlicerFile, blocks: readonly Block[], code: number): Verdict {
  const faults = code === 0 ? [] : [`exit ${code}`];
  const facts = { blocks: blocks.length, volume: 0, facets: 0 };
  for (const { values } of blocks) {
    if (values.get('manifold') !== 'yes') faults.push(`manifold = ${values.get('manifold')}`);
    for (const [key, value] of values)
      if (key !== 'manifold' && !SLICER_KEYS.test(key)) faults.push(`${key} = ${value}`);
    facts.volume += Number(values.get('volume'));
    facts.facets += Number(values.get('number_of_facets'));
  }
  if (blocks.length !== file.items) faults.push(`${blocks.length} parts for ${file.items}`);
  if (!(Math.abs(facts.volume - file.volume) <= SLICER_VOLUME * Math.abs(file.volume))) {
    faults.push(`volume ${facts.volume} for ${file.volume}`);
  }
  return verdict('slicer', file.path, { faults, facts });
}
