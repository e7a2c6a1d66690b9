import * as z from 'zod';
import { angleField, clrField, fields, lengthField, nameReference } from './fields.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

/** What is bought of one section: straight lengths, bends, and how the shop cuts them up. */
export function stockSchema(units: Units) {
  const allowance = (what: string, preset = '0mm') =>
    lengthField(units, { what, range: LENGTHS.allowance, preset }).prefault(preset);
  const leg = lengthField(units, { what: 'Straight beyond a tangent point', range: LENGTHS.along });
  const length = lengthField(units, { what: 'Bought length', range: LENGTHS.stockLength });
  const count = (description: string) => z.int().min(0).max(COUNTS.onHand).meta({ description });
  const held = fields({ length, count: count('How many; default 1').default(1) });
  const bend = fields({
    clr: clrField(units),
    angle: angleField({ what: 'Degree of bend', range: ANGLES.bend }),
    legs: z
      .union([leg, z.array(leg).length(2)])
      .prefault('0mm')
      .meta({ description: 'Straights before and after the bend: one length for both, or two. Default 0mm.' }),
    'on-hand': count('How many of it are in the rack').optional(),
  });
  return fields({
    lengths: z
      .union([length, z.array(length).min(1).max(COUNTS.stockLengths)])
      .optional()
      .meta({ description: 'Bought straight lengths: one, or a list.' }),
    'on-hand': z
      .union([count('How many of the bought length are in the rack'), z.array(held).min(1).max(COUNTS.stockLengths)])
      .optional()
      .meta({
        description:
          'What is in the rack, used before any is bought: how many of the one bought length, or a list of lengths and offcuts, each with a count.',
      }),
    bends: z.array(bend).min(1).max(COUNTS.stockBends).optional().meta({ description: 'Bought bends.' }),
    saw: nameReference('Saw that parts it, from shop.saws; default shop.saw').optional(),
    'square-end': allowance('Sawn off each raw end, kerf included, to have it square'),
    trim: allowance('Left on each cut end for sawing to the line afterwards'),
    grip: lengthField(units, {
      what: 'Added at each end of a member that is bent from a bought length; default what shop.bender needs beyond its straight there',
      range: LENGTHS.allowance,
    }).optional(),
  });
}

export type RawStock = z.output<ReturnType<typeof stockSchema>>;
