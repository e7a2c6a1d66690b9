import { z } from 'zod';
import { angleField, clrField, fields, lengthField, nameReference } from './fields.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

/** What is bought of one section: straight lengths, bends, and how the shop cuts them up. */
export function stockSchema(units: Units) {
  const allowance = (what: string, preset = '0mm') =>
    lengthField(units, { what, range: LENGTHS.allowance, preset }).prefault(preset);
  const leg = lengthField(units, { what: 'Straight beyond a tangent point', range: LENGTHS.along });
  const length = lengthField(units, { what: 'Bought length', range: LENGTHS.stockLength });
  const bend = fields({
    clr: clrField(units),
    angle: angleField({ what: 'Degree of bend', range: ANGLES.bend }),
    legs: z
      .union([leg, z.array(leg).length(2)])
      .prefault('0mm')
      .meta({ description: 'Straights before and after the bend: one length for both, or two. Default 0mm.' }),
  });
  return fields({
    lengths: z
      .union([length, z.array(length).min(1).max(COUNTS.stockLengths)])
      .optional()
      .meta({ description: 'Bought straight lengths: one, or a list.' }),
    bends: z.array(bend).min(1).max(COUNTS.stockBends).optional().meta({ description: 'Bought bends.' }),
    saw: nameReference('Saw that parts it, from shop.saws; default shop.saw').optional(),
    'square-end': allowance('Sawn off each raw end, kerf included, to have it square'),
    trim: allowance('Left on each cut end for sawing to the line afterwards'),
    grip: allowance('Added at each end of a member that is bent from a bought length, for the bender to hold'),
  });
}

export type RawStock = z.output<ReturnType<typeof stockSchema>>;
