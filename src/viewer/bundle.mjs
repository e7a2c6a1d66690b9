// Bundles the 3D view of the job sheet's page into one script, dist/viewer/view.js; with --check only looks at its types.
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { build } from 'esbuild';

const here = import.meta.dirname;
const root = join(here, '..', '..');
if (process.argv.includes('--check')) {
  const tsc = spawnSync(join(root, 'node_modules', '.bin', 'tsc'), ['--noEmit', '-p', here], { stdio: 'inherit' });
  process.exitCode = tsc.status ?? 1;
} else {
  await build({
    entryPoints: [join(here, 'view.ts')],
    outfile: join(root, 'dist', 'viewer', 'view.js'),
    bundle: true,
    minify: true,
    format: 'iife',
    // Phones of the last five years.
    target: ['es2021'],
    charset: 'ascii',
    legalComments: 'none',
    footer: { js: licenses(['three', 'fflate']) },
    logLevel: 'warning',
  });
}

/** The licenses of what is bundled, as they ask to be carried along. */
function licenses(names) {
  const texts = names.map((name) => {
    const folder = join(root, 'node_modules', name);
    const { version } = JSON.parse(readFileSync(join(folder, 'package.json'), 'utf8'));
    return `${name} ${version}\n\n${readFileSync(join(folder, 'LICENSE'), 'utf8').trim()}`;
  });
  return `/*!\n${texts.join('\n\n').replaceAll('*/', '* /')}\n*/`;
}
