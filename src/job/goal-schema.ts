import * as z from 'zod';
import { angleField, directionField, fields, isMap, lengthField, nameReference, pointField, refuse } from './fields.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';
import { listed } from './wording.ts';

const GOALS = [
  'on-plane',
  'on-line',
  'on-point',
  'on-axis-of',
  'heading',
  'up',
  'in-plane',
  'parallel-to',
  'angle-to',
  'spacing',
  'developed-length',
] as const;

/** A plane by a point and its normal. */
export const planeSchema = (units: Units) =>
  fields({ at: pointField(units, 'A point of the plane'), normal: directionField('Square to the plane') });

/** One goal or a list of them; a map may hold several. */
export function goalSchema(units: Units) {
  const straight = z
    .int()
    .min(1)
    .max(COUNTS.runItems)
    .optional()
    .meta({ description: 'Which of its straights, counted from 1. Default the longest.' });
  const axisOf = (what: string) =>
    z
      .union([nameReference(what), fields({ member: nameReference('Name of the member'), straight })])
      .optional()
      .meta({ description: `${what}: its longest straight, or { member, straight } for another.` });
  const plane = (what: string) => planeSchema(units).optional().meta({ description: what });
  const goal = fields({
    'on-plane': plane('The end lies on this plane.'),
    'on-line': fields({ at: pointField(units, 'A point of the line'), direction: directionField('Along the line') })
      .optional()
      .meta({ description: 'The end lies on this line.' }),
    'on-point': pointField(units, 'The end lies here').optional(),
    'on-axis-of': axisOf('The end lies on the axis of this member'),
    heading: directionField('The end points this way').optional(),
    up: directionField('The witness line at the end lies on this side, as nearly as the heading lets it').optional(),
    'in-plane': plane('The end lies in this plane and points along it.'),
    'parallel-to': axisOf('The end is parallel to this member'),
    'angle-to': fields({
      member: nameReference('Member it is measured from'),
      straight,
      is: angleField({ what: 'Angle between the headings', range: ANGLES.between }),
    })
      .optional()
      .meta({ description: 'Angle between the heading at the end and that of another member.' }),
    spacing: fields({
      from: nameReference('Member it is measured from'),
      straight,
      is: lengthField(units, { what: 'Distance between the axes', range: LENGTHS.spacing }),
    })
      .optional()
      .meta({ description: 'Distance to the axis of another member.' }),
    'developed-length': lengthField(units, {
      what: 'Length of the centerline from the start to here',
      range: LENGTHS.straight,
    }).optional(),
    after: z.int().min(1).max(COUNTS.runItems).optional().meta({
      description:
        'The place that is meant lies behind this many items of the run. Default all of them: the end of the member.',
    }),
  })
    .check(someGoal)
    .meta({ anyOf: GOALS.map((name) => ({ required: [name] })) });
  return z
    .union([goal, z.array(goal).min(1).max(COUNTS.goals)])
    .meta({ description: 'What the unknowns in the run must achieve.' });
}

const someGoal = z.superRefine<object>(
  (value, ctx) => {
    if (GOALS.some((name) => Object.hasOwn(value, name)) || ctx.issues.length > 0) return;
    refuse(ctx, { code: 'field/missing', message: `needs ${listed(GOALS, 'or')}` });
  },
  { when: isMap },
);

type RawGoals = z.output<ReturnType<typeof goalSchema>>;
export type RawGoal = Exclude<RawGoals, readonly unknown[]>;
