import * as z from 'zod';
import type { Deg, Mm } from '../geometry/vector.ts';
import {
  angleReader,
  clockReader,
  fields,
  lengthReader,
  numberOrText,
  type ReadNumber,
  type Refuser,
  refuse,
} from './fields.ts';
import type { ToSolve } from './job.ts';
import { COUNTS, type Range } from './limits.ts';
import { nameComplaint, PART_NAME } from './names.ts';
import type { Units } from './units.ts';

const HOW =
  'Or solve, to let the goals fix it; solve a, to be equal to every other a of the member; or a map that says which answer is wanted.';

/** A straight: a length, or a number left to the goals. */
export const straightOrSolve = (units: Units, { what, range }: { readonly what: string; readonly range: Range<Mm> }) =>
  orSolve(lengthReader(units, range), `${what}. A length; a bare number is in the units of the job.`);

/** A bend angle, or a number left to the goals. */
export const angleOrSolve = ({ what, range }: { readonly what: string; readonly range: Range<Deg> }) =>
  orSolve(angleReader(range), `${what}. Degrees.`);

/** A turn, which goes all round, or one left to the goals. */
export const turnOrSolve = ({ what, range }: { readonly what: string; readonly range: Range<Deg> }) =>
  orSolve(angleReader(range), `${what}. Degrees.`, 'all round');

/** A side of the tube, or one left to the goals. */
export const clockOrSolve = (what: string, range: Range<Deg>) =>
  orSolve(clockReader(range), `${what}: up, right, down, left, or degrees clockwise from up.`, 'all round');

function orSolve(read: ReadNumber, what: string, goes: 'from least to most' | 'all round' = 'from least to most') {
  const number = numberOrText()
    .transform((value, ctx): number => read(ctx, value))
    .meta({ description: what });
  const written = numberOrText()
    .transform((value, ctx): number | ToSolve => {
      const word = typeof value === 'string' ? /^\s*solve(?:\s+(.*?))?\s*$/.exec(value) : null;
      return word ? named(ctx, word[1] ?? '') : read(ctx, value);
    })
    .meta({ description: `${what} Or solve, or solve and a name.` });
  const range = z.array(number).length(2).optional();
  const wanted = fields({
    solve: z
      .string()
      .optional()
      .meta({ description: 'Name: equal to every other of this name.', pattern: PART_NAME.source }),
    near: number.optional().meta({ description: 'Of several answers, the nearest to this.' }),
    between: range.meta({ description: 'Only answers from the first to the second.' }),
    'one-of': z
      .array(number)
      .min(1)
      .max(COUNTS.oneOf)
      .optional()
      .meta({ description: 'Only one of these: what is in stock, or what the die stops at.' }),
  })
    .transform((raw, ctx): ToSolve => {
      const between = raw.between as readonly [number, number] | undefined;
      if (Object.keys(raw).length === 0 && ctx.issues.length === 0)
        refuse(ctx, {
          code: 'field/missing',
          message: 'needs solve, near, between or one-of',
          hint: 'or write solve in place of the map',
        });
      if (between && raw['one-of'])
        refuse(
          ctx,
          {
            code: 'field/conflict',
            message: 'between and one-of cannot stand together',
            hint: 'keep one of them',
            label: 'none',
          },
          ['between'],
        );
      if (between && goes !== 'all round' && between[0] >= between[1])
        refuse(
          ctx,
          { code: 'field/out-of-range', message: 'begins with the larger number', hint: 'write the least first' },
          ['between'],
        );
      const name = raw.solve === undefined ? {} : named(ctx, raw.solve);
      return {
        ...name,
        kind: 'solve',
        ...(raw.near === undefined ? {} : { near: raw.near }),
        ...(between === undefined ? {} : { between }),
        ...(raw['one-of'] === undefined ? {} : { oneOf: raw['one-of'] }),
      };
    })
    .meta({ minProperties: 1 });
  return z.union([written, wanted]).meta({ description: `${what} ${HOW}` });
}

function named(ctx: Refuser, name: string): ToSolve {
  if (name === '') return { kind: 'solve' };
  const complaint = nameComplaint(name, 'part');
  if (complaint) refuse(ctx, { ...complaint, label: 'colon' });
  return { kind: 'solve', name };
}
