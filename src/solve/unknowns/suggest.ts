import { GOAL, GOAL_ANGLE, LEAST_BEND } from '../../geometry/tolerance.ts';
import type { Mm } from '../../geometry/vector.ts';
import type { RunItem, RunMember } from '../../job/job.ts';
import { lengthText } from '../../job/wording.ts';
import { closedForm } from './closed-form.ts';
import { dampedSteps } from './damped.ts';
import { domainOf, missesOf } from './search.ts';
import { systemOf } from './system.ts';
import type { Question } from './verdict.ts';

/** A length of the file that could be another. */
interface Knob {
  readonly told: (value: Mm) => string;
  readonly now: Mm;
  readonly spec: (value: Mm) => RunMember;
}

/** How far a length is turned from what it is, as a part of it: first a little. */
const TURNS = [0.02, 0.05, 0.1, 0.2, 0.4, 0.8] as const;

/** Other lengths with which the goals could be met, the one that changes least first: "a clr of 60 mm in run item 2". */
export function suggestions(question: Question, nearest: readonly number[]): readonly string[] {
  const { spec, units } = question;
  const found = knobs(spec, units).flatMap((knob) => {
    const value = leastChange(knob, (at) => reaches({ ...question, spec: knob.spec(at) }, nearest));
    return value === undefined ? [] : [{ text: knob.told(value), change: Math.abs(value / knob.now - 1) }];
  });
  return found
    .sort((p, q) => p.change - q.change)
    .slice(0, 3)
    .map(({ text }) => text);
}

/** Radii and known straights; equal radii are one die, and turn together. */
function knobs(spec: RunMember, units: 'mm' | 'in'): readonly Knob[] {
  const radii = [...new Set(spec.run.flatMap((item) => (item.kind === 'bend' ? [item.clr] : [])))];
  const set = (change: (item: RunItem, i: number) => RunItem): RunMember => ({ ...spec, run: spec.run.map(change) });
  const clrs = radii.map(
    (now): Knob => ({
      told: (value) =>
        `a clr of ${lengthText(value, units)}${radii.length > 1 ? ` in place of ${lengthText(now, units)}` : ''}`,
      now,
      spec: (value) => set((item) => (item.kind === 'bend' && item.clr === now ? { ...item, clr: value } : item)),
    }),
  );
  const straights = spec.run.flatMap((item, k): Knob[] => {
    if (item.kind !== 'straight' || typeof item.length !== 'number') return [];
    return [
      {
        told: (value) => `a straight of ${lengthText(value, units)} in run item ${k + 1}`,
        now: item.length,
        spec: (value) =>
          set((other, i) => (i === k && other.kind === 'straight' ? { ...other, length: value } : other)),
      },
    ];
  });
  return [...clrs, ...straights].slice(0, 6);
}

/** The value nearest to the present one that will do, rounded away from it to three figures. */
function leastChange({ now }: Knob, does: (value: Mm) => boolean): Mm | undefined {
  for (const [i, turn] of TURNS.entries()) {
    for (const sign of [1, -1]) {
      if (!does(now * (1 + sign * turn))) continue;
      let [short, enough] = [now * (1 + sign * (TURNS[i - 1] ?? 0)), now * (1 + sign * turn)];
      for (let step = 0; step < 16; step++) {
        const middle = (short + enough) / 2;
        if (does(middle)) enough = middle;
        else short = middle;
      }
      const grain = 10 ** (Math.floor(Math.log10(enough)) - 2);
      const round = sign > 0 ? Math.ceil(enough / grain) * grain : Math.floor(enough / grain) * grain;
      return does(round) ? round : enough;
    }
  }
  return undefined;
}

/** Whether the goals can be met, looked for near where they almost were. */
export function reaches({ spec, unknowns, goals }: Question, nearest: readonly number[]): boolean {
  const free = unknowns.filter(({ wanted }) => !wanted.oneOf);
  const values = nearest.filter((_, k) => !unknowns[k]!.wanted.oneOf);
  const fixed = { ...spec, run: spec.run };
  if (free.length < unknowns.length) return false;
  const system = systemOf(fixed, free, goals);
  const { bounds } = domainOf(system, free);
  const starts = closedForm(system) ?? [
    system.coordinates(values),
    ...[0.3, 0.6].map((share) =>
      system.coordinates(values.map((v, k) => (free[k]!.kind === 'straight' ? v + share * system.reach : 180 * share))),
    ),
  ];
  return starts.some((start) => {
    const { x } = dampedSteps(system, start, { bounds });
    const bendsAreBends = system.values(x).every((v, k) => free[k]!.kind !== 'bend angle' || v >= LEAST_BEND);
    const met = missesOf(system, x).every(({ goal, miss }) => miss <= (goal.unit === 'mm' ? GOAL : GOAL_ANGLE));
    return bendsAreBends && met;
  });
}
