import { dirname, join } from 'node:path';
import { sha256 } from '../export/manifest.ts';
import type { Problem } from '../job/problem.ts';
import { type FolderPlan, temporaryName, unwritable } from './folder.ts';
import type { Files } from './io.ts';
import type { OutputFile } from './output-file.ts';

type Undo = () => void;

/**
 * Carries a plan out: every byte is on the disk under a name no slicer picks up before the first file gets its own name;
 * the manifest gets its name last. When anything fails, the folder is put back as it was and the problem says which file.
 */
export function deliver(files: Files, plan: FolderPlan, random: () => string): readonly Problem[] {
  const undo: Undo[] = [];
  let at = plan.folder;
  try {
    if (plan.write.length > 0 || plan.remove.length > 0) {
      makeFolder(files, plan.folder, undo);
      const staged = plan.write.map((file) => {
        at = join(plan.folder, file.name);
        return { ...file, temporary: stage(files, { folder: plan.folder, bytes: file.bytes, random, undo }) };
      });
      at = join(plan.folder, plan.names.pending);
      announce(files, plan, { random, undo });
      const manifest = staged.filter((file) => file.name === plan.names.manifest);
      for (const file of staged.filter((other) => other.name !== plan.names.manifest)) {
        at = join(plan.folder, file.name);
        putInPlace(files, file, { at, random, undo });
      }
      for (const file of plan.remove) {
        at = join(plan.folder, file.name);
        takeAway(files, file, { at, random, undo });
      }
      for (const file of manifest) {
        at = join(plan.folder, file.name);
        putInPlace(files, file, { at, random, undo });
      }
    }
  } catch (thrown) {
    for (const step of undo.reverse()) attempt(step);
    return [unwritable(at, thrown)];
  }
  tidyUp(files, plan);
  return [];
}

/** What is left over matters to nobody but the next build, which tries again. */
function tidyUp(files: Files, plan: FolderPlan): void {
  if (plan.write.length > 0 || plan.remove.length > 0) {
    files.syncFolder(plan.folder);
    attempt(() => files.remove(join(plan.folder, plan.names.pending)));
  }
  for (const name of plan.leftovers) attempt(() => files.remove(join(plan.folder, name)));
}

/** Undoing goes on whatever happens: the first failure is the one told. */
function attempt(step: Undo): void {
  try {
    step();
  } catch {
    // Told already, or no loss.
  }
}

/** Takes away the folders that were made for nothing, from the lowest up to `top`; one that holds something stays. */
export function removeEmpty(files: Files, folder: string, top: string): void {
  for (let path = folder; path.length >= top.length; path = dirname(path)) attempt(() => files.removeFolder(path));
}

function makeFolder(files: Files, folder: string, undo: Undo[]): void {
  const top = files.makeFolder(folder);
  if (top === undefined) return;
  undo.push(() => {
    for (let path = folder; path.length >= top.length; path = dirname(path)) files.removeFolder(path);
  });
}

interface Staging {
  readonly folder: string;
  readonly bytes: Uint8Array;
  readonly random: () => string;
  readonly undo: Undo[];
}

function stage(files: Files, { folder, bytes, random, undo }: Staging): string {
  const temporary = join(folder, temporaryName(random()));
  // Before the writing: a disk that fills up leaves half a file.
  undo.push(() => {
    if (files.kindAt(temporary) !== undefined) files.remove(temporary);
  });
  files.writeNew(temporary, bytes);
  return temporary;
}

function announce(
  files: Files,
  plan: FolderPlan,
  tools: { readonly random: () => string; readonly undo: Undo[] },
): void {
  const hashes: Record<string, readonly string[]> = { ...plan.pending };
  for (const { name, bytes } of plan.write) hashes[name] = [...new Set([...(plan.pending[name] ?? []), sha256(bytes)])];
  const bytes = new TextEncoder().encode(JSON.stringify(hashes));
  const temporary = stage(files, { folder: plan.folder, bytes, ...tools });
  const path = join(plan.folder, plan.names.pending);
  // What an earlier build left pending stays known: the file still names those hashes.
  if (Object.keys(plan.pending).length === 0) tools.undo.push(() => files.remove(path));
  files.rename(temporary, path);
}

interface Step {
  readonly at: string;
  readonly random: () => string;
  readonly undo: Undo[];
}

function putInPlace(
  files: Files,
  file: OutputFile & { readonly temporary: string; readonly before?: Uint8Array },
  step: Step,
): void {
  files.rename(file.temporary, step.at);
  step.undo.push(() => (file.before ? putBack(files, file.before, step) : files.remove(step.at)));
}

function takeAway(files: Files, file: { readonly before: Uint8Array }, step: Step): void {
  files.remove(step.at);
  step.undo.push(() => putBack(files, file.before, step));
}

function putBack(files: Files, before: Uint8Array, { at, random }: Step): void {
  const temporary = join(dirname(at), temporaryName(random()));
  files.writeNew(temporary, before);
  files.rename(temporary, at);
}
