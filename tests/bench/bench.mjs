// `npm run bench [-- --jobs 500 --runs 5]` (500 jobs are the soak): every number of DEVELOPERS.md's table of times, in one run. Prints, asserts nothing.
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { availableParallelism, cpus, tmpdir } from 'node:os';
import { join } from 'node:path';
import { parseArgs } from 'node:util';
import { installSize } from './install-size.mjs';
import { median, medianRun, run, startWatch } from './measure.mjs';
import { compareBooleans } from './other-booleans.mjs';
import { stageTimes, triangleCount } from './stages.mjs';

const { values } = parseArgs({
  options: { runs: { type: 'string', default: '5' }, jobs: { type: 'string', default: '60' } },
});
const [runs, jobs] = [Number(values.runs), Number(values.jobs)];
const JOB = readFileSync(new URL('./twelve-tools.yaml', import.meta.url), 'utf8');
const cwd = mkdtempSync(join(tmpdir(), 'kerfwright-bench-'));
const save = (text) => writeFileSync(join(cwd, 'job.yaml'), text);
const empty = () => rmSync(join(cwd, 'out'), { recursive: true, force: true });
const row = (what, value, bar = '') => console.log(`  ${what.padEnd(52)}${value.padStart(16)}  ${bar}`);
const s = (seconds) => `${seconds.toFixed(3)} s`;
const ms = (milliseconds) => `${milliseconds.toFixed(0)} ms`;

/** The job with one post moved: two of the twelve tools change. */
const changed = (i) =>
  JOB.replace('trim: { end: toe.end, at: 500 }', `trim: { end: toe.end, at: ${490 - i} }`).replace(
    'miter: 30',
    `miter: ${31 + i}`,
  );

try {
  console.log(`node ${process.version}, ${availableParallelism()} x ${cpus()[0]?.model}; medians of ${runs}\n`);
  save(JOB);
  console.log('processes');
  row('--help', s((await medianRun(['--help'], { cwd, runs })).seconds), 'bar 0.12 s');
  for (const threads of [1, 2]) {
    const cold = await medianRun(['build', 'job.yaml', '--threads', String(threads)], { cwd, runs, before: empty });
    row(
      `12 tools from nothing, ${threads} thread${threads > 1 ? 's' : ''}, peak ${cold.peak.toFixed(0)} MB`,
      s(cold.seconds),
      'bar 1.5 s, 250 MB',
    );
  }
  row('nothing changed', s((await medianRun(['build', 'job.yaml'], { cwd, runs })).seconds), 'bar 0.25 s');
  const change = await medianRun(['build', 'job.yaml'], { cwd, runs, before: (i) => save(changed(i)) });
  row('two tools changed, a new process', s(change.seconds));
  save(JOB);
  const watch = await startWatch('job.yaml', { cwd, save });
  const rebuilds = [];
  for (let i = 0; i < runs + 2; i++) rebuilds.push(await watch.rebuild(changed(10 + i)));
  watch.stop();
  row('two tools changed, in watch', s(median(rebuilds.slice(2))), 'bar 0.3 s');

  console.log('\nstages of the 12 tools, one thread: cold, warm');
  const rounds = await stageTimes(JOB, Math.max(3, runs));
  for (const stage of Object.keys(rounds[0]))
    row(stage, `${ms(rounds[0][stage])} ${ms(median(rounds.slice(1).map((x) => x[stage]))).padStart(8)}`);

  console.log(`\nbatch of ${jobs} jobs of two tools`);
  mkdirSync(join(cwd, 'jobs'));
  for (let i = 0; i < jobs; i++) {
    const two = JOB.replace('job: trolley', `job: trolley-${i}`)
      .replace(/tools:[\s\S]*$/, `tools:\n  - notch-collar: low.start\n  - saw-guide: sole.start\n`)
      .replace('miter: 30', `miter: ${10 + (i % 60) / 2}`)
      .replace('od: 25,', `od: ${(20 + (i % 97) / 10).toFixed(1)},`);
    writeFileSync(join(cwd, 'jobs', `${i}.yaml`), two);
  }
  for (const threads of [1, 2]) {
    empty();
    const { seconds, peak, held } = await run(['build', 'jobs', '-q', '--threads', String(threads)], { cwd });
    row(
      `${threads} thread${threads > 1 ? 's' : ''}, peak ${peak.toFixed(0)} MB`,
      `${(jobs / seconds).toFixed(2)} jobs/s`,
      'bar 250 MB',
    );
    const eighth = (k) => median(held.slice((k * held.length) / 8, ((k + 1) * held.length) / 8)).toFixed(0);
    if (held.length >= 80)
      row('  held in each eighth of the time, MB', [1, 2, 3, 4, 5, 6, 7].map(eighth).join(' '), 'bar: flat');
  }

  const { own, needed, packages } = installSize();
  console.log('\ninstalled');
  row(
    `this program ${own.toFixed(1)} MB, ${packages} packages ${needed.toFixed(1)} MB`,
    `${(own + needed).toFixed(1)} MB`,
  );

  console.log('\ntriangles of the 12 tools, and time for their solids, against chord tolerance');
  for (const tolerance of [0.1, 0.05, 0.02, 0.01, 0.005]) {
    const { triangles, milliseconds } = await triangleCount(JOB, tolerance);
    row(`${tolerance} mm`, `${triangles} ${ms(milliseconds).padStart(8)}`);
  }

  console.log('\nthe same solids with the booleans of @jscad/modeling');
  const kinds = await compareBooleans(JOB);
  const all = (what) => kinds.reduce((sum, kind) => sum + kind[what], 0);
  const total = { kind: 'all', tools: all('tools'), ours: all('ours'), theirs: all('theirs') };
  for (const { kind, tools, ours, theirs, triangles = all('triangles'), polygons = all('polygons') } of [
    ...kinds,
    total,
  ]) {
    row(
      `${kind}, ${tools}: ${triangles} triangles, theirs ${polygons} polygons`,
      `${ms(ours)} / ${ms(theirs)}`,
      `${(theirs / ours).toFixed(0)} times, bar 20`,
    );
  }
} finally {
  rmSync(cwd, { recursive: true, force: true });
}
