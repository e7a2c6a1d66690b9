import { SAME_ANGLE, SAME_CLR } from '../../geometry/tolerance.ts';
import type { Job } from '../../job/job.ts';
import type { Problem } from '../../job/problem.ts';
import type { StockSpec } from '../../job/stock.ts';
import { angleText, lengthText, listed } from '../../job/wording.ts';
import type { CutBend, Stick } from './nesting.ts';

/** What must be bought though a rack was counted: told with how many, of what, and for which pieces. */
export function notEnough(
  { units }: Job,
  {
    stock,
    sticks,
    bends,
  }: { readonly stock: StockSpec; readonly sticks: readonly Stick[]; readonly bends: readonly CutBend[] },
): readonly Problem[] {
  const problems: Problem[] = [];
  const bought = sticks.filter(({ onHand }) => !onHand);
  if (stock.onHand && bought.length > 0) {
    const members = [...new Set(bought.flatMap(({ pieces }) => pieces.map(({ member }) => member)))];
    const lengths = [...new Set(bought.map(({ length }) => length))];
    const what = lengths.map((length) => {
      const count = bought.filter((stick) => stick.length === length).length;
      const sold = stock.lengths.length === 0 || stock.lengths.includes(length);
      const longer = sold ? '' : ', longer than any that is bought';
      return `${count} x ${lengthText(length, units)}${longer}`;
    });
    const used = sticks.length - bought.length;
    const there = stock.onHand.reduce((sum, { count }) => sum + count, 0);
    problems.push({
      code: 'stock/not-enough',
      severity: 'warning',
      path: [...stock.path, 'on-hand'],
      message: `what is on hand of ${stock.section} is not enough: ${used} of ${there} lengths are used, and ${listed(members)} ${members.length === 1 ? 'takes' : 'take'} more`,
      hint: `buy ${listed(what)}`,
      measured: there,
      limit: sticks.length,
    });
  }
  stock.bends.forEach(({ onHand, bendAngleDeg, clr, legs, path }) => {
    if (onHand === undefined) return;
    const alike = (bend: CutBend): boolean =>
      Math.abs(bend.clr - clr) <= SAME_CLR &&
      Math.abs(bend.bendAngleDeg - bendAngleDeg) <= SAME_ANGLE &&
      bend.legs.every((leg, k) => leg === legs[k]);
    const wanted = bends.filter(alike).length;
    if (wanted <= onHand) return;
    problems.push({
      code: 'stock/not-enough',
      severity: 'warning',
      path: [...path, 'on-hand'],
      message: `${wanted} bends of ${angleText(bendAngleDeg)}, clr ${lengthText(clr, units)}, are needed of ${stock.section}, and ${onHand} on hand`,
      hint: `buy ${wanted - onHand}`,
      measured: onHand,
      limit: wanted,
    });
  });
  return problems;
}
