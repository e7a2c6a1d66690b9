import { z } from 'zod';
import { fields, fileNameField, lengthField, nameReference } from './fields.ts';
import { COUNTS, LENGTHS } from './limits.ts';
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
  };
}

export type RawBenchTools = {
  [K in keyof ReturnType<typeof benchToolSchemas>]?: z.output<ReturnType<typeof benchToolSchemas>[K]> | undefined;
};
