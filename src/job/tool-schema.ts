import * as z from 'zod';
import { benchToolSchemas } from './bench-tool-schema.ts';
import { BENCH_TOOL_KINDS } from './bench-tools.ts';
import { angleField, endField, exactlyOne, fields, fileNameField, lengthField, nameReference } from './fields.ts';
import { cradleField } from './fit-up-schema.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

export const CUT_TOOL_KINDS = ['saw-guide', 'marking-gauge', 'notch-collar'] as const;
export const TOOL_KINDS = [
  ...CUT_TOOL_KINDS,
  'angle-block',
  ...BENCH_TOOL_KINDS,
  'segment-guide',
  'opening-gauge',
  'fit-up-cradle',
] as const;

/** Printed tools asked for by name. */
export function toolSchema(units: Units) {
  const name = fileNameField('File stem; made from what the tool is for and its kind when left out').optional();
  const common = {
    end: endField('End the tool is for'),
    name,
    datum: z.enum(['auto', 'end', 'stock', 'mark']).default('auto').meta({
      description:
        "What the tool registers on. end: the tube's other end; stock: the raw end on the waste side; mark: a scribed line. Default auto.",
    }),
    grip: lengthField(units, {
      what: 'Length of tube held on the kept side, of a sleeve that is set by the raw end beyond the long point; chosen when left out',
      range: LENGTHS.grip,
    }).optional(),
  };
  const short = endField('End the tool is for');
  const body = {
    'saw-guide': fields({ ...common, saw: nameReference('Saw, from shop.saws').optional() }),
    'marking-gauge': fields(common),
    'notch-collar': fields({
      ...common,
      surface: z.enum(['outer', 'inner', 'square']).default('outer').meta({
        description:
          'outer: outside of the branch to outside of the run, a line to scribe. inner: bore of the branch. square: longest over the wall. Default outer.',
      }),
      parts: z
        .literal(['auto', 1, 2])
        .default('auto')
        .meta({ description: 'One sleeve, or two halves. Default auto.' }),
    }),
  };
  return fields({
    'saw-guide': z.union([short, body['saw-guide']]).optional(),
    'marking-gauge': z.union([short, body['marking-gauge']]).optional(),
    'notch-collar': z.union([short, body['notch-collar']]).optional(),
    'segment-guide': z
      .union([
        nameReference('Member with the elbow'),
        fields({
          elbow: nameReference('Member with the elbow'),
          number: z
            .int()
            .min(1)
            .max(COUNTS.runItems)
            .default(1)
            .meta({ description: 'Which elbow of the member, counted from its start. Default 1.' }),
          saw: nameReference('Saw, from shop.saws').optional(),
          grip: lengthField(units, {
            what: 'Length of tube held on the side it is fed from; chosen when left out',
            range: LENGTHS.grip,
          }).optional(),
          name,
        }),
      ])
      .optional(),
    'opening-gauge': z
      .union([
        nameReference('Opening: its name, or the end of its branch'),
        fields({
          opening: nameReference('Opening: its name, or the end of its branch'),
          datum: z.enum(['auto', 'end', 'mark']).default('auto').meta({
            description:
              'What the gauge is set by. end: a square end of the tube; mark: lines scribed on it. Default auto: the end where it is near.',
          }),
          name,
        }),
      ])
      .optional(),
    'angle-block': fields({
      angle: angleField({ what: 'Angle between its two faces', range: ANGLES.block }).optional(),
      cut: endField('Flat cut whose angle it sets: its faces stand as the blade stands to the tube').optional(),
      of: nameReference('Member whose bend it checks').optional(),
      bend: z
        .int()
        .min(1)
        .max(COUNTS.runItems)
        .optional()
        .meta({ description: 'Which bend of the member, counted from its start; default 1.' }),
      length: lengthField(units, { what: 'Length of its faces', range: LENGTHS.block, preset: '80mm' }).prefault(
        '80mm',
      ),
      name,
    })
      .check(exactlyOne(['angle', 'cut', 'of'], 'angle block'))
      .meta({ oneOf: [{ required: ['angle'] }, { required: ['cut'] }, { required: ['of'] }] })
      .optional(),
    ...benchToolSchemas(units),
    'fit-up-cradle': cradleField(units).optional(),
  })
    .check(exactlyOne(TOOL_KINDS, 'tool'))
    .meta({ minProperties: 1, maxProperties: 1 });
}

export type RawTool = z.output<ReturnType<typeof toolSchema>>;
