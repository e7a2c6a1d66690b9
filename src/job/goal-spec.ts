import type { RawGoal } from './goal-schema.ts';
import type { Goal } from './job.ts';
import type { JobPath, Problem } from './problem.ts';

/** Goals as the file lists them, each with the path of its field. */
export function goalsFrom(raw: RawGoal | readonly RawGoal[] | undefined, path: JobPath): Goal[] {
  if (raw === undefined) return [];
  return isList(raw) ? raw.flatMap((goal, i) => goalsOf(goal, [...path, i])) : goalsOf(raw, path);
}

const isList = (raw: RawGoal | readonly RawGoal[]): raw is readonly RawGoal[] => Array.isArray(raw);

type Axis = NonNullable<RawGoal['on-axis-of']>;

/** The axis named, with the path of the name. */
const axis = (raw: Axis, path: JobPath) =>
  typeof raw === 'string'
    ? { member: raw, path }
    : { member: raw.member, ...straightOf(raw), path: [...path, 'member'] };

const straightOf = ({ straight }: { readonly straight?: number | undefined }) =>
  straight === undefined ? {} : { straight };

/** A map of goals may hold several: each is one. */
function goalsOf(raw: RawGoal, base: JobPath): Goal[] {
  const path = (key: keyof RawGoal): JobPath => [...base, key];
  const all: Goal[] = [];
  const plane = (given: NonNullable<RawGoal['on-plane']>) => ({ point: given.at, normal: given.normal });
  if (raw['on-plane']) all.push({ kind: 'on-plane', plane: plane(raw['on-plane']), path: path('on-plane') });
  if (raw['on-line'])
    all.push({ kind: 'on-line', point: raw['on-line'].at, direction: raw['on-line'].direction, path: path('on-line') });
  if (raw['on-point']) all.push({ kind: 'on-point', point: raw['on-point'], path: path('on-point') });
  if (raw['on-axis-of'] !== undefined) all.push({ kind: 'on-axis', ...axis(raw['on-axis-of'], path('on-axis-of')) });
  if (raw.heading) all.push({ kind: 'heading', heading: raw.heading, path: path('heading') });
  if (raw.up) all.push({ kind: 'up', up: raw.up, path: path('up') });
  if (raw['in-plane']) all.push({ kind: 'in-plane', plane: plane(raw['in-plane']), path: path('in-plane') });
  if (raw['parallel-to'] !== undefined)
    all.push({ kind: 'parallel-to', ...axis(raw['parallel-to'], path('parallel-to')) });
  const angle = raw['angle-to'];
  if (angle) all.push({ kind: 'angle-to', ...axis(angle, path('angle-to')), angleDeg: angle.is });
  const { spacing } = raw;
  if (spacing)
    all.push({
      kind: 'spacing',
      member: spacing.from,
      ...straightOf(spacing),
      distance: spacing.is,
      path: [...path('spacing'), 'from'],
    });
  const long = raw['developed-length'];
  if (long !== undefined) all.push({ kind: 'developed-length', length: long, path: path('developed-length') });
  const { after } = raw;
  return after === undefined ? all : all.map((goal) => ({ ...goal, after }));
}

/** A goal can be for a place within the run, not beyond it. */
export const afterProblems = (goals: readonly Goal[], items: number): Problem[] =>
  goals.flatMap(({ after, path }): Problem[] =>
    after === undefined || after <= items
      ? []
      : [
          {
            code: 'field/out-of-range',
            severity: 'error',
            path: [
              ...path.slice(0, path.findLastIndex((step) => step === 'goal' || typeof step === 'number') + 1),
              'after',
            ],
            message: `after is ${after}; the run has ${items} items`,
            hint: 'leave after out for the end of the member',
            measured: after,
            limit: items,
          },
        ],
  );
