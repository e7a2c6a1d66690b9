import { SAME_VALUE } from '../../geometry/tolerance.ts';
import { angleText, lengthText, listed } from '../../job/wording.ts';
import type { Unknown } from './parameters.ts';
import type { Miss } from './verdict.ts';

type Units = 'mm' | 'in';

/** "on-plane by 12.4 mm and heading by 3 deg": the goals that are missed, or the worst of them. */
export function missText(misses: readonly Miss[], units: Units): string {
  const missed = misses.filter(({ miss }) => miss > SAME_VALUE);
  const told = missed.length > 0 ? missed : [...misses].sort((p, q) => q.miss - p.miss).slice(0, 1);
  return listed(told.map((miss) => `${goalName(miss)} by ${amountText(miss, units)}`));
}

const goalName = ({ goal: { name, goal } }: Miss): string =>
  goal.after === undefined ? name : `${name} after run item ${goal.after}`;

/** Small misses are not rounded away: 0.0004 mm is told as that. */
const amountText = ({ goal: { unit }, miss }: Miss, units: Units): string => {
  if (miss >= 0.01) return unit === 'mm' ? lengthText(miss, units) : angleText(miss);
  const amount = unit === 'mm' && units === 'in' ? miss / 25.4 : miss;
  return `${Number(amount.toPrecision(2))} ${unit === 'deg' ? 'deg' : units}`;
};

/** "bend angle in run item 2 90 deg, straight in run item 3 0 mm". */
export const valuesText = (
  unknowns: readonly Unknown[],
  { values, units }: { readonly values: readonly number[]; readonly units: Units },
): string =>
  unknowns
    .map(({ what, unit }, k) => `${what} ${unit === 'mm' ? lengthText(values[k]!, units) : angleText(values[k]!)}`)
    .join(', ');
