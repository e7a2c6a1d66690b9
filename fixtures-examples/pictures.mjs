// Makes the README's pictures with the product itself: builds the examples' PNGs and keeps the ones that are shown.
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

const here = import.meta.dirname;
const shown = {
  'bench-frame': ['front-end-saw-guide', 'front-start-saw-guide', 'front-end-marking-gauge'],
  'boat-rail': ['step-end-saw-guide', 'step-end-marking-gauge', 'rail-end-notch-collar'],
  'cargo-rack': ['stay-left-end-notch-collar'],
  'drying-rack': ['rail-fit-coupon', 'hanger-stand-in', 'low-middle-spacer', 'hanger-clocking-ring', 'hanger-clocking-blocks', 'high-drill-guide', 'angle-block'],
  'duct-branch': ['branch-end-notch-collar'],
  'dust-wye': ['duct-start-notch-collar', 'middle-end-notch-collar', 'merge-duct-start-fit-up-cradle'],
  'flue-elbow': ['flue-elbow-segment-guide', 'port-end-opening-gauge'],
  'hood-adapter': ['adapter-end-saw-guide', 'reducer-end-notch-collar', 'port-fit-up-cradle', 'adapter-stand-in'],
};
/** Tools that are shown of an example and not among those it makes: they take long. */
const besides = { 'cargo-rack': { tools: '[{ fit-up-cradle: { all: true } }]', shown: ['all-fit-up-cradle'] } };
/** Whole jobs that are shown. */
const assemblies = ['cargo-rack'];
const out = mkdtempSync(join(tmpdir(), 'kerfwright-pictures-'));
mkdirSync(join(here, 'pictures'), { recursive: true });
for (const [example, tools] of Object.entries(shown)) {
  const job = join(here, example, 'job.yaml');
  const build = spawnSync(process.execPath, [join(here, '..', 'bin', 'kerfwright.js'), 'build', job, '--out', out, '--format', 'png', '--quiet'], { stdio: 'inherit' });
  if (build.status !== 0) process.exit(build.status ?? 1);
  const assembly = `${example}-assembly.png`;
  if (assemblies.includes(example)) copyFileSync(join(out, example, assembly), join(here, 'pictures', assembly));
  for (const tool of tools) copyFileSync(join(out, example, `${tool}.png`), join(here, 'pictures', `${example}-${tool}.png`));
}
for (const [example, { tools, shown: names }] of Object.entries(besides)) {
  const job = join(out, `${example}.yaml`);
  writeFileSync(job, readFileSync(join(here, example, 'job.yaml'), 'utf8').replace(/^tools: .*$/m, `tools: ${tools}`));
  const build = spawnSync(process.execPath, [join(here, '..', 'bin', 'kerfwright.js'), 'build', job, '--out', out, '--format', 'png', '--quiet', '--force'], { stdio: 'inherit' });
  if (build.status !== 0) process.exit(build.status ?? 1);
  for (const tool of names) copyFileSync(join(out, example, `${tool}.png`), join(here, 'pictures', `${example}-${tool}.png`));
}
rmSync(out, { recursive: true });
