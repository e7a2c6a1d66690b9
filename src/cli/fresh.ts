import { join } from 'node:path';
import { inputHash, type Manifest, type ManifestSettings, sha256 } from '../export/manifest.ts';
import { FILE_NAME } from '../job/names.ts';
import { type FolderState, inspectFolder } from './folder.ts';
import type { Io } from './io.ts';
import { placeOf } from './job-place.ts';

export interface FreshRequest {
  readonly text: string;
  readonly sets: readonly string[];
  readonly variant?: string;
  /** Where the jobs' files go. */
  readonly out: string;
  readonly flat: boolean;
  readonly settings: ManifestSettings;
  readonly program: string;
}

/** A job's folder that already holds what a build would make. */
export interface Fresh {
  readonly job: string;
  readonly manifest: Manifest;
  readonly state: FolderState;
}

/**
 * Whether the very same job (text and sets, byte for byte) was built here by this very program with the same settings,
 * and every file still has the hash it was written with. Then nothing needs to be made or proved again. The job's name
 * is only guessed from the text: a wrong guess finds another manifest, whose hash does not fit.
 */
export function freshBuild(io: Io, request: FreshRequest): Fresh | undefined {
  const base = guessedName(request.text);
  const job = request.variant === undefined || base === undefined ? base : `${base}-${request.variant}`;
  if (job === undefined || request.settings.only.length > 0) return undefined;
  const place = placeOf(job, request);
  const state = inspectFolder(io.files, place.folder, place).value;
  const manifest = state?.manifest;
  if (!state || !manifest || state.leftovers.length > 0 || Object.keys(state.pending).length > 0) return undefined;
  const same =
    manifest.program === request.program &&
    manifest.input.sha256 === inputHash(request.text, request.sets) &&
    JSON.stringify(settingsList(manifest.settings)) === JSON.stringify(settingsList(request.settings)) &&
    manifest.files.every(
      ({ name, sha256: hash }) => FILE_NAME.test(name) && hashAt(io, join(state.folder, name)) === hash,
    );
  return same ? { job, manifest, state } : undefined;
}

const settingsList = ({ formats, plate, only, sourceDateEpoch }: ManifestSettings): readonly unknown[] => [
  formats,
  plate,
  only,
  sourceDateEpoch ?? null,
];

/** The job's name as its text says it, where a plain line does. */
export function guessedName(text: string): string | undefined {
  const name = /^job:[ \t]+(["']?)([A-Za-z0-9._-]+)\1[ \t]*(?:#.*)?\r?$/m.exec(text)?.[2];
  return name !== undefined && FILE_NAME.test(name) ? name : undefined;
}

/** SHA-256 of a file; undefined when there is none to read. */
export function hashAt(io: Io, path: string): string | undefined {
  try {
    return io.files.kindAt(path) === 'file' ? sha256(io.files.read(path)) : undefined;
  } catch {
    // Whatever hinders reading is told by the build that follows.
    return undefined;
  }
}
