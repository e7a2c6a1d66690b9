import * as z from 'zod';
import { fields, fileNameField, lengthField, partName, textField } from './fields.ts';
import { jointSchema } from './joint-schema.ts';
import { keepOutSchema } from './keep-out-schema.ts';
import { COUNTS, HEAT_RISE, LENGTHS } from './limits.ts';
import { memberSchema } from './member-schema.ts';
import { openingSchema } from './opening-schema.ts';
import { plateSchema } from './plate-schema.ts';
import { sectionSchema } from './section-schema.ts';
import { shopSchema } from './shop-schema.ts';
import { stockSchema } from './stock-schema.ts';
import { toolSchema } from './tool-schema.ts';
import type { Units } from './units.ts';

/** The parts of a job, each checked by itself so that one wrong part hides nothing about the others. */
export interface JobParts {
  readonly shop: z.ZodType;
  readonly section: z.ZodType;
  readonly member: z.ZodType;
  readonly joint: z.ZodType;
  readonly tool: z.ZodType;
  readonly keepOut: z.ZodType;
  readonly plate: z.ZodType;
  readonly opening: z.ZodType;
  readonly stock: z.ZodType;
}

const partSchemas = (units: Units) => ({
  shop: shopSchema(units),
  section: sectionSchema(units),
  member: memberSchema(units),
  joint: jointSchema(units),
  tool: toolSchema(units),
  keepOut: keepOutSchema(units),
  plate: plateSchema(units),
  opening: openingSchema(units),
  stock: stockSchema(units),
});

/** The top of a job over the given parts. */
const jobOver = (parts: JobParts, units: Units) =>
  fields({
    job: fileNameField('Name of the job; the names of its files begin with it'),
    about: textField('What is built; free text').optional(),
    units: z.enum(['mm', 'in']).default('mm').meta({ description: 'What a bare number means. Default mm.' }),
    shop: parts.shop.optional().meta({ description: 'Printer, fits and saws; all of it has defaults.' }),
    sections: z
      .record(partName(), parts.section)
      .meta({ description: 'Tube sizes by name.', minProperties: 1, maxProperties: COUNTS.sections }),
    members: z
      .record(partName(), parts.member)
      .meta({ description: 'Tubes by name.', minProperties: 1, maxProperties: COUNTS.members }),
    joints: z.array(parts.joint).max(COUNTS.joints).default([]).meta({ description: 'Cuts and joints.' }),
    tools: z
      .union([z.literal('auto'), z.array(z.union([z.literal('auto'), parts.tool])).max(COUNTS.tools)])
      .default('auto')
      .meta({
        description:
          'Printed tools: auto gives each cut end what suits it; or a list, where auto stands for every cut end that the list names no tool for. Default auto.',
      }),
    openings: z.record(partName(), parts.opening).optional().meta({
      description: 'Holes that no branch makes, by name.',
      maxProperties: COUNTS.openings,
    }),
    stock: z.record(z.string(), parts.stock).optional().meta({
      description: 'What is bought of each section, by the name of the section: the pieces are nested into it.',
      maxProperties: COUNTS.sections,
    }),
    'keep-out': z.record(partName(), parts.keepOut).optional().meta({
      description: 'What the tubes must stay clear of, by name.',
      maxProperties: COUNTS.keepOuts,
    }),
    heat: fields({
      rise: z
        .number()
        .min(HEAT_RISE.min)
        .max(HEAT_RISE.max)
        .meta({
          description: `Degrees C by which it gets hotter than it was measured at, ${HEAT_RISE.min} to ${HEAT_RISE.max}; degrees F times 5/9.`,
        }),
    })
      .optional()
      .meta({ description: 'How much the pieces grow is told.' }),
    clearance: lengthField(units, {
      what: 'Least distance between members that no joint joins; only touching is told when left out',
      range: LENGTHS.clearance,
    }).optional(),
    plates: z.record(partName(), parts.plate).optional().meta({
      description: 'Flat parts by name: drawn as DXF and SVG for a profile cutter.',
      maxProperties: COUNTS.plates,
    }),
    variants: z.record(partName(), z.record(z.string(), z.unknown())).optional().meta({
      description:
        'One set of tools for each, named after job and variant: values by path, put over the job, e.g. wide: { members.rail.points.1.0: 400 }.',
      maxProperties: COUNTS.variants,
    }),
  });

/** The whole job. */
export const jobSchema = (units: Units) => jobOver(partSchemas(units), units);

/** The top only: parts are looked at later, each with its own schema. */
function topSchema(units: Units) {
  const later = z.unknown();
  return jobOver(
    {
      shop: later,
      section: later,
      member: later,
      joint: later,
      tool: later,
      keepOut: later,
      plate: later,
      opening: later,
      stock: later,
    },
    units,
  );
}

/**
 * What a job is checked with. The schemas hang on the units and nothing else, and making them takes several times as long
 * as checking a job with them: they are constants, made when first asked for.
 */
export const schemasOf = (units: Units) => SCHEMAS[units]();

const once = <T>(make: () => T): (() => T) => {
  let made: T | undefined;
  return () => {
    made ??= make();
    return made;
  };
};

const schemasIn = (units: Units) => once(() => ({ top: topSchema(units), ...partSchemas(units) }));
const SCHEMAS = { mm: schemasIn('mm'), in: schemasIn('in') } as const;

/** JSON Schema of a job file, for editors: every field with its meaning, unit, range and default. */
export function jobJsonSchema(): object {
  const { $schema, ...rest } = z.toJSONSchema(jobSchema('mm'), { io: 'input', target: 'draft-7', reused: 'inline' });
  return { $schema, title: 'Kerfwright job', ...rest };
}
