// Bundles the command line into dist/command, its own code and what it always needs of the packages: a run of it reads a
// few files instead of nine hundred. Runs by itself; the library in dist stays file by file, as tsc writes it.
import { execFileSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { cpSync, existsSync, mkdirSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
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

/** The kernel is a module and its wasm lies beside it: it is imported from where it is, by the importer the loader gives. */
const kernelOutside = {
  name: 'kernel-outside',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /^manifold-3d$/ }, ({ path }) => ({ path, namespace: 'outside' }));
    onLoad({ filter: /.*/, namespace: 'outside' }, ({ path }) => ({
      contents: `export default async () => (await importOutside('${path}')).default();`,
    }));
  },
};

/** Of the modeling package the STL writer asks only how a polygon lies: the same modules without the rest of the package. */
const polygonsOnly = {
  name: 'polygons-only',
  setup({ onResolve, onLoad }) {
    const kinds = ['geom3', 'poly3'].map((kind) => `${kind}: require('@jscad/modeling/src/geometries/${kind}')`);
    onResolve({ filter: /^@jscad\/modeling$/ }, ({ path }) => ({ path, namespace: 'polygons' }));
    onLoad({ filter: /.*/, namespace: 'polygons' }, () => ({
      contents: `exports.geometries = { ${kinds.join(', ')} };`,
      resolveDir: root,
    }));
  },
};

const { metafile, outputFiles } = await build({
  absWorkingDir: root,
  entryPoints: { program: join(src, 'cli', 'program.ts') },
  outdir,
  outExtension: { '.js': '.cjs' },
  bundle: true,
  format: 'cjs',
  charset: 'ascii',
  minifyWhitespace: true,
  lineLimit: 160,
  platform: 'node',
  target: ['node20.12'],
  plugins: [kernelOutside, polygonsOnly],
  // What finds files of its own beside itself, and what few runs need.
  external: ['pdfkit', 'chokidar', 'ml-matrix', '@tarikjabiri/dxf'],
  supported: { 'dynamic-import': false },
  define: { BUNDLED_PROGRAM: JSON.stringify(codeHash()), 'import.meta.url': 'BUNDLE_URL' },
  // A function, called by the loader.
  banner: { js: '(function (exports, require, importOutside, BUNDLE_URL) { const module = { exports };' },
  footer: { js: 'Object.defineProperties(exports, Object.getOwnPropertyDescriptors(module.exports)); })' },
  legalComments: 'none',
  metafile: true,
  write: false,
  logLevel: 'warning',
});
rmSync(outdir, { recursive: true, force: true });
mkdirSync(outdir, { recursive: true });
for (const { path, contents } of outputFiles) writeFileSync(path, contents);
cpSync(join(src, 'cli', 'load.mjs'), join(outdir, 'load.js'));
writeFileSync(
  join(outdir, 'crew-worker.js'),
  "import { loadProgram } from './load.js';\n\nawait loadProgram().program.work();\n",
);

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

/** Jobs whose tools take most of the program through its code. */
const examples = ['bench-frame', 'cargo-rack'].map((name) => join(root, 'fixtures-examples', name, 'job.yaml'));
execFileSync(process.execPath, [join(src, 'cli', 'compile.mjs'), ...examples], {
  stdio: ['ignore', 'ignore', 'inherit'],
});
