import { type ManifestFile, type ManifestTool, sha256 } from '../export/manifest.ts';
import type { Problem } from '../job/problem.ts';
import type { OutputFile } from './output-file.ts';
import type { BarePart } from './tool-meshes.ts';

/** A file to write, with its line in the manifest. */
export interface MadeFile extends OutputFile {
  readonly entry: ManifestFile;
}

/** What became of one tool: its files, proved, or only problems; these carry a path and no line yet. */
export interface ToolResult {
  readonly problems: readonly Problem[];
  readonly made?: {
    readonly tool: ManifestTool;
    readonly files: readonly MadeFile[];
    readonly parts: readonly BarePart[];
  };
}

/** Pixels of a tool's picture. */
export const PICTURE = { width: 1200, height: 900 } as const;

export const madeFile = ({ bytes, ...entry }: OutputFile & Omit<ManifestFile, 'sha256' | 'bytes'>): MadeFile => ({
  name: entry.name,
  bytes,
  entry: { ...entry, sha256: sha256(bytes), bytes: bytes.length },
});
