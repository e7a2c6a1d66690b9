import * as z from 'zod';
import { angleField, clockField, exactlyOne, fields, lengthField, nameReference, refuse } from './fields.ts';
import { ANGLES, LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

const SHAPES = ['round', 'slot', 'rectangle'] as const;

/** A hole in a member that no branch makes. */
export function openingSchema(units: Units) {
  const size = (what: string) => lengthField(units, { what, range: LENGTHS.opening });
  const pair = (what: string) =>
    z
      .array(size('Size'))
      .length(2)
      .transform((s) => [s[0]!, s[1]!] as const)
      .meta({ description: `${what}: [along the tube, round it], lengths.` });
  return fields({
    on: nameReference('Member the hole is in'),
    at: lengthField(units, {
      what: 'Where its axis meets the centerline, along it from the start of the member',
      range: LENGTHS.along,
    }),
    toward: clockField('Which side of the tube', ANGLES.turn),
    lean: angleField({
      what: "Lean of its axis from square, toward the member's end; default 0",
      range: ANGLES.openingLean,
    }).optional(),
    round: size('Diameter').optional(),
    slot: pair('Slot with round ends').optional(),
    rectangle: pair('Rectangle').optional(),
    corner: lengthField(units, {
      what: 'Corner radius of a rectangle; default 0',
      range: LENGTHS.cornerRadius,
    }).optional(),
  })
    .check(exactlyOne(SHAPES, 'opening'), cornerFits)
    .meta({ oneOf: SHAPES.map((shape) => ({ required: [shape] })) });
}

const cornerFits = z.superRefine<{ rectangle?: unknown; corner?: unknown }>(
  (value, ctx) => {
    const { rectangle, corner } = value;
    if (corner === undefined) return;
    if (rectangle === undefined) {
      refuse(
        ctx,
        { code: 'field/conflict', message: 'only a rectangle has corners', hint: 'take corner away', label: 'none' },
        ['corner'],
      );
      return;
    }
    if (typeof corner !== 'number' || !Array.isArray(rectangle)) return;
    const least = Math.min(...rectangle.filter((x): x is number => typeof x === 'number'));
    if (2 * corner <= least) return;
    refuse(
      ctx,
      {
        code: 'field/conflict',
        message: 'the corner radius is more than half the rectangle',
        hint: 'write a slot for round ends',
        measured: corner,
        limit: least / 2,
        label: 'none',
      },
      ['corner'],
    );
  },
  { when: ({ value }) => typeof value === 'object' && value !== null && !Array.isArray(value) },
);

export type RawOpening = z.output<ReturnType<typeof openingSchema>>;
