import * as z from 'zod';
import { fields, lengthField, nameReference, partName } from './fields.ts';
import { LENGTHS, type Range } from './limits.ts';
import type { Units } from './units.ts';

const MATERIALS = ['pla', 'petg', 'abs', 'asa', 'pa', 'pc', 'resin'] as const;

/** Printer, fits and saws; every field has a default. */
export function shopSchema(units: Units) {
  const length = (what: string, range: Range, preset: string) =>
    lengthField(units, { what, range, preset }).prefault(preset);
  const printer = fields({
    bed: z
      .array(lengthField(units, { what: 'Bed', range: LENGTHS.bed }))
      .length(3)
      .transform((bed) => [bed[0]!, bed[1]!, bed[2]!] as const)
      .prefault(['220mm', '220mm', '250mm'])
      .meta({ description: 'Usable bed: [x, y, height], lengths. Default [220mm, 220mm, 250mm].' }),
    nozzle: length('Nozzle bore', LENGTHS.nozzle, '0.4mm'),
    layer: length('Layer height', LENGTHS.layer, '0.2mm'),
    material: z.enum(MATERIALS).default('petg').meta({ description: 'What the tools are printed in. Default petg.' }),
  });
  const saw = fields({
    kind: z.enum(['vertical-band', 'top-down']).meta({
      description:
        'vertical-band: the blade stands up and the work slides on a table. top-down: the blade comes down on the work.',
    }),
    kerf: lengthField(units, {
      what: 'Width the blade takes; default 1.2mm, top-down 2.4mm',
      range: LENGTHS.kerf,
    }).optional(),
    blade: lengthField(units, {
      what: 'Thickness of the blade; default 0.9mm, top-down 2mm',
      range: LENGTHS.blade,
    }).optional(),
    clearance: lengthField(units, {
      what: 'Added to the blade for the slot, in all; default 0.3mm, top-down 0.4mm',
      range: LENGTHS.bladeClearance,
    }).optional(),
  });
  const least = (what: string) => lengthField(units, { what, range: LENGTHS.along }).optional();
  const bender = fields({
    grip: least('Least straight the bender needs before, between and after bends, where the others do not say'),
    first: least('Least straight before the first bend'),
    between: least('Least straight between two bends'),
    last: least('Least straight behind the last bend'),
    clr: lengthField(units, { what: 'Tightest bend it makes', range: LENGTHS.clr }).optional(),
  }).meta({ description: 'What the tube bender can do; without it bends are not checked against one.' });
  return fields({
    bender: bender.optional(),
    printer: printer.prefault({}),
    fit: fields({ slide: length('Radial clearance of sleeves and cradles', LENGTHS.slide, '0.3mm') }).prefault({}),
    wall: length('Printed wall of sleeves and cradles', LENGTHS.printedWall, '4mm'),
    strap: fields({
      width: length('Width of the strap or cable tie', LENGTHS.strapWidth, '5mm'),
      thickness: length('Room for its thickness', LENGTHS.strapThickness, '2mm'),
    }).prefault({}),
    labels: z
      .boolean()
      .default(true)
      .meta({ description: 'Engrave names, numbers and the kept-side arrow. Default true.' }),
    'chord-tolerance': length(
      'Largest distance between a printed facet and the true curve',
      LENGTHS.chordTolerance,
      '0.01mm',
    ),
    saws: z.record(partName(), saw).optional().meta({ description: 'Saws by name. Default: bandsaw and chop-saw.' }),
    saw: nameReference('Saw used where a tool names none. Default bandsaw, or the first saw listed.').optional(),
  });
}

export type RawShop = z.output<ReturnType<typeof shopSchema>>;
