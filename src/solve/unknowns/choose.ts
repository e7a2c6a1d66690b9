import { SAME_VALUE } from '../../geometry/tolerance.ts';
import type { Unknown } from './parameters.ts';
import { apart } from './search.ts';
import type { Answer } from './verdict.ts';

/** How one of several answers was taken: it was the only one, nearest to what the file says, or the rule below. */
export type ChosenBy = 'only one' | 'near' | 'least bend';

/**
 * Answers in the order in which they would be taken. Where the file says `near`, the nearest to that (a degree counts as
 * much as a millimeter). Else the least bend in all, of equal ones the shortest tube, of those the smallest numbers.
 */
export function choose(
  unknowns: readonly Unknown[],
  answers: readonly Answer[],
): { readonly answers: readonly Answer[]; readonly by: ChosenBy } {
  if (answers.length <= 1) return { answers, by: 'only one' };
  const wanted = unknowns.some(({ wanted: { near } }) => near !== undefined);
  const off = ({ values }: Answer): number =>
    Math.hypot(...unknowns.map((u, k) => (u.wanted.near === undefined ? 0 : apart(u, values[k]!, u.wanted.near))));
  const ranked = [...answers].sort((p, q) => (wanted ? compare(off(p), off(q)) : 0) || byLeastBend(p, q));
  const clear = wanted && off(ranked[1]!) - off(ranked[0]!) > SAME_VALUE;
  return { answers: ranked, by: clear ? 'near' : 'least bend' };
}

const compare = (p: number, q: number): number => (Math.abs(p - q) <= SAME_VALUE ? 0 : p - q);

function byLeastBend(p: Answer, q: Answer): number {
  const first = compare(p.totalBendDeg, q.totalBendDeg) || compare(p.developedLength, q.developedLength);
  if (first !== 0) return first;
  const k = p.values.findIndex((v, i) => compare(v, q.values[i]!) !== 0);
  return k < 0 ? 0 : p.values[k]! - q.values[k]!;
}
