import * as z from 'zod';
import {
  angleField,
  clockField,
  exactlyOne,
  fields,
  fileNameField,
  lengthField,
  nameReference,
  refuse,
} from './fields.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

/** Tools that hold, check or set tubes without belonging to one cut end. */
export function benchToolSchemas(units: Units) {
  const name = fileNameField('File stem; made from what the tool is for and its kind when left out').optional();
  const section = nameReference('Section, from sections');
  return {
    'fit-coupon': z
      .union([
        section,
        fields({
          section,
          clearances: z
            .array(lengthField(units, { what: 'Radial clearance', range: LENGTHS.slide }))
            .min(1)
            .max(COUNTS.gauges)
            .optional()
            .meta({
              description:
                'Radial clearances of its gauges, each a length. Default six, 0.1mm apart, about shop.fit.slide.',
            }),
          shape: z.enum(['auto', 'ring', 'half']).default('auto').meta({
            description:
              'ring: goes round the tube. half: open to one side, drops onto the tube. Default auto: rings where all fit on one bed.',
          }),
          name,
        }),
      ])
      .optional(),
    'clocking-ring': z
      .union([
        nameReference('Member, from members'),
        fields({
          of: nameReference('Member whose bends it sets'),
          bends: z.array(z.int().min(1).max(COUNTS.runItems)).min(1).max(COUNTS.runItems).optional().meta({
            description: 'Which bends, counted from the start of the member, in the order they are made; default all.',
          }),
          check: z.literal(true).optional().meta({
            description:
              'Two blocks for the bent tube instead, on the straights before the first and behind the last of the bends: both sit flat on a table where the planes of the bends stand right.',
          }),
          name,
        }),
      ])
      .optional(),
    'drill-guide': fields({
      on: nameReference('Member that is drilled'),
      at: lengthField(units, {
        what: 'Where the hole meets the outside of the tube, along the centerline from the start of the member',
        range: LENGTHS.along,
      }),
      toward: clockField('Side it is drilled from; default up', ANGLES.turn).prefault('up'),
      angle: angleField({
        what: "From square to the tube; positive leans the drill's top to the end of the member",
        range: ANGLES.drillLean,
        preset: '0',
      }).prefault(0),
      bush: lengthField(units, { what: 'Outside diameter of the drill bush', range: LENGTHS.bush }).optional(),
      drill: lengthField(units, {
        what: 'Diameter of the drill, where it runs without a bush',
        range: LENGTHS.bush,
      }).optional(),
      datum: z.enum(['auto', 'end', 'mark']).default('auto').meta({
        description:
          'end: a stop at the nearer end of the tube, where that is square and near. mark: a scribed line. Default auto.',
      }),
      name,
    })
      .check(exactlyOne(['bush', 'drill'], 'drill guide'))
      .meta({ oneOf: [{ required: ['bush'] }, { required: ['drill'] }] })
      .optional(),
    spacer: fields({
      of: z
        .array(nameReference('Member'))
        .min(2)
        .max(COUNTS.spaced)
        .meta({ description: 'Members that run side by side where it sits.' }),
      at: lengthField(units, {
        what: 'Where it sits, along the first member from its start; default its middle',
        range: LENGTHS.along,
      }).optional(),
      thick: lengthField(units, {
        what: 'Length of tube it covers; default what a strap slot needs',
        range: LENGTHS.thick,
      }).optional(),
      name,
    }).optional(),
    'stand-in': z.union([nameReference('Member, from members'), standInFields(units, name)]).optional(),
  };
}

function standInFields(units: Units, name: z.ZodOptional<ReturnType<typeof fileNameField>>) {
  const along = (what: string) => lengthField(units, { what, range: LENGTHS.along }).optional();
  return fields({
    of: nameReference('Member it stands in for').optional(),
    from: along('Where it begins, along the centerline from the start of the member; default its start'),
    to: along('Where it ends, along the centerline from the start of the member; default its end'),
    bend: z.int().min(1).max(COUNTS.runItems).optional().meta({
      description: 'One bend of the member only, counted from its start, with a little straight at both ends.',
    }),
    ends: z.enum(['cut', 'square']).optional().meta({
      description: 'cut: ends as the member is cut. square: square at its drawn ends. Default cut.',
    }),
    section: nameReference('Section, for tube of no member').optional(),
    straight: lengthField(units, {
      what: 'Length of a straight of no member; beside clr and angle: straight at both ends of the bend',
      range: LENGTHS.straight,
    }).optional(),
    clr: lengthField(units, { what: 'Centerline radius of a bend of no member', range: LENGTHS.clr }).optional(),
    angle: angleField({ what: 'Degree of bend of a bend of no member', range: ANGLES.bend }).optional(),
    marks: angleField({ what: 'From mark to mark on the outside of bends', range: ANGLES.marks, preset: '5' }).prefault(
      5,
    ),
    name,
  })
    .check(exactlyOne(['of', 'section'], 'stand-in'), standInFits)
    .meta({ oneOf: [{ required: ['of'] }, { required: ['section'] }] });
}

const OF_MEMBER = ['from', 'to', 'bend', 'ends'];
const OF_SECTION = ['straight', 'clr', 'angle'];

const standInFits = z.superRefine<object>(
  (value, ctx) => {
    const has = (key: string): boolean => Object.hasOwn(value, key);
    const clash = (key: string, message: string, hint: string): void =>
      refuse(ctx, { code: 'field/conflict', message, hint, label: 'none' }, [key]);
    for (const key of has('of') ? OF_SECTION : OF_MEMBER) {
      if (!has(key)) continue;
      const [what, other] = has('of') ? ['a member', 'section'] : ['a section', 'of'];
      clash(key, `${key} cannot stand in a stand-in for ${what}`, `take ${key} away, or give ${other} instead`);
    }
    if (has('bend') && (has('from') || has('to')))
      clash('bend', 'bend says which stretch; so do from and to', 'keep one of them');
    if (!has('section') || has('of')) return;
    if (has('clr') !== has('angle'))
      refuse(ctx, { code: 'field/missing', message: 'a bend needs both clr and angle', label: 'none' }, [
        has('clr') ? 'angle' : 'clr',
      ]);
    if (!has('clr') && !has('straight'))
      refuse(ctx, { code: 'field/missing', message: 'needs straight, or clr and angle' });
  },
  { when: ({ value }) => typeof value === 'object' && value !== null && !Array.isArray(value) },
);

export type RawBenchTools = {
  [K in keyof ReturnType<typeof benchToolSchemas>]?: z.output<ReturnType<typeof benchToolSchemas>[K]> | undefined;
};
