import { join } from 'node:path';
import { type ManifestTool, proofNumbers } from '../export/manifest.ts';
import { visible } from '../job/render.ts';
import type { PartProof } from '../proof/facts.ts';
import type { BuildResult, ChangedTool, Done, MovedDimension, Tally } from './build-result.ts';
import { columns, wrapped } from './columns.ts';
import { problemJson } from './report.ts';
import { counted, EXIT, jsonText, rounded } from './terminal.ts';

/** Texts of a finished job: the list of files for stdout, the account of it for stderr. */
export const buildText = { files: fileList, summary, total };

/** Files written, one a line: what a script hands on, and what must be sliced again. */
function fileList({ plan, folder }: Done): string {
  const names = plan.write.map(({ name }) => name).filter((name) => name !== plan.names.manifest);
  return names.map((name) => `${visible(join(folder, name))}\n`).join('');
}

function summary(done: Done, dryRun: boolean): string {
  const { plan } = done;
  const removed = plan.remove.map(({ name }) => visible(name)).join(', ');
  const made = done.tools.length - done.kept.length;
  const account = [
    ...(done.tools.length > 0 ? [`made ${counted(made, 'tool')}, kept ${done.kept.length}`] : []),
    `${dryRun ? 'would write' : 'wrote'} ${counted(plan.write.length, 'file')}`,
    `${plan.unchanged.length} unchanged`,
    ...(removed === '' ? [] : [`${dryRun ? 'would remove' : 'removed'} ${removed}`]),
  ];
  const lines = [
    `${done.job}: proved on the bytes of the files; lengths in mm`,
    ...columns({
      heads: ['tool', 'revision', 'edge', 'slot', 'datum', 'clearance', 'wall'],
      sides: ['left', 'left', 'right', 'right', 'right', 'right', 'right'],
      rows: done.tools.map(proofRow),
    }),
    ...wrapped(`${visible(done.folder)}: ${account.join(', ')}`, 2),
    ...(done.changed.length > 0 ? ['  print again:', ...done.changed.flatMap(changeLines)] : []),
    ...note('of an older revision, not made this time', done.outdated),
    ...note('no longer made, but changed since and so left', plan.left),
  ];
  return `${lines.join('\n')}\n`;
}

/** `name: ABCDE is now FGHIJ` and the dimensions that moved, as many as a person takes in. */
function changeLines({ name, from, to, moved }: ChangedTool): readonly string[] {
  const marks = from === undefined ? `new, ${to}` : `${from} is now ${to}`;
  const shown = moved.slice(0, MOST_MOVED).map(movedText);
  const more = moved.length > MOST_MOVED ? [`and ${moved.length - MOST_MOVED} more`] : [];
  return wrapped(`${visible(name)}: ${[marks, ...shown, ...more].join('; ')}`, 4);
}

const MOST_MOVED = 3;

function movedText({ label, from, to, unit }: MovedDimension): string {
  const value = (x: number | string): string =>
    typeof x === 'number' ? String(Math.round(x * 1000) / 1000) : visible(x);
  return `${visible(label)} ${value(from)} to ${value(to)}${unit ? ` ${unit}` : ''}`;
}

const note = (what: string, names: readonly string[]): readonly string[] =>
  names.length > 0 ? wrapped(`${what}: ${names.map(visible).join(', ')}`, 2) : [];

/** How a run of several jobs ended: how many of what, and the files of those that failed. */
function total(results: readonly Tally[]): string {
  const done = results.flatMap((result) => result.done ?? []);
  const touched = done.filter((job) => job.touched).length;
  const failed = results.filter(({ code }) => code !== EXIT.made);
  const again = done.reduce((sum, job) => sum + job.again, 0);
  const account = [
    `${counted(results.length, 'job')}: ${touched} with new files`,
    `${done.length - touched} unchanged`,
    `${failed.length} failed`,
    ...(again > 0 ? [`${counted(again, 'tool')} to print again`] : []),
  ];
  return `${[
    account.join(', '),
    ...note(
      'failed',
      failed.map(({ label, variant }) => (variant === undefined ? label : `${label} (${variant})`)),
    ),
  ].join('\n')}\n`;
}

/** One line a tool: deviations are the largest, walls the thinnest over its parts and what they are put together to. */
function proofRow({ name, revision, proofs, joined }: ManifestTool): readonly string[] {
  const all: readonly Partial<PartProof>[] = joined ? [...proofs, joined] : proofs;
  const clearances = all.flatMap((proof) => proof.clearance ?? []);
  const least = Math.min(...clearances.map((clearance) => clearance.least));
  const most = Math.max(...clearances.map((clearance) => clearance.most));
  const largest = (of: (proof: Partial<PartProof>) => number | undefined): string => {
    const found = all.flatMap((proof) => of(proof) ?? []);
    return found.length === 0 ? '-' : Math.max(...found).toFixed(4);
  };
  return [
    name,
    revision,
    largest((proof) => proof.edgeDeviation),
    largest((proof) => proof.slotDeviation),
    largest((proof) => proof.datumDeviation),
    clearances.length > 0 ? `${least.toFixed(2)} to ${most.toFixed(2)}` : '-',
    Math.min(...proofs.map((proof) => proof.thinnestWall)).toFixed(2),
  ];
}

/** The account of a whole build as one document; names in it are file names within `folder`. */
export const buildJson = (jobs: readonly object[], dryRun: boolean): string =>
  jsonText({ format: 'kerfwright-build', version: 1, dryRun, jobs });

/** One job's part of it. */
export const resultJson = ({ label, variant, code, problems, failure, done }: BuildResult): object => ({
  file: label,
  ...(variant === undefined ? {} : { variant }),
  ok: code === EXIT.made,
  ...(failure === undefined ? {} : { failure }),
  problems: problems.map(problemJson),
  ...(done ? doneJson(done) : {}),
});

const doneJson = ({ job, folder, plan, kept, changed, outdated, tools }: Done): object => ({
  job,
  folder,
  written: plan.write.map(({ name }) => name),
  unchanged: plan.unchanged,
  removed: plan.remove.map(({ name }) => name),
  left: plan.left,
  kept,
  printAgain: changed,
  outdated,
  tools: tools.map((tool) => ({
    name: tool.name,
    kind: tool.kind,
    for: tool.for,
    revision: tool.revision,
    proofs: tool.proofs.map((proof) => roundedNumbers(proofNumbers(proof))),
    ...(tool.joined ? { joined: roundedNumbers(proofNumbers(tool.joined)) } : {}),
  })),
});

const roundedNumbers = (value: object): unknown =>
  JSON.parse(JSON.stringify(value, (_, inner) => (typeof inner === 'number' ? rounded(inner) : inner)));
