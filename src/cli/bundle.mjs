// Bundles the command line into dist/command, its own code and what it always needs of the packages: a run of it reads a
// few files instead of nine hundred. Runs by itself; the library in dist stays file by file, as tsc writes it.
import { createHash } from 'node:crypto';
import { existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';

const root = join(import.meta.dirname, '..', '..');
const src = join(root, 'src');
const outdir = join(root, 'dist', 'command');

/** What `programHash` tells: this program's code, its package file, and the releases of what is bundled with it. */
function codeHash() {
  const hash = createHash('sha256');
  const names = readdirSync(src, { recursive: true, encoding: 'utf8' }).map((name) => name.replaceAll('\\', '/'));
  const files = names.filter((name) => /\.(ts|mjs)$/.test(name)).map((name) => `src/${name}`);
  for (const name of [...files, 'package.json', 'package-lock.json'].sort()) {
    if (existsSync(join(root, name))) hash.update(`\0${name}\0`).update(readFileSync(join(root, name)));
  }
  return hash.digest('hex');
}

const { metafile, outputFiles } = await build({
  absWorkingDir: root,
  entryPoints: { run: join(src, 'cli', 'run.ts'), 'crew-worker': join(src, 'cli', 'crew-worker.ts') },
  outdir,
  bundle: true,
  splitting: true,
  format: 'esm',
  platform: 'node',
  target: ['node20.12'],
  // What finds files of its own beside itself, and what few runs need.
  external: ['manifold-3d', 'pdfkit', 'chokidar', 'ml-matrix', '@tarikjabiri/dxf'],
  define: { BUNDLED_PROGRAM: JSON.stringify(codeHash()) },
  // Packages that are not modules ask for node's own in the old way.
  banner: {
    js: "import { createRequire as requireFrom } from 'node:module';\nconst require = requireFrom(import.meta.url);",
  },
  legalComments: 'none',
  metafile: true,
  write: false,
  logLevel: 'warning',
});
rmSync(outdir, { recursive: true, force: true });
mkdirSync(outdir, { recursive: true });
for (const { path, contents } of outputFiles) writeFileSync(path, contents);

/** The licenses of what is bundled, as they ask to be carried along. */
const bundled = Object.keys(metafile.inputs).flatMap(
  (input) => /.*node_modules\/((?:@[^/]+\/)?[^/]+)/.exec(input)?.[0] ?? [],
);
const licenses = [...new Set(bundled)].sort().map((folder) => {
  const { name, version, license } = JSON.parse(readFileSync(join(root, folder, 'package.json'), 'utf8'));
  const file = readdirSync(join(root, folder)).find((entry) => /^licen[sc]e/i.test(entry));
  const text = file ? readFileSync(join(root, folder, file), 'utf8').trim() : license;
  return `${name} ${version}\n\n${text}\n`;
});
writeFileSync(join(outdir, 'LICENSES.txt'), licenses.join('\n\n'));
