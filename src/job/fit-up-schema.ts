import * as z from 'zod';
import { directionField, exactlyOne, fields, fileNameField, lengthField, nameReference, partName } from './fields.ts';
import type { FitUpCradleSpec } from './fit-up.ts';
import { COUNTS, LENGTHS } from './limits.ts';
import type { JobPath } from './problem.ts';
import type { Units } from './units.ts';

/** Lengths mm. */
const PRESET = { heat: 25, saddle: 20, base: 'frame' } as const;

/** A fit-up cradle: the name of a joint, or field by field. */
export const cradleField = (units: Units) => z.union([nameReference('Joint it holds, by name'), cradleFields(units)]);

/** What a cradle holds: one of these. */
const HOLDS = ['joint', 'joints', 'members', 'all'] as const;

const cradleFields = (units: Units) =>
  fields({
    joint: nameReference('Joint it holds, by name').optional(),
    joints: z
      .array(nameReference('Joint, by name'))
      .min(1)
      .max(COUNTS.joints)
      .optional()
      .meta({ description: 'Joints it holds; bases that would overlap are made one.' }),
    members: z
      .array(nameReference('Member'))
      .min(1)
      .max(COUNTS.members)
      .optional()
      .meta({ description: 'Members it holds, at every joint between them.' }),
    all: z.literal(true).optional().meta({ description: 'Every joint of the job, on one table.' }),
    up: directionField('Up from the bench; chosen when left out').optional(),
    heat: lengthField(units, {
      what: 'Least distance of the print from every seam',
      range: LENGTHS.heat,
      preset: `${PRESET.heat}mm`,
    }).prefault(`${PRESET.heat}mm`),
    saddle: lengthField(units, {
      what: 'Length of a saddle along its tube',
      range: LENGTHS.saddle,
      preset: `${PRESET.saddle}mm`,
    }).prefault(`${PRESET.saddle}mm`),
    base: z
      .enum(['frame', 'plate'])
      .default(PRESET.base)
      .meta({ description: 'frame: rails under the saddles. plate: one whole plate. Default frame.' }),
    height: lengthField(units, {
      what: 'From the bench to the lowest tube over the base; chosen when left out',
      range: LENGTHS.height,
    }).optional(),
    stations: z
      .record(
        partName(),
        z
          .array(lengthField(units, { what: 'Middle of a saddle, along the centerline', range: LENGTHS.along }))
          .min(1)
          .max(COUNTS.stations),
      )
      .optional()
      .meta({
        description:
          'Where the saddles of a member stand, by its name: distances from its start; chosen where left out.',
      }),
    name: fileNameField('File stem; made from its kind when left out').optional(),
  })
    .check(exactlyOne(HOLDS, 'cradle'))
    .meta({ oneOf: HOLDS.map((key) => ({ required: [key] })) });

type RawCradle = z.output<ReturnType<typeof cradleField>>;

/** The short form `fit-up-cradle: joint` stands for the cradle with every default. */
export function cradleSpec(raw: RawCradle, path: JobPath): FitUpCradleSpec {
  const kind = 'fit-up-cradle';
  if (typeof raw === 'string') {
    const holds = { kind: 'joints', joints: [{ joint: raw, path }] } as const;
    return { kind, path, holds, ...PRESET, stations: [] };
  }
  const { up, heat, saddle, base, height, name } = raw;
  return {
    kind,
    path,
    holds: cradleHolds(raw, path),
    heat,
    saddle,
    base,
    stations: Object.entries(raw.stations ?? {}).map(([member, at]) => ({
      member,
      at,
      path: [...path, 'stations', member],
    })),
    ...(up === undefined ? {} : { up }),
    ...(height === undefined ? {} : { height }),
    ...(name === undefined ? {} : { name }),
  };
}

function cradleHolds(raw: Exclude<RawCradle, string>, path: JobPath): FitUpCradleSpec['holds'] {
  if (raw.all) return { kind: 'all' };
  if (raw.members) {
    return {
      kind: 'members',
      members: raw.members.map((member, i) => ({ member, path: [...path, 'members', i] })),
    };
  }
  const one = raw.joint === undefined ? [] : [{ joint: raw.joint, path: [...path, 'joint'] }];
  const list = (raw.joints ?? []).map((joint, i) => ({ joint, path: [...path, 'joints', i] }));
  return { kind: 'joints', joints: [...one, ...list] };
}
