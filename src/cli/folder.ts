import { join } from 'node:path';
import { type Manifest, type ManifestFile, readManifest, sha256 } from '../export/manifest.ts';
import { COUNTS } from '../job/limits.ts';
import { FILE_NAME, nameComplaint } from '../job/names.ts';
import { hasErrors, type Outcome, type Problem } from '../job/problem.ts';
import { visible } from '../job/render.ts';
import { type Files, systemCode } from './io.ts';
import type { PlaceNames } from './job-place.ts';
import type { OutputFile } from './output-file.ts';

/** What would happen to a folder; nothing has happened yet. */
export interface FolderPlan {
  readonly folder: string;
  readonly names: PlaceNames;
  readonly write: readonly (OutputFile & { readonly before?: Uint8Array })[];
  readonly unchanged: readonly string[];
  readonly remove: readonly (OutputFile & { readonly before: Uint8Array })[];
  /** Listed in our manifest, no longer made, and changed by somebody since: left where they are. */
  readonly left: readonly string[];
  /** Our own temporary files from a build that was cut off. */
  readonly leftovers: readonly string[];
  /** Hashes by name of files a cut-off build may have put in place before its manifest. */
  readonly pending: Readonly<Record<string, readonly string[]>>;
}

export const TEMPORARY = /^\.kerfwright-[0-9a-z]+\.part$/;
export const temporaryName = (random: string): string => `.kerfwright-${random}.part`;

/** What stands in a job's folder before a build. */
export interface FolderState {
  readonly folder: string;
  readonly names: PlaceNames;
  readonly exists: boolean;
  /** Of this job; another job's, or a file that is no manifest, counts as somebody else's. */
  readonly manifest?: Manifest;
  readonly leftovers: readonly string[];
  readonly pending: Readonly<Record<string, readonly string[]>>;
}

/** Looks at a job's folder. Problems: it is a link or no folder, or it cannot be read. */
export function inspectFolder(
  files: Files,
  folder: string,
  { job, names: own }: { readonly job: string; readonly names: PlaceNames },
): Outcome<FolderState> {
  const empty = { folder, names: own, exists: false, leftovers: [], pending: {} };
  try {
    const kind = files.kindAt(folder);
    if (kind === undefined) return { value: empty, problems: [] };
    if (kind === 'link') {
      const message = `${visible(folder)} is a link, and files written there would land somewhere else`;
      const hint = 'point --out at the folder that is meant, or take the link away';
      return { problems: [outputProblem('output/unsafe-name', message, hint)] };
    }
    if (kind !== 'folder') {
      const message = `${visible(folder)} is a file where the folder of the job should be`;
      return { problems: [outputProblem('output/unwritable', message, 'move it away, or choose another --out')] };
    }
    const names = files.list(folder);
    const manifest = ownManifest(files, join(folder, own.manifest), job);
    return {
      value: {
        folder,
        names: own,
        exists: true,
        ...(manifest ? { manifest } : {}),
        leftovers: names.filter((name) => TEMPORARY.test(name) && files.kindAt(join(folder, name)) === 'file'),
        pending: names.includes(own.pending) ? readPending(files, join(folder, own.pending)) : {},
      },
      problems: [],
    };
  } catch (thrown) {
    return { problems: [unwritable(folder, thrown)] };
  }
}

function ownManifest(files: Files, path: string, job: string): Manifest | undefined {
  if (files.kindAt(path) !== 'file') return undefined;
  const manifest = readManifest(new TextDecoder().decode(files.read(path)));
  return manifest?.job === job ? manifest : undefined;
}

function readPending(files: Files, path: string): Readonly<Record<string, readonly string[]>> {
  if (files.kindAt(path) !== 'file') return {};
  try {
    const found: unknown = JSON.parse(new TextDecoder().decode(files.read(path)));
    if (typeof found !== 'object' || found === null) return {};
    return Object.fromEntries(
      Object.entries(found).filter(
        ([, hashes]) => Array.isArray(hashes) && hashes.every((hash) => typeof hash === 'string'),
      ),
    );
  } catch (thrown) {
    if (thrown instanceof SyntaxError) return {};
    throw thrown;
  }
}

export interface PlanRequest {
  /** The manifest is the last of them. */
  readonly files: readonly OutputFile[];
  /** Files of the last manifest that stay though they are not made this time. */
  readonly keep: (file: ManifestFile) => boolean;
  readonly force: boolean;
}

/**
 * What to write, leave and remove so that the folder holds the files given. Only what our manifest lists with the very
 * hash it still has is replaced or removed; anything else in the way is a problem, unless forced.
 */
export function planFolder(files: Files, state: FolderState, request: PlanRequest): Outcome<FolderPlan> {
  const unsafe = request.files.filter((file) => !isSafeName(file.name));
  if (unsafe.length > 0) {
    const names = unsafe.map((file) => visible(JSON.stringify(file.name))).join(', ');
    const message = `${names} cannot be the name of a file in the output folder`;
    return { problems: [outputProblem('output/unsafe-name', message, 'give the tool another name')] };
  }
  try {
    const fates = request.files.map((file) => ({ file, fate: fateOf(files, state, file) }));
    const problems = blocked(state, fates, request.force);
    if (hasErrors(problems)) return { problems };
    const stale = staleFiles(files, state, request);
    return {
      value: {
        folder: state.folder,
        names: state.names,
        write: fates.flatMap(({ file, fate }) => (fate.kind === 'same' ? [] : [withBefore(file, fate)])),
        unchanged: fates.flatMap(({ file, fate }) => (fate.kind === 'same' ? [file.name] : [])),
        remove: stale.remove,
        left: stale.left,
        leftovers: state.leftovers,
        pending: state.pending,
      },
      problems,
    };
  } catch (thrown) {
    return { problems: [unwritable(state.folder, thrown)] };
  }
}

/** The last door before the disk, whatever was checked before: one plain name, no path, nothing hidden, no device. */
export const isSafeName = (name: string): boolean =>
  name.length <= 200 &&
  FILE_NAME.test(name) &&
  nameComplaint(name.split('.')[0]!.slice(0, COUNTS.nameLength), 'file') === undefined;

type Fate =
  | { readonly kind: 'new' | 'same' }
  | { readonly kind: 'ours' | 'foreign'; readonly before?: Uint8Array }
  | { readonly kind: 'folder' };

function fateOf(files: Files, state: FolderState, file: OutputFile): Fate {
  if (!state.exists) return { kind: 'new' };
  const path = join(state.folder, file.name);
  const kind = files.kindAt(path);
  if (kind === undefined) return { kind: 'new' };
  if (kind === 'folder') return { kind: 'folder' };
  if (kind !== 'file') return { kind: 'foreign' };
  const before = files.read(path);
  if (Buffer.compare(before, file.bytes) === 0) return { kind: 'same' };
  return { kind: isOurs(state, file.name, before) ? 'ours' : 'foreign', before };
}

function isOurs(state: FolderState, name: string, bytes: Uint8Array): boolean {
  if (name === state.names.manifest && state.manifest) return true;
  const hash = sha256(bytes);
  const listed = state.manifest?.files.some((file) => file.name === name && file.sha256 === hash) ?? false;
  return listed || (Object.hasOwn(state.pending, name) && state.pending[name]!.includes(hash));
}

const withBefore = (file: OutputFile, fate: Fate): OutputFile & { before?: Uint8Array } =>
  'before' in fate && fate.before ? { ...file, before: fate.before } : file;

function blocked(
  state: FolderState,
  fates: readonly { readonly file: OutputFile; readonly fate: Fate }[],
  force: boolean,
): readonly Problem[] {
  const named = (kind: Fate['kind']): string[] =>
    fates.flatMap(({ file, fate }) => (fate.kind === kind ? [join(state.folder, file.name)] : []));
  const problems: Problem[] = [];
  const folders = named('folder');
  if (folders.length > 0) {
    const message = `${someOf(folders)} ${folders.length === 1 ? 'is a folder' : 'are folders'} where a file should go`;
    problems.push(outputProblem('output/unwritable', message, 'move it away, or choose another --out'));
  }
  const foreign = named('foreign');
  if (foreign.length > 0 && !force) {
    const message = `${someOf(foreign)} ${foreign.length === 1 ? 'is' : 'are'} in the way: not made by this program, or changed since`;
    const hint = 'move what you want to keep, choose another --out, or build with --force to replace';
    problems.push(outputProblem('output/exists', message, hint));
  }
  return problems;
}

/** At most five names, then how many more. */
const someOf = (names: readonly string[]): string =>
  `${names.slice(0, 5).map(visible).join(', ')}${names.length > 5 ? ` and ${names.length - 5} more` : ''}`;

function staleFiles(files: Files, state: FolderState, request: PlanRequest): Pick<FolderPlan, 'remove' | 'left'> {
  const made = new Set(request.files.map((file) => file.name));
  const remove: (OutputFile & { before: Uint8Array })[] = [];
  const left: string[] = [];
  for (const old of state.manifest?.files ?? []) {
    if (made.has(old.name) || request.keep(old) || !isSafeName(old.name)) continue;
    const path = join(state.folder, old.name);
    const kind = files.kindAt(path);
    if (kind === undefined) continue;
    const bytes = kind === 'file' ? files.read(path) : undefined;
    if (bytes && isOurs(state, old.name, bytes)) remove.push({ name: old.name, bytes, before: bytes });
    else left.push(old.name);
  }
  return { remove, left };
}

export function outputProblem(
  code: 'output/exists' | 'output/unwritable' | 'output/unsafe-name',
  message: string,
  hint?: string,
): Problem {
  return { code, severity: 'error', path: [], message, ...(hint === undefined ? {} : { hint }) };
}

const REASONS: Readonly<Record<string, string>> = {
  EACCES: 'permission denied',
  EPERM: 'not permitted',
  EROFS: 'the file system is read-only',
  ENOSPC: 'no space left on the device',
  EDQUOT: 'the disk quota is used up',
  ENOTDIR: 'a part of the path is a file, not a folder',
  EEXIST: 'a file is in the way',
  ENAMETOOLONG: 'the path is too long',
  EISDIR: 'it is a folder',
  ENOENT: 'no such file or folder',
  ELOOP: 'links that lead round in a circle',
  EBUSY: 'in use by another program',
  EMFILE: 'too many open files',
  EIO: 'the device failed',
};

/** The system's word in plain ones, with the word itself. Anything the system did not throw is a bug and goes on up. */
export function reasonOf(thrown: unknown): string {
  const code = systemCode(thrown);
  if (code === undefined) throw thrown;
  return REASONS[code] === undefined ? code : `${REASONS[code]} (${code})`;
}

export const unwritable = (path: string, thrown: unknown): Problem =>
  outputProblem(
    'output/unwritable',
    `${visible(path)}: ${reasonOf(thrown)}`,
    'choose a folder you can write to with --out',
  );
