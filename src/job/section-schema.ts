import { z } from 'zod';
import { fields, lengthField, textField } from './fields.ts';
import { DENSITY, EXPANSION, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

/** The shapes of tube, with the sizes each is ordered by. */
export function sectionSchema(units: Units) {
  const size = (what: string) => lengthField(units, { what, range: LENGTHS.od });
  const wall = lengthField(units, { what: 'Wall', range: LENGTHS.wall, wall: true });
  const corner = lengthField(units, {
    what: 'Outside corner radius; default twice the wall',
    range: LENGTHS.cornerRadius,
  });
  const material = z
    .union([textField('Material', 64), z.number()])
    .transform(String)
    .meta({ description: 'Material, for the cut sheet and masses, such as "304".' })
    .optional();
  const density = z
    .number()
    .min(DENSITY.min)
    .max(DENSITY.max)
    .meta({ description: `Density, g/cm3, ${DENSITY.min} to ${DENSITY.max}; that of the material when left out.` })
    .optional();
  const expansion = z
    .number()
    .min(EXPANSION.min)
    .max(EXPANSION.max)
    .meta({
      description: `Growth with heat, 1e-6 per degree C, ${EXPANSION.min} to ${EXPANSION.max}; that of the material when left out.`,
    })
    .optional();
  const metal = { material, density, expansion };
  const measured = <T extends z.core.$ZodLooseShape>(shape: T) =>
    fields(shape).meta({ description: 'What calipers said; every tool follows these sizes.' }).optional();
  const od = size('Outside diameter');
  const width = size('Outside width, right to left looking along the heading');
  const height = size('Outside height, up and down');
  const side = size('Outside of a side');
  const box = { width: width.optional(), height: height.optional(), wall: wall.optional() };
  return z.discriminatedUnion('kind', [
    fields({
      kind: z.literal('round'),
      od,
      wall,
      ...metal,
      measured: measured({ od: od.optional(), wall: wall.optional() }),
    }),
    fields({ kind: z.literal('flat-oval'), width, height, wall, ...metal, measured: measured(box) }),
    fields({ kind: z.literal('ellipse'), width, height, wall, ...metal, measured: measured(box) }),
    fields({
      kind: z.literal('rectangle'),
      width,
      height,
      wall,
      'corner-radius': corner.optional(),
      ...metal,
      measured: measured({ ...box, 'corner-radius': corner.optional() }),
    }),
    fields({
      kind: z.literal('square'),
      side,
      wall,
      'corner-radius': corner.optional(),
      ...metal,
      measured: measured({ ...box, side: side.optional(), 'corner-radius': corner.optional() }),
    }),
  ]);
}

export type RawSection = z.output<ReturnType<typeof sectionSchema>>;
