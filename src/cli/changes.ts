import type { Manifest, ManifestDimension, ManifestTool } from '../export/manifest.ts';
import type { ChangedTool, MovedDimension } from './build-result.ts';

/** Tools that were of another revision in the folder before, with what moved; after a first build there are none. */
export function changedTools(tools: readonly ManifestTool[], before: Manifest | undefined): readonly ChangedTool[] {
  if (!before) return [];
  return tools.flatMap((tool): readonly ChangedTool[] => {
    const old = before.tools.find((candidate) => candidate.name === tool.name);
    if (!old) return [{ name: tool.name, to: tool.revision, moved: [] }];
    if (old.revision === tool.revision) return [];
    const moved = movedDimensions(old.dimensions ?? [], tool.dimensions ?? []);
    return [{ name: tool.name, from: old.revision, to: tool.revision, moved }];
  });
}

/** Half of what a revision mark rounds to. */
const SAME = 0.0005;

/** What has another value now; what only one of the two has says nothing about a move. */
function movedDimensions(
  before: readonly ManifestDimension[],
  now: readonly ManifestDimension[],
): readonly MovedDimension[] {
  const old = new Map(before.map((dimension) => [dimension.label, dimension.value]));
  return now.flatMap(({ label, value, unit }) => {
    const from = old.get(label);
    if (from === undefined || same(from, value)) return [];
    return [{ label, from, to: value, ...(unit ? { unit } : {}) }];
  });
}

const same = (p: number | string, q: number | string): boolean =>
  typeof p === 'number' && typeof q === 'number' ? Math.abs(p - q) < SAME : p === q;
