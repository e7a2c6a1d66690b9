import * as z from 'zod';
import { directionField, exactlyOne, fields, lengthField, pointField, refuse } from './fields.ts';
import { planeSchema } from './goal-schema.ts';
import { LENGTHS } from './limits.ts';
import type { Units } from './units.ts';

export const KEEP_OUT_SHAPES = ['box', 'cylinder', 'plane'] as const;

/** A body that the tubes must stay clear of. */
export function keepOutSchema(units: Units) {
  const size = lengthField(units, { what: 'Size', range: LENGTHS.keepOut });
  const box = fields({
    from: pointField(units, 'One corner, of a box along x, y and z').optional(),
    to: pointField(units, 'The corner across from it').optional(),
    at: pointField(units, 'The middle, of a box that may stand askew').optional(),
    size: z
      .array(size)
      .length(3)
      .transform((s) => [s[0]!, s[1]!, s[2]!] as const)
      .optional()
      .meta({ description: 'Whole sizes [along its heading, to the right, up], lengths.' }),
    heading: directionField('Which way its length lies; default x').optional(),
    up: directionField('Which way its height lies; default z').optional(),
  }).check(boxFits);
  const cylinder = fields({
    from: pointField(units, 'Middle of one end'),
    to: pointField(units, 'Middle of the other'),
    od: lengthField(units, { what: 'Diameter', range: LENGTHS.keepOut }),
  }).check(cylinderFits);
  return fields({
    box: box.optional(),
    cylinder: cylinder.optional(),
    plane: planeSchema(units).optional().meta({ description: 'The tubes stay on the side the normal points to.' }),
    clearance: lengthField(units, {
      what: 'Least distance of any tube',
      range: LENGTHS.clearance,
      preset: '0mm',
    }).prefault('0mm'),
  })
    .check(exactlyOne(KEEP_OUT_SHAPES, 'keep-out'))
    .meta({ oneOf: KEEP_OUT_SHAPES.map((shape) => ({ required: [shape] })) });
}

const isMap = ({ value }: { value: unknown }): boolean =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** Corners, or a middle and sizes. */
const boxFits = z.superRefine<object>(
  (value, ctx) => {
    if (ctx.issues.length > 0) return;
    const has = (key: string): boolean => Object.hasOwn(value, key);
    const corners = has('from') || has('to');
    const needs = corners ? ['from', 'to'] : ['at', 'size'];
    for (const key of needs.filter((k) => !has(k)))
      refuse(
        ctx,
        {
          code: 'field/missing',
          message: `is missing: a box has two corners, from and to, or at, its middle, and size`,
        },
        [key],
      );
    for (const key of corners ? ['at', 'size', 'heading', 'up'].filter(has) : [])
      refuse(
        ctx,
        {
          code: 'field/conflict',
          message: `${key} cannot stand in a box given by its corners`,
          hint: 'give at and size instead of from and to',
          label: 'none',
        },
        [key],
      );
  },
  { when: isMap },
);

const cylinderFits = z.superRefine<{ from: readonly number[]; to: readonly number[] }>(({ from, to }, ctx) => {
  if (from.some((x, i) => x !== to[i])) return;
  refuse(
    ctx,
    { code: 'field/conflict', message: 'from and to are one point: the cylinder has no length', label: 'none' },
    ['to'],
  );
});

export type RawKeepOut = z.output<ReturnType<typeof keepOutSchema>>;
