import { isAlias, isMap, isScalar, isSeq, type Node } from 'yaml';
import type { JobSource } from './locate.ts';
import type { JobPath } from './problem.ts';

/** Where a value came from: written in the file, put over it by --set, or ours because neither says anything. */
export type Origin = 'file' | 'set' | 'default';

/** Origin of the field at a path; a field whose parent is given as a whole counts as given with it. */
export function originOf(source: JobSource, path: JobPath): Origin {
  const bySet = source.sets.some(
    ({ path: set }) => set.length <= path.length && set.every((step, i) => step === path[i]),
  );
  if (bySet) return 'set';
  if (source.varied.some((varied) => varied.every((step, i) => step === path[i]))) return 'file';
  let node: Node | null | undefined = source.contents;
  for (const step of path) {
    if (isAlias(node)) node = source.aliases.get(node);
    node = childOf(node, step);
    if (node === undefined) return 'default';
  }
  return isScalar(node) && node.value === null ? 'default' : 'file';
}

function childOf(node: Node | null | undefined, step: string | number): Node | null | undefined {
  if (isMap<Node, Node | null>(node)) {
    return node.items.find(({ key }) => isScalar(key) && key.value === String(step))?.value;
  }
  return isSeq<Node | null>(node) ? node.items[Number(step)] : undefined;
}
