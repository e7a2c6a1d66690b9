import * as z from 'zod';
import type { Vec2 } from '../geometry/vector.ts';
import {
  angleField,
  directionField,
  endField,
  exactlyOne,
  fields,
  lengthField,
  nameReference,
  refuse,
  textField,
} from './fields.ts';
import { planeSchema } from './goal-schema.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

/** Flat parts: plates that tubes pass through, flanges, gussets, fillers. */
export function plateSchema(units: Units) {
  const length = (what: string, range: { min: number; max: number }, preset?: string) =>
    lengthField(units, { what, range, ...(preset === undefined ? {} : { preset }) });
  const side = (what: string) => length(what, LENGTHS.plate);
  const room = length('Room left round the tube', LENGTHS.plateRoom, '0.3mm').prefault('0.3mm');
  const corner = length('Radius of its corners', LENGTHS.cornerRadius, '5mm').prefault('5mm');
  const coordinate = length('Coordinate', LENGTHS.coordinate);
  const holeSize = length('Diameter of the hole', LENGTHS.plateHole);
  const outline = fields({
    margin: length('From the tubes to the edge of a rectangle round them all; default 20mm', LENGTHS.margin).optional(),
    width: side('Width, along x, about the point of the plane').optional(),
    height: side('Height, along y').optional(),
    corner,
    round: side('Diameter of a round plate about the point of the plane').optional(),
  }).check(outlineFits);
  const through = fields({
    members: z
      .array(nameReference('Member'))
      .min(1)
      .max(COUNTS.plateMembers)
      .meta({ description: 'Tubes that pass through it.' }),
    room,
    plane: planeSchema(units).meta({ description: 'Middle of its thickness.' }),
    along: directionField('Which way its own x runs; chosen when left out').optional(),
    outline: outline.prefault({}),
    holes: z
      .array(
        fields({
          at: z
            .array(coordinate)
            .length(2)
            .transform((p): Vec2 => [p[0]!, p[1]!])
            .meta({ description: 'Its middle: [x, y] from the point of the plane, lengths.' }),
          hole: holeSize,
        }),
      )
      .max(COUNTS.plateHoles)
      .default([])
      .meta({ description: 'Round holes.' }),
  });
  const bolts = fields({
    count: z
      .int()
      .min(1)
      .max(COUNTS.plateHoles)
      .meta({ description: `How many, 1 to ${COUNTS.plateHoles}.` }),
    hole: holeSize,
    circle: side('Diameter of the circle their middles lie on').optional(),
    out: length('Or: how far outside the tube they lie, evenly spaced along its outline', LENGTHS.margin).optional(),
    from: angleField({
      what: 'First hole, degrees clockwise from up seen along the tube (of a turn along the outline); default 0',
      range: ANGLES.turn,
    }).optional(),
  }).check(exactlyOne(['circle', 'out'], 'set of bolts'));
  const flange = fields({
    end: endField('Flat-cut or plain end it sits on'),
    fit: z.enum(['over', 'on']).default('over').meta({
      description: 'over: the tube passes into it; on: the tube stands on it, the hole is its bore. Default over.',
    }),
    room,
    margin: length("From the tube's outside to the edge", LENGTHS.margin, '20mm').prefault('20mm'),
    bolts: bolts.optional().meta({ description: 'Holes on a circle.' }),
  });
  const leg = side('Length along the tube');
  const gusset = fields({
    between: z.array(nameReference('Member')).length(2).meta({ description: 'Two tubes whose axes meet.' }),
    legs: z
      .union([leg, z.array(leg).length(2)])
      .meta({ description: 'Length along the tubes: one for both, or each its own.' }),
    gap: length('Left between its edges and the tubes', LENGTHS.gap, '0.5mm').prefault('0.5mm'),
    blunt: length('Width of its two ends', LENGTHS.margin, '10mm').prefault('10mm'),
    corner: length('Cut off its inside corner, along each tube', LENGTHS.margin, '10mm').prefault('10mm'),
  });
  return fields({
    through: through.optional(),
    flange: flange.optional(),
    gusset: gusset.optional(),
    filler: nameReference('Merge joint whose open places it closes').optional(),
    thickness: length('Thickness of the sheet', LENGTHS.sheet),
    material: z
      .union([textField('Material', 64), z.number()])
      .transform(String)
      .meta({ description: 'Material, for the cut sheet, such as "304".' })
      .optional(),
  }).check(exactlyOne(['through', 'flange', 'gusset', 'filler'], 'plate'));
}

const outlineFits = z.superRefine<object>(
  (value, ctx) => {
    const has = (key: string): boolean => Object.hasOwn(value, key);
    const clash = (key: string, message: string, hint: string): void =>
      refuse(ctx, { code: 'field/conflict', message, hint, label: 'none' }, [key]);
    const ways = [['margin'], ['width', 'height'], ['round']].filter((keys) => keys.some(has));
    if (ways.length > 1)
      clash(ways[1]!.find(has)!, 'the outline is given twice', 'keep margin, or width and height, or round');
    if (has('width') !== has('height'))
      refuse(ctx, { code: 'field/missing', message: 'a rectangle needs width and height', label: 'none' }, [
        has('width') ? 'height' : 'width',
      ]);
  },
  { when: ({ value }) => typeof value === 'object' && value !== null && !Array.isArray(value) },
);

export type RawPlate = z.output<ReturnType<typeof plateSchema>>;
