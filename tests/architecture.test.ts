import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize, relative } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, test } from 'vitest';
import { PROBLEM_CODES } from '../src/job/problem.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const SRC = join(ROOT, 'src');

interface Import {
  readonly file: string;
  readonly from: string;
  readonly to: string;
}

function sources(folder: string): readonly string[] {
  return readdirSync(folder, { withFileTypes: true }).flatMap((entry) => {
    const path = join(folder, entry.name);
    return entry.isDirectory() ? sources(path) : entry.name.endsWith('.ts') ? [path] : [];
  });
}

const specifiers = (text: string): readonly string[] =>
  [
    ...text.matchAll(
      /(?:^|\n)\s*(?:import|export)\b[^;'"]*?from\s*'([^']+)'|import\(\s*'([^']+)'\s*\)|(?:^|\n)import\s*'([^']+)'/g,
    ),
  ].map((match) => match[1] ?? match[2] ?? match[3] ?? '');

const IMPORTS: readonly Import[] = sources(SRC).flatMap((path) => {
  const file = relative(SRC, path);
  return specifiers(readFileSync(path, 'utf8')).map((to) => ({ file, from: file.split('/')[0]!, to }));
});

/** Which stages each stage may import: data flows job -> solve -> tooling -> solid -> proof -> export -> cli. */
const MAY_IMPORT: Readonly<Record<string, readonly string[]>> = {
  geometry: [],
  job: ['geometry'],
  solve: ['job', 'geometry'],
  solid: ['geometry'],
  tooling: ['solve', 'job', 'geometry', 'solid'],
  proof: ['tooling', 'solid', 'solve', 'job', 'geometry'],
  export: ['proof', 'tooling', 'solid', 'solve', 'job', 'geometry'],
  cli: ['export', 'proof', 'tooling', 'solid', 'solve', 'job', 'geometry'],
  // Runs in the sheet's page; of the other stages it takes pure functions on meshes and types.
  viewer: ['export', 'solid', 'geometry'],
  'index.ts': ['cli', 'export', 'proof', 'tooling', 'solid', 'solve', 'job', 'geometry'],
};

/** The one door of each dependency. */
const DOORS: readonly { readonly what: RegExp; readonly where: RegExp }[] = [
  { what: /^zod$/, where: /^job\// },
  { what: /^yaml$/, where: /^job\// },
  { what: /^manifold-3d/, where: /^solid\/kernel\.ts$/ },
  { what: /^@jscad\/modeling/, where: /^solid\/(profile|flat-mesh)\.ts$/ },
  { what: /^@jscad\/stl-serializer/, where: /^export\/stl\.ts$/ },
  { what: /^fflate$/, where: /^(export\/(zip|view-data)|viewer\/unpack)\.ts$/ },
  { what: /^three(\/|$)/, where: /^viewer\// },
  { what: /^ml-matrix$/, where: /^solve\/unknowns\/matrix\.ts$/ },
  { what: /^node:module$/, where: /^solve\/unknowns\/matrix\.ts$/ },
  { what: /^pdfkit$/, where: /^export\/pdf\.ts$/ },
  { what: /^@tarikjabiri\/dxf$/, where: /^export\/flat-dxf\.ts$/ },
  { what: /^node:zlib$/, where: /^export\/(png|zip|crc32)\.ts$/ },
  { what: /^node:crypto$/, where: /^(export\/manifest|cli\/.*)\.ts$/ },
  { what: /^commander$/, where: /^cli\// },
  { what: /^chokidar$/, where: /^cli\/watching\.ts$/ },
  { what: /^node:util$/, where: /^(job\/render|cli\/.*)\.ts$/ },
  {
    what: /^node:/,
    where:
      /^(cli\/.*|export\/(manifest|png|zip|crc32)\.ts|job\/render\.ts|solid\/kernel\.ts|solve\/unknowns\/matrix\.ts)$/,
  },
];

function breaches(imports: readonly Import[]): readonly string[] {
  return imports.flatMap(({ file, from, to }) => {
    if (to.startsWith('.')) {
      const target = normalize(join(dirname(file), to));
      const stage = target.split('/')[0]!;
      if (stage === from) return [];
      if (!(MAY_IMPORT[from] ?? []).includes(stage)) return [`${file} imports ${target}`];
      const shapesOnly = from === 'tooling' && stage === 'solid' && !/^solid\/(expression|mesh)\.ts$/.test(target);
      return shapesOnly ? [`${file} imports ${target}; tooling may use only the expression and mesh types`] : [];
    }
    const doors = DOORS.filter((door) => door.what.test(to));
    if (doors.length === 0) return [`${file} imports ${to}, which has no door`];
    return doors.every((door) => door.where.test(file)) ? [] : [`${file} imports ${to} past its door`];
  });
}

describe('the house stands as drawn', () => {
  test('imports point one way and every dependency has one door', () => {
    expect(IMPORTS.length).toBeGreaterThan(200);
    expect(breaches(IMPORTS)).toEqual([]);
  });

  test('a breach would be seen', () => {
    expect(breaches([{ file: 'geometry/frame.ts', from: 'geometry', to: '../job/job.ts' }])).toHaveLength(1);
    expect(breaches([{ file: 'tooling/label.ts', from: 'tooling', to: '../solid/kernel.ts' }])).toHaveLength(1);
    expect(breaches([{ file: 'solve/solve.ts', from: 'solve', to: 'zod' }])).toHaveLength(1);
    expect(breaches([{ file: 'solve/solve.ts', from: 'solve', to: 'left-pad' }])).toHaveLength(1);
  });

  test('stages do not import in circles', () => {
    const files = new Map<string, readonly string[]>();
    for (const { file, to } of IMPORTS) {
      if (to.startsWith('.')) files.set(file, [...(files.get(file) ?? []), normalize(join(dirname(file), to))]);
    }
    const done = new Set<string>();
    const circles: string[] = [];
    const visit = (file: string, trail: readonly string[]): void => {
      if (trail.includes(file)) circles.push([...trail.slice(trail.indexOf(file)), file].join(' -> '));
      if (done.has(file) || trail.includes(file)) return;
      for (const next of files.get(file) ?? []) visit(next, [...trail, file]);
      done.add(file);
    };
    for (const file of files.keys()) visit(file, []);
    expect(circles).toEqual([]);
  });

  test('no file is longer than 400 lines', () => {
    const long = sources(SRC).filter((path) => readFileSync(path, 'utf8').split('\n').length > 400);
    expect(long.map((path) => relative(SRC, path))).toEqual([]);
  });

  test('process, console and the file system stay in the command line', () => {
    const outside = sources(SRC).filter(
      (path) =>
        !relative(SRC, path).startsWith('cli/') &&
        /\b(?:process\.|console\.)/.test(readFileSync(path, 'utf8').replace(/\/\/.*|\/\*[\s\S]*?\*\//g, '')),
    );
    expect(outside.map((path) => relative(SRC, path))).toEqual([]);
  });
});

describe('the papers keep up with the house', () => {
  const developers = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');

  test('DEVELOPERS.md lists every problem code with its meaning', () => {
    const missing = Object.entries(PROBLEM_CODES).filter(
      ([code, meaning]) => !developers.includes(`| \`${code}\` | ${meaning} |`),
    );
    expect(missing).toEqual([]);
  });

  test('DEVELOPERS.md says why for every dependency', () => {
    const { dependencies, devDependencies } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
    const missing = Object.keys({ ...dependencies, ...devDependencies }).filter(
      (name) => !name.startsWith('@types/') && !developers.includes(`\`${name}\``),
    );
    expect(missing).toEqual([]);
  });
});
