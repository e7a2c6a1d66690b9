/** Exact fractions, so that 2.25in and 57.15mm become the same double. */
export interface Fraction {
  readonly n: bigint;
  readonly d: bigint;
}

export const times = (p: Fraction, q: Fraction): Fraction => ({ n: p.n * q.n, d: p.d * q.d });
export const plus = (p: Fraction, q: Fraction): Fraction => ({ n: p.n * q.d + q.n * p.d, d: p.d * q.d });
export const negated = (p: Fraction): Fraction => ({ n: -p.n, d: p.d });
export const whole = (n: number): Fraction => ({ n: BigInt(n), d: 1n });

/** Decimal digits kept: 1e-10 mm, so that 3in and the 3.0000000000000004in of a calculator are one size. */
const DIGITS = 10n;

/** The nearest double to the nearest 1e-10; never minus zero. */
export function nearest({ n, d }: Fraction): number {
  const half = n < 0n ? -d / 2n : d / 2n;
  const scaled = (n * 10n ** DIGITS + half) / d;
  return scaled === 0n ? 0 : Number(`${scaled}e-${DIGITS}`);
}

/** Unsigned decimal such as 57.15, .5, 3. or 1.5e3; underscores between digits are spacing. */
export const DECIMAL = String.raw`(?:\d+(?:_\d+)*(?:\.\d*)?|\.\d+)(?:e[+-]?\d{1,2})?`;
/** 1/2, 2-1/4 or 2 1/4. */
const COMMON = String.raw`(?:\d+(?:\s+|\s*-\s*))?\d+\s*\/\s*\d+`;
/** What a size may be written as, without sign and unit. */
export const AMOUNT = `(?:${COMMON}|${DECIMAL})`;

const COMMON_PARTS = /^(?:(\d+)(?:\s+|\s*-\s*))?(\d+)\s*\/\s*(\d+)$/;
const DECIMAL_PARTS = /^(\d*)\.?(\d*)(?:e([+-]?\d{1,2}))?$/;

/** Value of a text that matches AMOUNT; undefined for a zero denominator, or a mixed number whose fraction is a whole or more. */
export function readAmount(text: string): Fraction | undefined {
  const common = COMMON_PARTS.exec(text);
  if (common) {
    const n = BigInt(common[2]!);
    const d = BigInt(common[3]!);
    if (d === 0n || (common[1] !== undefined && n >= d)) return undefined;
    return plus({ n: BigInt(common[1] ?? 0), d: 1n }, { n, d });
  }
  const decimal = DECIMAL_PARTS.exec(text.replaceAll('_', ''));
  if (!decimal) return undefined;
  const places = decimal[2]!.length - Number(decimal[3] ?? 0);
  const n = BigInt(`${decimal[1]}${decimal[2]}` || '0');
  return places >= 0 ? { n, d: 10n ** BigInt(places) } : { n: n * 10n ** BigInt(-places), d: 1n };
}
