import * as z from 'zod';
import { fields, lengthField, refuse, textField } from './fields.ts';
import { DENSITY, EXPANSION, LENGTHS } from './limits.ts';
import { PIPE_SIZES, pipeName, SCHEDULES, scheduleName } from './pipe.ts';
import type { Units } from './units.ts';
import { listed, quoted } from './wording.ts';

/** A size or schedule by name; handed on as the table of pipes names it. */
const pipeField = (what: string, named: (given: string | number) => string | undefined, all: readonly string[]) =>
  z
    .union([z.number(), z.string()])
    .transform((given, ctx): string => {
      const name = named(given);
      if (name !== undefined) return name;
      refuse(ctx, {
        code: 'field/unknown-choice',
        message: `is ${quoted(String(given))}; it takes ${listed(all, 'or')}`,
        hint: 'give od and wall for other sizes',
      });
      return z.NEVER;
    })
    .meta({ description: `${what}: ${listed(all, 'or')}.` });

/** A round tube by od and wall, a pipe by nps and sch, or nps and a wall. */
const roundFits = z.superRefine<object>(
  (value, ctx) => {
    if (ctx.issues.some((issue) => issue.code === 'unrecognized_keys')) return;
    const has = (key: string): boolean => Object.hasOwn(value, key);
    for (const [own, pipe] of [
      ['od', 'nps'],
      ['wall', 'sch'],
    ] as const) {
      if (!has(own) && !has(pipe))
        refuse(
          ctx,
          { code: 'field/missing', message: 'is missing', hint: `add ${own}: a number, with or without a unit` },
          [own],
        );
      if (has(own) && has(pipe))
        refuse(
          ctx,
          {
            code: 'field/conflict',
            message: `${own} and ${pipe} say the same thing twice`,
            hint: 'keep one of them',
            label: 'none',
          },
          [pipe],
        );
    }
    if (has('sch') && !has('nps') && has('od'))
      refuse(
        ctx,
        {
          code: 'field/conflict',
          message: 'sch needs nps: a wall goes with the size of the pipe',
          hint: 'give nps in place of od',
          label: 'none',
        },
        ['sch'],
      );
  },
  { when: ({ value }) => typeof value === 'object' && value !== null && !Array.isArray(value) },
);

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
      od: od.optional(),
      wall: wall.optional(),
      nps: pipeField('Nominal pipe size, ASME B36.10M, in place of od: 1, 1-1/4, 2', pipeName, PIPE_SIZES).optional(),
      sch: pipeField('Schedule of the pipe, in place of wall', scheduleName, SCHEDULES).optional(),
      ...metal,
      measured: measured({ od: od.optional(), wall: wall.optional() }),
    })
      .check(roundFits)
      .meta({
        allOf: [
          { anyOf: [{ required: ['od'] }, { required: ['nps'] }] },
          { anyOf: [{ required: ['wall'] }, { required: ['sch'] }] },
        ],
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
