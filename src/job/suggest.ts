/** What people write for a field, and the field's own name in this trade's words. */
const SYNONYMS: ReadonlyMap<string, readonly string[]> = new Map([
  ['diameter', ['od']],
  ['dia', ['od']],
  ['size', ['od', 'side', 'width']],
  ['thickness', ['wall']],
  ['gauge', ['wall']],
  ['radius', ['clr', 'corner-radius']],
  ['centerline-radius', ['clr']],
  ['r', ['clr', 'corner-radius']],
  ['fillet', ['corner-radius']],
  ['degrees', ['angle']],
  ['bend-angle', ['angle']],
  ['direction', ['toward', 'heading', 'direction']],
  ['rotation', ['plane-of-bend']],
  ['length', ['straight', 'at']],
  ['path', ['run', 'points']],
  ['type', ['kind']],
  ['shape', ['kind']],
  ['name', ['job']],
  ['description', ['about']],
  ['tubes', ['members']],
  ['profiles', ['sections']],
  ['notch', ['cope']],
  ['mitre', ['miter']],
  ['to', ['run']],
  ['clearance', ['slide', 'gap']],
  ['origin', ['at']],
  ['point', ['at']],
  ['position', ['at']],
]);

/** Names longer than this are compared by their beginning only, so that a hostile file costs no time. */
const COMPARED = 40;

/** The candidate a misspelled word most likely meant; undefined when none is near. */
export function nearestName(word: string, candidates: Iterable<string>): string | undefined {
  const wanted = plain(word);
  if (wanted === '') return undefined;
  const names = [...candidates];
  const same = names.find((name) => plain(name) === wanted);
  if (same !== undefined) return same;
  const synonym = SYNONYMS.get(word.toLowerCase())?.find((s) => names.includes(s));
  if (synonym !== undefined) return synonym;
  let best: string | undefined;
  let least = Number.POSITIVE_INFINITY;
  for (const name of names) {
    const other = plain(name);
    const distance = editDistance(wanted, other);
    const allowed = Math.max(1, Math.floor(Math.max(wanted.length, other.length) / 3));
    if (distance <= allowed && distance < Math.min(wanted.length, other.length) && distance < least) {
      best = name;
      least = distance;
    }
  }
  return best ?? names.find((name) => wanted.length >= 3 && plain(name).startsWith(wanted));
}

const plain = (text: string): string =>
  text
    .slice(0, COMPARED)
    .toLowerCase()
    .replace(/[-_\s]/g, '');

/**
 * Letters to add, drop, change or swap with their neighbor (optimal string alignment distance; F. J. Damerau, "A technique
 * for computer detection and correction of spelling errors", CACM 7(3), 1964).
 */
export function editDistance(p: string, q: string): number {
  let before: number[] = [];
  let above = Array.from({ length: q.length + 1 }, (_, j) => j);
  for (let i = 1; i <= p.length; i++) {
    const row = [i];
    for (let j = 1; j <= q.length; j++) {
      const change = above[j - 1]! + (p[i - 1] === q[j - 1] ? 0 : 1);
      let least = Math.min(change, above[j]! + 1, row[j - 1]! + 1);
      if (i > 1 && j > 1 && p[i - 1] === q[j - 2] && p[i - 2] === q[j - 1]) least = Math.min(least, before[j - 2]! + 1);
      row.push(least);
    }
    before = above;
    above = row;
  }
  return above[q.length]!;
}

/** Hint text: the nearest name, or the whole list when it is short enough to read. */
export function nameHint(word: string, candidates: readonly string[], plural: string): string {
  const guess = nearestName(word, candidates);
  if (guess !== undefined) return `did you mean ${guess}?`;
  if (candidates.length === 0) return `this job has no ${plural} yet`;
  const shown = candidates.slice(0, 12).join(', ');
  return `${plural}: ${shown}${candidates.length > 12 ? `, and ${candidates.length - 12} more` : ''}`;
}
