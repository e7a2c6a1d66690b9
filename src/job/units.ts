import { toDegrees } from '../geometry/angle.ts';
import { AMOUNT, DECIMAL, type Fraction, nearest, negated, plus, readAmount, times, whole } from './fraction.ts';
import { BWG_INCHES, bwgKey, SHEET_GAUGE_INCHES } from './gauge.ts';
import type { ProblemCode } from './problem.ts';
import { nearestName } from './suggest.ts';
import { quoted } from './wording.ts';

/** What a bare number means. */
export type Units = 'mm' | 'in';

/** A value that was read, or why it cannot be. */
export type Reading = { readonly ok: true; readonly value: number } | ({ readonly ok: false } & Complaint);

export interface Complaint {
  readonly code: ProblemCode;
  readonly message: string;
  readonly hint?: string;
}

/** Longer texts are not sizes; keeps the exact arithmetic short. */
const LONGEST = 64;

/** Millimeters in one of each; the inch is 25.4 mm exactly (international inch, 1959). */
const MM_PER: ReadonlyMap<string, Fraction> = new Map(
  (
    [
      ['mm', 1n, 1n],
      ['cm', 10n, 1n],
      ['m', 1000n, 1n],
      ['in', 127n, 5n],
      ['inch', 127n, 5n],
      ['inches', 127n, 5n],
      ['"', 127n, 5n],
      ['ft', 1524n, 5n],
      ['foot', 1524n, 5n],
      ['feet', 1524n, 5n],
      ["'", 1524n, 5n],
    ] as const
  ).map(([unit, n, d]) => [unit, { n, d }]),
);

const VULGAR: ReadonlyMap<string, string> = new Map([
  ['½', '1/2'],
  ['¼', '1/4'],
  ['¾', '3/4'],
  ['⅛', '1/8'],
  ['⅜', '3/8'],
  ['⅝', '5/8'],
  ['⅞', '7/8'],
]);

/** Typeset marks and fractions as typed ones, small letters, single blanks. */
function plainText(text: string): string {
  return text
    .trim()
    .replace(/[“”″]|''/g, '"')
    .replace(/[‘’′]/g, "'")
    .replace(/[−‐‑–]/g, '-')
    .replace(/⁄/g, '/')
    .replace(/[½¼¾⅛⅜⅝⅞]/g, (sign) => ` ${VULGAR.get(sign)}`)
    .replace(/\s+/g, ' ')
    .trim()
    .toLowerCase();
}

const fail = (code: ProblemCode, message: string, hint?: string): Reading => ({
  ok: false,
  code,
  message,
  ...(hint === undefined ? {} : { hint }),
});

const SINGLE = new RegExp(`^([+-]?) ?(${AMOUNT}) ?(mm|cm|m|inches|inch|in|"|feet|foot|ft|')?$`);
const FEET_INCHES = new RegExp(`^([+-]?) ?(${AMOUNT}) ?(?:'|feet|foot|ft) ?-? ?(${AMOUNT}) ?(?:"|inches|inch|in)$`);

/**
 * A length in mm: `57.15`, `57.15mm`, `5.7cm`, `2.25in`, `2-1/4in`, `2 1/4 in`, `1/2"`, `2'`, `1' 6-1/2"`; a bare number
 * is in `units`. Exact: 2.25in and 57.15mm give the same double.
 */
export function parseLength(value: string | number, units: Units): Reading {
  if (typeof value === 'number') return bareLength(value, units);
  const text = plainText(value);
  if (text.length > LONGEST) return fail('unit/unreadable', `${quoted(value)} is too long to be a length`);
  const both = FEET_INCHES.exec(text);
  const one = both ? null : SINGLE.exec(text);
  const size = both ? feetAndInches(both[2]!, both[3]!) : one ? readAmount(one[2]!) : undefined;
  if (!size) return unreadableLength(value, text);
  const sign = (both ?? one)?.[1];
  const unit = both ? 'in' : one?.[3];
  if (unit === undefined && units === 'mm' && text.includes('/')) {
    return fail(
      'unit/ambiguous',
      `${quoted(value)} is a fraction without a unit, in a job whose bare numbers are mm`,
      `write ${text.replace(' ', '-')}in for inches, or ${nearest(size)}mm`,
    );
  }
  const mm = times(size, MM_PER.get(unit ?? units)!);
  return { ok: true, value: nearest(sign === '-' ? negated(mm) : mm) };
}

function bareLength(value: number, units: Units): Reading {
  if (!Number.isFinite(value)) return fail('unit/unreadable', `${value} is not a length`, 'write a number');
  // Past the range of any field, and of the exact arithmetic.
  if (Math.abs(value) >= 1e15) return { ok: true, value };
  const amount = readAmount(String(Math.abs(value)));
  if (!amount) return { ok: true, value: 0 };
  const mm = times(amount, MM_PER.get(units)!);
  return { ok: true, value: nearest(value < 0 ? negated(mm) : mm) };
}

function feetAndInches(feet: string, inches: string): Fraction | undefined {
  const f = readAmount(feet);
  const i = readAmount(inches);
  return f && i && plus(times(f, whole(12)), i);
}

const GAUGE =
  /^(?:([0-9]{1,2}|0{2,5}|[2-5]\/0) ?-?(bwg|swg|awg|gauge|gage|ga|g|#)\.?|(bwg|swg|awg|gauge|gage|ga|#) ?([0-9]{1,2}|0{2,5}))$/;

function unreadableLength(value: string, text: string): Reading {
  const told = quoted(value);
  if (text === '') return fail('unit/unreadable', 'the length is empty', 'write a number, such as 57.15 or 2-1/4in');
  if (/^[+-]?[\d.]*,[\d,.]*/.test(text)) {
    return fail(
      'unit/ambiguous',
      `${told} has a comma: decimals or thousands?`,
      `write decimals with a point, such as ${pointed(text)}`,
    );
  }
  if (GAUGE.test(text))
    return fail('unit/unreadable', `${told} is a gauge, and only a wall can be one`, 'write mm or inches');
  if (/^[+-]?0[xob]/.test(text))
    return fail('unit/unreadable', `${told} is not a decimal number`, 'write the plain number');
  if (/^[\d.]+(:[\d.]+)+$/.test(text)) {
    return fail('unit/unreadable', `${told} is not a length`, 'write one number, such as 12.5 or 12-1/2in');
  }
  const unit = new RegExp(`^[+-]? ?${AMOUNT} ?([a-zµ"']+)$`).exec(text)?.[1];
  if (unit && !MM_PER.has(unit)) {
    const guess = nearestName(unit, ['mm', 'cm', 'm', 'in', 'ft']);
    return fail(
      'unit/unreadable',
      `${told}: ${quoted(unit)} is not a unit of length`,
      `${guess ? `did you mean ${guess}? ` : ''}use mm, cm, m, in, ", ft or '`,
    );
  }
  if (/\/ ?0+(?!\d)/.test(text))
    return fail('unit/unreadable', `${told} divides by zero`, 'write a number, such as 2-1/4in');
  if (/\d[ -]\d+ ?\/ ?\d+/.test(text))
    return fail(
      'unit/unreadable',
      `${told}: the fraction beside a whole number must be less than one`,
      'write it like 2-1/4in',
    );
  return fail(
    'unit/unreadable',
    `${told} is not a length`,
    'write a number, with its own unit or none: 57.15, 57.15mm, 2.25in, 2-1/4in, 1/2"',
  );
}

const pointed = (text: string): string => (/^[+-]?\d+,\d+$/.test(text) ? text.replace(',', '.') : '57.15');

/** A wall: a length, or a Birmingham gauge as `16bwg`. A bare `16ga` is refused: it could be two things. */
export function parseWall(value: string | number, units: Units): Reading {
  const found = typeof value === 'string' ? GAUGE.exec(plainText(value)) : null;
  if (!found) return parseLength(value, units);
  const gauge = bwgKey(found[1] ?? found[4]!);
  const inches = BWG_INCHES.get(gauge);
  const kind = found[2] ?? found[3];
  if (kind === 'swg' || kind === 'awg') {
    return fail(
      'unit/unreadable',
      `${quoted(String(value))}: of the gauges only bwg is a tube gauge`,
      'write bwg, mm or inches',
    );
  }
  if (kind !== 'bwg') return ambiguousGauge(String(value), { gauge, inches });
  if (inches === undefined) {
    return fail(
      'unit/unreadable',
      `there is no ${gauge}bwg; the gauges run from 00000 to 30`,
      'write the wall in mm or inches',
    );
  }
  return parseLength(`${inches}in`, units);
}

function ambiguousGauge(value: string, { gauge, inches }: { gauge: string; inches: string | undefined }): Reading {
  const sheet = SHEET_GAUGE_INCHES.get(gauge);
  const meanings = [
    inches && `the tube trade's Birmingham gauge (${inches} in)`,
    sheet ? `the sheet steel gauge (${sheet} in)` : 'a sheet gauge',
  ].filter((m) => m !== undefined);
  const cure = inches ? `write ${gauge}bwg for tube, or the wall in mm or inches` : 'write the wall in mm or inches';
  return fail('unit/ambiguous', `${quoted(value)} could mean ${meanings.join(' or ')}`, cure);
}

const DEGREES = new RegExp(`^([+-]?) ?(${AMOUNT}) ?(?:°|degrees|degree|deg)?$`);
const MINUTES = new RegExp(`^([+-]?) ?(\\d+) ?(?:°|deg|d) ?(${DECIMAL}) ?(?:'|min|m)(?: ?(${DECIMAL}) ?(?:"|sec|s))?$`);
const SLOPE = new RegExp(`^([+-]?) ?(${DECIMAL}) ?: ?(${DECIMAL})$`);

/** An angle in degrees: `45`, `45deg`, `45°`, `22-1/2`, `22d30m`, or a slope `1:12` (rise to run, atan(1/12) = 4.764 degrees). */
export function parseAngle(value: string | number): Reading {
  if (typeof value === 'number') {
    return Number.isFinite(value)
      ? { ok: true, value: value === 0 ? 0 : value }
      : fail('unit/unreadable', `${value} is not an angle`, 'write degrees');
  }
  const text = plainText(value);
  if (text.length > LONGEST) return fail('unit/unreadable', `${quoted(value)} is too long to be an angle`);
  const plain = DEGREES.exec(text);
  const degrees = plain ? readAmount(plain[2]!) : undefined;
  if (plain && degrees) return { ok: true, value: nearest(plain[1] === '-' ? negated(degrees) : degrees) };
  const parts = MINUTES.exec(text);
  if (parts) return degreesMinutes(parts);
  const slope = SLOPE.exec(text);
  if (slope) return slopeAngle(value, slope);
  if (/^[+-]?[\d.]*,[\d,.]*/.test(text))
    return fail('unit/ambiguous', `${quoted(value)} has a comma`, `write ${pointed(text)}, with a point`);
  if (text.endsWith('%'))
    return fail('unit/unreadable', `${quoted(value)} is a grade, not an angle`, 'write it as a slope, such as 1:10');
  if (/rad(ians?)?$/.test(text)) return fail('unit/unreadable', `${quoted(value)} is in radians`, 'write degrees');
  return fail(
    'unit/unreadable',
    `${quoted(value)} is not an angle`,
    'write degrees or a slope: 45, 22.5deg, 22d30m, 1:12',
  );
}

function degreesMinutes(parts: RegExpExecArray): Reading {
  const [d, m, s] = [readAmount(parts[2]!), readAmount(parts[3]!), readAmount(parts[4] ?? '0')];
  if (!d || !m || !s || nearest(m) >= 60 || nearest(s) >= 60) {
    return fail(
      'unit/unreadable',
      `${quoted(parts[0])}: minutes and seconds go up to 59`,
      'write it like 22d30m, or 22.5',
    );
  }
  const sum = plus(d, plus(times(m, { n: 1n, d: 60n }), times(s, { n: 1n, d: 3600n })));
  return { ok: true, value: nearest(parts[1] === '-' ? negated(sum) : sum) };
}

function slopeAngle(value: string, parts: RegExpExecArray): Reading {
  const rise = Number(parts[2]!.replaceAll('_', ''));
  const run = Number(parts[3]!.replaceAll('_', ''));
  if (rise === 0 && run === 0) return fail('unit/unreadable', `${quoted(value)} is not a slope`, 'write it like 1:12');
  const deg = toDegrees(Math.atan2(rise, run)) * (parts[1] === '-' ? -1 : 1);
  // Two figures after the colon read as minutes, unless the slope is of a usual kind.
  const usual =
    rise === 1 || run === 10 || run === 12 || run > 59 || !/:\s*\d\d$/.test(parts[0]) || !/^\d+$/.test(parts[2]!);
  if (usual) return { ok: true, value: deg === 0 ? 0 : deg };
  return fail(
    'unit/ambiguous',
    `${quoted(value)} could be a slope (${deg.toFixed(3)} deg) or degrees and minutes`,
    `write ${deg.toFixed(3)} for the slope, or ${rise}d${run}m`,
  );
}
