import * as z from 'zod';
import type { Deg, Mm, Vec3 } from '../geometry/vector.ts';
import { BEND_RATIO, COUNTS, DIRECTION, LENGTHS, type Range } from './limits.ts';
import { FILE_NAME, nameComplaint, PART_NAME } from './names.ts';
import { figure } from './problem.ts';
import { type Complaint, parseAngle, parseLength, parseWall, type Reading, type Units } from './units.ts';
import { lengthText, listed, quoted } from './wording.ts';

/** What a field check hands to the translation into problems, as the params of a custom issue. */
export interface Refusal extends Complaint {
  readonly measured?: number;
  readonly limit?: number;
  /** How the name of the field goes with the message: as its subject (when left out), before a colon, or not at all. */
  readonly label?: 'colon' | 'none';
}

/** What a check may do with its refusals. */
export interface Refuser {
  addIssue(issue: {
    code: 'custom';
    message: string;
    params: { refusal: Refusal };
    path?: PropertyKey[];
    input?: unknown;
  }): void;
}

export function refuse(ctx: Refuser, refusal: Refusal, path: PropertyKey[] = []): void {
  ctx.addIssue({ code: 'custom', message: refusal.message, params: { refusal }, path });
}

/** Strict map of fields. Its message lists the fields it knows, for the did-you-mean of an unknown one. */
export const fields = <T extends z.core.$ZodLooseShape>(shape: T) =>
  z.strictObject(shape, {
    error: (issue) => (issue.code === 'unrecognized_keys' ? Object.keys(shape).join(' ') : undefined),
  });

export const numberOrText = () => z.union([z.number(), z.string()]);

const HOW_LENGTH =
  'Length: a bare number is in the units of the job; 57.15mm, 2.25in, 2-1/4in or 1/2" carry their own.';
const HOW_ANGLE = 'Degrees: 45, 22.5deg, 22d30m, or a slope such as 1:12.';

interface NumberField<T extends number> {
  readonly what: string;
  readonly range: Range<T>;
  /** As written in a file, with its unit. */
  readonly preset?: string;
  /** Read gauges. */
  readonly wall?: boolean;
}

const describe = ({ what, range, preset }: NumberField<number>, how: string, unit: string): string =>
  `${what}. ${how} ${figure(range.min)} to ${figure(range.max)} ${unit}.${preset === undefined ? '' : ` Default ${preset}.`}`;

/** A length in mm. */
export function lengthField(units: Units, field: NumberField<Mm>) {
  const read = (value: string | number) => (field.wall ? parseWall : parseLength)(value, units);
  const how = field.wall ? `${HOW_LENGTH} Or a Birmingham gauge: 16bwg.` : HOW_LENGTH;
  return numberOrText()
    .transform((value, ctx): Mm => {
      const mm = settle(ctx, read(value));
      if (mm !== undefined) checkLength(ctx, { mm, value, units, range: field.range });
      return mm ?? z.NEVER;
    })
    .meta({ description: describe(field, how, 'mm') });
}

function settle(ctx: Refuser, reading: Reading): number | undefined {
  if (reading.ok) return reading.value;
  const { code, message, hint } = reading;
  refuse(ctx, { code, message, ...(hint === undefined ? {} : { hint }), label: 'colon' });
  return undefined;
}

interface CheckedLength {
  readonly mm: Mm;
  readonly value: string | number;
  readonly units: Units;
  readonly range: Range<Mm>;
}

function checkLength(ctx: Refuser, { mm, value, units, range }: CheckedLength): void {
  if (mm >= range.min && mm <= range.max) return;
  const other = typeof value === 'number' ? (units === 'in' ? value : value * 25.4) : Number.NaN;
  const fits = other >= range.min && other <= range.max;
  const otherUnit = units === 'in' ? 'mm' : 'in';
  refuse(ctx, {
    code: 'field/out-of-range',
    message: `is ${lengthText(mm, units)}; it takes ${figure(units === 'in' ? range.min / 25.4 : range.min)} to ${lengthText(range.max, units)}`,
    ...(fits ? { hint: `a bare number is ${units} in this job; write ${value}${otherUnit} if that is meant` } : {}),
    measured: mm,
    limit: mm < range.min ? range.min : range.max,
  });
}

/** Reads a number as the file writes it, or tells why not. */
export type ReadNumber = (ctx: Refuser, value: string | number) => number;

export const lengthReader =
  (units: Units, range: Range<Mm>): ReadNumber =>
  (ctx, value) => {
    const mm = settle(ctx, parseLength(value, units));
    if (mm !== undefined) checkLength(ctx, { mm, value, units, range });
    return mm ?? z.NEVER;
  };

export const angleReader =
  (range: Range<Deg>): ReadNumber =>
  (ctx, value) =>
    readAngle(ctx, value, range);

/** An angle in degrees. */
export function angleField(field: NumberField<Deg>) {
  return numberOrText()
    .transform((value, ctx): Deg => readAngle(ctx, value, field.range))
    .meta({ description: describe(field, HOW_ANGLE, 'degrees') });
}

function readAngle(ctx: Refuser, value: string | number, range: Range<Deg>): Deg {
  const deg = settle(ctx, parseAngle(value));
  if (deg === undefined) return z.NEVER;
  if (deg >= range.min && deg <= range.max) return deg;
  refuse(ctx, {
    code: 'field/out-of-range',
    message: `is ${figure(deg)} deg; it takes ${figure(range.min)} to ${figure(range.max)} deg`,
    ...(range.max === 180 && deg > 180 ? { hint: 'write two bends, one after the other' } : {}),
    measured: deg,
    limit: deg < range.min ? range.min : range.max,
  });
  return z.NEVER;
}

const CLOCK: ReadonlyMap<string, Deg> = new Map([
  ['up', 0],
  ['right', 90],
  ['down', 180],
  ['left', 270],
]);

/** A side of the tube, looking along the heading: up, right, down, left, or degrees clockwise from up. */
export const clockField = (what: string, range: Range<Deg>) =>
  numberOrText()
    .transform((value, ctx): Deg => readClock(ctx, value, range))
    .meta({ description: `${what}: up, right, down, left, or degrees clockwise from up, looking along the heading.` });

export const clockReader =
  (range: Range<Deg>): ReadNumber =>
  (ctx, value) =>
    readClock(ctx, value, range);

function readClock(ctx: Refuser, value: string | number, range: Range<Deg>): Deg {
  const words = [...CLOCK.keys()];
  const word = typeof value === 'string' ? value.trim().toLowerCase() : '';
  const known = CLOCK.get(word);
  if (known !== undefined) return known;
  if (!/^[a-z]{2,}$/.test(word)) return readAngle(ctx, value, range);
  refuse(ctx, {
    code: 'field/unknown-choice',
    message: `is ${quoted(word)}; it takes ${listed(words, 'or')}, or degrees`,
    hint: 'degrees count clockwise from up, looking along the heading',
  });
  return z.NEVER;
}

/** clr as written: a length, or a multiple of OD. */
export type Clr =
  | { readonly kind: 'length'; readonly length: Mm }
  | { readonly kind: 'ratio'; readonly bendRatio: number };

export function clrField(units: Units) {
  return numberOrText()
    .transform((value, ctx): Clr => {
      const ratio = typeof value === 'string' ? /^\s*(\d*\.?\d+)\s*x?\s*D\s*$/i.exec(value) : null;
      if (!ratio) {
        const mm = settle(ctx, parseLength(value, units));
        if (mm !== undefined) checkLength(ctx, { mm, value, units, range: LENGTHS.clr });
        return mm === undefined ? z.NEVER : { kind: 'length', length: mm };
      }
      const bendRatio = Number(ratio[1]);
      if (bendRatio >= BEND_RATIO.min && bendRatio <= BEND_RATIO.max) return { kind: 'ratio', bendRatio };
      refuse(ctx, {
        code: 'field/out-of-range',
        message: `is ${figure(bendRatio)} times OD; it takes ${BEND_RATIO.min}D to ${BEND_RATIO.max}D`,
        measured: bendRatio,
        limit: bendRatio < BEND_RATIO.min ? BEND_RATIO.min : BEND_RATIO.max,
      });
      return z.NEVER;
    })
    .meta({ description: `Centerline radius of the bend. ${HOW_LENGTH} Or a multiple of OD: 1.5D.` });
}

/** A point: three coordinates, mm. */
export function pointField(units: Units, what: string) {
  const coordinate = lengthField(units, { what: 'Coordinate', range: LENGTHS.coordinate });
  return z
    .array(coordinate)
    .length(3)
    .transform((p): Vec3 => [p[0]!, p[1]!, p[2]!])
    .meta({ description: `${what}: [x, y, z], lengths.` });
}

/** A direction, handed on as a unit vector. */
export function directionField(what: string) {
  return z
    .array(z.number())
    .length(3)
    .transform((p, ctx): Vec3 => {
      const d: Vec3 = [p[0]!, p[1]!, p[2]!];
      const n = Math.hypot(...d);
      if (n >= DIRECTION.min && n <= DIRECTION.max) return [d[0] / n + 0, d[1] / n + 0, d[2] / n + 0];
      refuse(ctx, {
        code: 'field/out-of-range',
        message: n < DIRECTION.min ? 'has no length, so it points nowhere' : 'has components too large for a direction',
        hint: 'give a direction such as [0, 0, 1]; only the ratio of the three numbers counts',
      });
      return z.NEVER;
    })
    .meta({ description: `${what}: [x, y, z]; only the ratio counts.` });
}

/** Free text: no control characters, which neither labels nor 3MF files can hold. */
export const textField = (what: string, max: number = COUNTS.textLength) =>
  z
    .string()
    .superRefine((text, ctx) => {
      if (text.length > max) {
        refuse(ctx, {
          code: 'field/out-of-range',
          message: `has ${text.length} characters; it takes at most ${max}`,
          measured: text.length,
          limit: max,
        });
      }
      const bad = /[\p{Cc}\p{Cs}]/u.exec(text.replace(/[\n\t]/g, ''))?.[0];
      if (bad !== undefined) {
        const point = bad.codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0');
        refuse(ctx, {
          code: 'field/wrong-type',
          message: `holds the control character U+${point}`,
          hint: 'write plain text',
        });
      }
    })
    .meta({ description: what });

/** A name that becomes a file name. */
export const fileNameField = (what: string) =>
  z
    .string()
    .superRefine((name, ctx) => {
      const complaint = nameComplaint(name, 'file');
      if (complaint) refuse(ctx, { ...complaint, label: 'colon' });
    })
    .meta({
      description: `${what}. Letters a-z, digits, - _ and . ; at most ${COUNTS.nameLength} characters.`,
      pattern: FILE_NAME.source,
      maxLength: COUNTS.nameLength,
    });

/** Key of a section, member or saw. */
export const partName = () =>
  z
    .string()
    .superRefine((name, ctx) => {
      const complaint = nameComplaint(name, 'part');
      if (complaint) refuse(ctx, { ...complaint, label: 'colon' });
    })
    .meta({ pattern: PART_NAME.source, maxLength: COUNTS.nameLength });

/** A field that names something else in the job; whether it is there is checked with the whole job at hand. */
export const nameReference = (what: string) => z.string().meta({ description: what });

export interface EndText {
  readonly member: string;
  readonly end: 'start' | 'end';
}

/** An end of a member: `leg.start` or `leg.end`. */
export const endField = (what: string) =>
  z
    .string()
    .transform((text, ctx): EndText => {
      const match = /^([^.]+)\.(start|end)$/.exec(text.trim());
      if (match) return { member: match[1]!, end: match[2] === 'start' ? 'start' : 'end' };
      const member = text.trim().split('.')[0] || 'leg';
      refuse(ctx, {
        code: 'reference/unknown',
        message: `${quoted(text)} is not an end of a member`,
        hint: `write ${quoted(`${member}.start`)} or ${quoted(`${member}.end`)}`.replaceAll('"', ''),
        label: 'colon',
      });
      return z.NEVER;
    })
    .meta({ description: `${what}: a member and its end, such as leg.start or leg.end.` });

/** Whether there is a map of fields to look at. */
export const isMap = ({ value }: { value: unknown }): boolean =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/**
 * Exactly one of the keys must stand in the map (of all it may hold). Runs though other fields are wrong, so that all is
 * told at once; keeps quiet beside an unknown field, which is the likelier slip.
 */
export const exactlyOne = (keys: readonly string[], what: string) =>
  z.superRefine<object>(
    (value, ctx) => {
      if (ctx.issues.some((issue) => issue.code === 'unrecognized_keys')) return;
      const present = keys.filter((key) => Object.hasOwn(value, key));
      if (present.length === 1) return;
      if (present.length === 0) {
        refuse(ctx, {
          code: 'field/missing',
          message: `needs ${listed(keys, 'or')}`,
          hint: 'add one of these',
        });
      } else {
        refuse(
          ctx,
          {
            code: 'field/conflict',
            message: `${listed(present)} cannot stand together in one ${what}`,
            hint: 'keep one of them',
            label: 'none',
          },
          [present[1]!],
        );
      }
    },
    { when: isMap },
  );
