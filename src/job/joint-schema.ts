import * as z from 'zod';
import {
  angleField,
  clockField,
  endField,
  exactlyOne,
  fields,
  fileNameField,
  lengthField,
  nameReference,
  refuse,
} from './fields.ts';
import { planeSchema } from './goal-schema.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

export const JOINT_KINDS = ['cope', 'miter', 'merge', 'trim', 'butt'] as const;
const TRIM_PLACES = ['at', 'into-bend', 'plane', 'width', 'height'] as const;

const pair = () => z.array(endField('An end')).length(2).meta({ description: 'The two ends that meet.' });

/** What happens to the ends of members. */
export function jointSchema(units: Units) {
  const common = {
    name: fileNameField('Name of the joint; made from its kind and end when left out').optional(),
    gap: lengthField(units, { what: 'Weld gap left between the parts', range: LENGTHS.gap, preset: '0mm' }).prefault(
      '0mm',
    ),
  };
  const welded = {
    ...common,
    shrink: lengthField(units, {
      what: 'What the weld draws in, added to the lengths: all of it to the branch of a cope and to each leg of a merge, half to both ends of a miter or butt; none when left out',
      range: LENGTHS.shrink,
    }).optional(),
  };
  const cope = fields({
    branch: endField('End that is cut'),
    run: z
      .union([nameReference('Member'), z.array(nameReference('Member')).min(1).max(COUNTS.copeRuns)])
      .meta({ description: 'Member the branch is cut to, or a list of them.' }),
    open: z.literal([false, true, 'bore', 'outside']).default(false).meta({
      description:
        'The run is opened where the branch meets it. true or bore: the branch stands on the run, the hole is as large as its bore. outside: the branch is set into the hole and cut flush with the inside of the run. Default false.',
    }),
    ...welded,
  });
  const miter = fields({ ends: pair(), plane: planeSchema(units).optional(), ...welded });
  const merge = fields({
    legs: z
      .array(endField('End of a leg'))
      .min(2)
      .max(COUNTS.mergeLegs)
      .meta({ description: 'Ends that come together.' }),
    trunk: endField('End they go on as'),
    ...welded,
  });
  const trim = fields({
    end: endField('End that is cut'),
    at: lengthField(units, {
      what: 'Distance along the centerline from the start of the member',
      range: LENGTHS.along,
    }).optional(),
    'into-bend': angleField({
      what: 'Degrees into a bend, from its tangent point on the kept side',
      range: ANGLES.intoBend,
    }).optional(),
    plane: planeSchema(units).optional(),
    width: lengthField(units, { what: 'Where a taper is so wide outside', range: LENGTHS.od }).optional(),
    height: lengthField(units, { what: 'Where a taper is so high outside', range: LENGTHS.od }).optional(),
    bend: z
      .int()
      .min(1)
      .max(COUNTS.runItems)
      .optional()
      .meta({ description: 'Which bend of the member, counted from its start; default the one nearest the end.' }),
    miter: angleField({ what: 'Miter angle, from a square cut; default 0', range: ANGLES.miter }).optional(),
    'long-point': clockField('Side of the long point', ANGLES.turn).optional(),
    ...common,
  })
    .check(exactlyOne(TRIM_PLACES, 'trim'), trimFits)
    .meta({ oneOf: TRIM_PLACES.map((place) => ({ required: [place] })) });
  return fields({
    cope: cope.optional(),
    miter: miter.optional(),
    merge: merge.optional(),
    trim: trim.optional(),
    butt: fields({ ends: pair(), ...welded }).optional(),
  })
    .check(exactlyOne(JOINT_KINDS, 'joint'))
    .meta({ minProperties: 1, maxProperties: 1 });
}

const trimFits = z.superRefine<object>(
  (value, ctx) => {
    const has = (key: string): boolean => Object.hasOwn(value, key);
    const clash = (key: string, message: string, hint: string): void =>
      refuse(ctx, { code: 'field/conflict', message, hint, label: 'none' }, [key]);
    if (has('bend') && !has('into-bend'))
      clash(
        'bend',
        'bend says which bend into-bend counts in; there is no into-bend',
        'add into-bend, or take bend away',
      );
    if (has('plane') && has('miter')) clash('miter', 'the plane already says how the trim leans', 'take miter away');
    if (has('long-point') && !has('miter'))
      clash('long-point', 'a square trim has no long point', 'add miter, or take long-point away');
  },
  { when: ({ value }) => typeof value === 'object' && value !== null && !Array.isArray(value) },
);

export type RawJoint = z.output<ReturnType<typeof jointSchema>>;
