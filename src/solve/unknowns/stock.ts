import { listed } from '../../job/wording.ts';
import { type Unknown, withValues } from './parameters.ts';
import { missText } from './told.ts';
import { type Answer, type Question, type Verdict, valueText, verdictOf } from './verdict.ts';

/** A choice from stock that was tried and did not do. */
export interface Tried {
  /** "30 deg", or "30 deg and 45 deg" where several are chosen. */
  readonly choice: string;
  readonly why: string;
}

export type StockVerdict = Verdict & { readonly tried: readonly Tried[] };

/** Choices of all lists together that are looked at. */
export const MOST_CHOICES = 900;

/** Solve a run where some numbers are chosen from lists: every choice is tried, with the other numbers solved around it. */
export function stockVerdict(question: Question): StockVerdict {
  const { spec, unknowns, units } = question;
  const stock = unknowns.filter(({ wanted }) => wanted.oneOf);
  if (stock.length === 0) return { ...verdictOf(question), tried: [] };
  const others = unknowns.filter(({ wanted }) => !wanted.oneOf);
  const all = choicesOf(stock).map((choice) => {
    const fixed = { ...spec, run: withValues(spec.run, stock, choice) };
    const verdict = verdictOf({ ...question, spec: fixed, unknowns: others });
    const whole = (values: readonly number[]): readonly number[] =>
      unknowns.map((unknown) =>
        unknown.wanted.oneOf ? choice[stock.indexOf(unknown)]! : values[others.indexOf(unknown)]!,
      );
    return { verdict, whole, told: listed(choice.map((value, k) => valueText(stock[k]!, value, units))) };
  });
  const tried = all.flatMap(({ verdict, told }): Tried[] => {
    if (verdict.kind === 'answers') return [];
    return [{ choice: told, why: whyNot(verdict, units) }];
  });
  const answers = all.flatMap(({ verdict, whole }): readonly Answer[] =>
    verdict.kind === 'answers' ? verdict.answers.map((answer) => ({ ...answer, values: whole(answer.values) })) : [],
  );
  if (answers.length > 0) return { kind: 'answers', answers, tried };
  const free = all.find(({ verdict }) => verdict.kind === 'free');
  if (free?.verdict.kind === 'free') return { ...free.verdict, tried };
  const least = all.reduce((best, one) => (missOf(one.verdict) < missOf(best.verdict) ? one : best));
  if (least.verdict.kind !== 'none') throw new Error('internal: a choice from stock without a verdict');
  return { ...least.verdict, nearest: least.whole(least.verdict.nearest), tried };
}

const missOf = (verdict: Verdict): number =>
  verdict.kind === 'none' ? Math.max(0, ...verdict.misses.map(({ miss }) => miss)) : Number.POSITIVE_INFINITY;

function whyNot(verdict: Exclude<Verdict, { kind: 'answers' }>, units: 'mm' | 'in'): string {
  if (verdict.kind === 'free') return `${listed(verdict.free.map(({ what }) => what))} would stay free`;
  return verdict.refused[0] ?? `misses ${missText(verdict.misses, units)}`;
}

/** Every way to take one of each list, in the order of the lists. */
const choicesOf = (stock: readonly Unknown[]): readonly (readonly number[])[] =>
  stock.reduce<readonly (readonly number[])[]>(
    (sofar, { wanted }) => sofar.flatMap((chosen) => (wanted.oneOf ?? []).map((value) => [...chosen, value])),
    [[]],
  );
