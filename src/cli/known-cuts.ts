import type { CutEnd } from '../solve/solution.ts';
import type { KnownCuts } from '../solve/solve.ts';

/** Cut ends kept at most: those of some twenty jobs of ordinary size, about 0.1 MB each. */
const MOST = 200;

/** The cut ends solved last; the one not asked for the longest goes first. */
export function knownCuts(): KnownCuts {
  const kept = new Map<string, CutEnd>();
  return {
    recall: (key) => {
      const end = kept.get(key);
      if (end) {
        kept.delete(key);
        kept.set(key, end);
      }
      return end;
    },
    keep: (key, end) => {
      kept.set(key, end);
      const [oldest] = kept.keys();
      if (kept.size > MOST && oldest !== undefined) kept.delete(oldest);
    },
  };
}
