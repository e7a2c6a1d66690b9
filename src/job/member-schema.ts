import * as z from 'zod';
import type { Vec2 } from '../geometry/vector.ts';
import {
  angleField,
  clrField,
  directionField,
  exactlyOne,
  fields,
  isMap,
  lengthField,
  nameReference,
  pointField,
  refuse,
} from './fields.ts';
import { goalSchema } from './goal-schema.ts';
import { ANGLES, COUNTS, LENGTHS } from './limits.ts';
import { angleOrSolve, clockOrSolve, straightOrSolve, turnOrSolve } from './solve-field.ts';
import type { Units } from './units.ts';
import { listed } from './wording.ts';

/** A tube carried along a centerline: by a run, by points, or as a mirror image. */
export function memberSchema(units: Units) {
  const up = directionField(
    'Which way the witness line lies; default z, and x for a tube that stands upright',
  ).optional();
  const measured = fields({
    clr: lengthField(units, { what: 'Centerline radius as bent', range: LENGTHS.clr }).optional(),
    angle: angleField({ what: 'Degree of bend as bent, after springback', range: ANGLES.bend }).optional(),
  }).meta({ description: 'What the bend came out as; the layout and every tool follow it.', minProperties: 1 });
  const turn = {
    clr: clrField(units),
    angle: angleOrSolve({ what: 'Degree of bend', range: ANGLES.bend }),
    toward: clockOrSolve('Which way it turns', ANGLES.turn).optional(),
    'plane-of-bend': turnOrSolve({
      what: 'Turn from the plane of the bend before; the first counts from up',
      range: ANGLES.turn,
    }).optional(),
  };
  const oneSide = { oneOf: [{ required: ['toward'] }, { required: ['plane-of-bend'] }] };
  const bend = fields({ ...turn, measured: measured.optional() })
    .check(exactlyOne(['toward', 'plane-of-bend'], 'bend'))
    .meta(oneSide);
  const length = lengthField(units, { what: 'Length along the heading', range: LENGTHS.taper });
  const sideways = lengthField(units, { what: 'Offset', range: LENGTHS.taperOffset });
  const taper = fields({
    to: nameReference('Section it leads to; the run goes on with it'),
    length,
    offset: z
      .array(sideways)
      .length(2)
      .transform((p): Vec2 => [p[0]!, p[1]!])
      .optional()
      .meta({
        description: 'Of an eccentric taper: where its end lies beside its start, [right, up], lengths. Default none.',
      }),
    measured: fields({ length: length.optional() }).optional().meta({
      description: 'What calipers said; every tool follows it. End sections are measured where they are defined.',
    }),
  });
  const item = fields({
    straight: straightOrSolve(units, { what: 'Length between tangent points', range: LENGTHS.straight }).optional(),
    bend: bend.optional(),
    elbow: fields({
      ...turn,
      welds: z.int().min(1).max(COUNTS.welds).optional().meta({ description: 'Welds between the straight pieces.' }),
      pieces: z
        .int()
        .min(2)
        .max(COUNTS.welds + 1)
        .optional()
        .meta({ description: 'Pieces, both end pieces counted: one more than welds.' }),
      gap: lengthField(units, { what: 'Weld gap left at each weld', range: LENGTHS.gap, preset: '0mm' }).prefault(
        '0mm',
      ),
    })
      .check(exactlyOne(['toward', 'plane-of-bend'], 'elbow'), exactlyOne(['welds', 'pieces'], 'elbow'))
      .meta({
        description: 'A turn welded up of straight pieces, cut at equal miters: a segmented elbow.',
        allOf: [oneSide, { oneOf: [{ required: ['welds'] }, { required: ['pieces'] }] }],
      })
      .optional(),
    taper: taper.optional(),
  })
    .check(exactlyOne(['straight', 'bend', 'elbow', 'taper'], 'run item'))
    .meta({ minProperties: 1, maxProperties: 1 });
  const start = fields({
    at: pointField(units, 'Where the centerline starts; default the origin').prefault([0, 0, 0]),
    heading: directionField('Which way it sets off'),
    up,
  });
  return fields({
    section: nameReference('Name of the section').optional(),
    start: start.optional(),
    run: z
      .array(item)
      .min(1)
      .max(COUNTS.runItems)
      .optional()
      .meta({ description: 'Straights, bends, segmented elbows and tapers, in order.' }),
    goal: goalSchema(units).optional(),
    points: z
      .array(pointField(units, 'A point'))
      .min(2)
      .max(COUNTS.points)
      .optional()
      .meta({ description: 'Start, corners and end of the centerline.' }),
    clr: z
      .union([clrField(units), z.array(clrField(units)).max(COUNTS.points)])
      .optional()
      .meta({ description: 'Centerline radius at the corners: one for all, or a list with one for each.' }),
    up,
    measured: z
      .array(
        fields({
          bend: z.int().min(1).max(COUNTS.points).meta({ description: 'Which bend, counted from the start.' }),
          clr: lengthField(units, { what: 'Centerline radius as bent', range: LENGTHS.clr }).optional(),
          angle: angleField({ what: 'Degree of bend as bent, after springback', range: ANGLES.bend }).optional(),
        }),
      )
      .min(1)
      .max(COUNTS.points)
      .optional()
      .meta({
        description:
          'What bends of a member given by points, or of a mirror image, came out as; straights stay as long as they were, and all behind moves.',
      }),
    mirror: nameReference('Member this one is the mirror image of').optional(),
    across: fields({
      at: pointField(units, 'A point of the plane; default the origin').prefault([0, 0, 0]),
      normal: directionField('Square to the plane'),
    })
      .optional()
      .meta({ description: 'Mirror plane.' }),
  })
    .check(oneMemberKind)
    .meta({
      anyOf: [
        { required: ['section', 'start', 'run'] },
        { required: ['section', 'points'] },
        { required: ['mirror', 'across'] },
      ],
    });
}

const KINDS = {
  run: { needs: ['section', 'start', 'run'], may: ['goal'], told: 'a member given by a run' },
  points: { needs: ['section', 'points'], may: ['clr', 'up', 'measured'], told: 'a member given by points' },
  mirror: { needs: ['mirror', 'across'], may: ['measured'], told: 'a mirror image' },
} as const satisfies Record<string, { needs: readonly string[]; may: readonly string[]; told: string }>;

const CURES: ReadonlyMap<string, string> = new Map([
  ['run up', 'put up inside start'],
  ['run clr', 'give clr at each bend of the run'],
  ['run measured', 'give measured at the bend of the run that was measured'],
  ['run across', 'across goes with mirror'],
  ['points goal', 'goals fix the unknowns of a run; points have none'],
  ['points start', 'the first point is the start'],
  ['points run', 'give either run or points'],
  ['mirror section', 'a mirror image has the section of its original'],
]);

/** Which of the three kinds a member is, from the fields that stand there. */
export function memberKind(value: object): keyof typeof KINDS | undefined {
  const has = (key: string): boolean => Object.hasOwn(value, key);
  if (has('mirror')) return 'mirror';
  if (has('points')) return 'points';
  if (has('run') || has('start')) return 'run';
  return has('across') ? 'mirror' : undefined;
}

const oneMemberKind = z.superRefine<object>(
  (value, ctx) => {
    const kind = memberKind(value);
    if (kind === undefined) {
      if (ctx.issues.some((issue) => issue.code === 'unrecognized_keys')) return;
      refuse(ctx, {
        code: 'field/missing',
        message: 'needs run, points or mirror',
        hint: 'a run is a start and a list of straights, bends and tapers; points are corners with a clr',
      });
      return;
    }
    const { needs, may, told } = KINDS[kind];
    const allowed: readonly string[] = [...needs, ...may];
    for (const key of Object.keys(value).filter((k) => !allowed.includes(k))) {
      refuse(
        ctx,
        {
          code: 'field/conflict',
          message: `${key} cannot stand in ${told}`,
          hint: CURES.get(`${kind} ${key}`) ?? `take ${key} away`,
          label: 'none',
        },
        [key],
      );
    }
    for (const key of needs.filter((k) => !Object.hasOwn(value, k))) {
      refuse(ctx, { code: 'field/missing', message: `is missing: ${told} needs ${listed(needs)}` }, [key]);
    }
  },
  { when: isMap },
);

export type RawMember = z.output<ReturnType<typeof memberSchema>>;
export type RawRunItem = NonNullable<RawMember['run']>[number];
