/**
 * Shortest plain decimal that is within half a unit of the last of `decimals` places: no exponent, no trailing zeros, never
 * `-0`. 57.150 -> "57.15", 0.1 + 0.2 -> "0.3", -1e-9 -> "0" (six places). Errors: a number that is not finite, or so large
 * that plain decimals would lie about it (1e15), is a bug of the caller.
 */
export function plainDecimal(x: number, decimals: number): string {
  if (!Number.isFinite(x) || Math.abs(x) >= 1e15) throw new Error(`internal: cannot write ${x} as a plain decimal`);
  const fixed = x.toFixed(decimals);
  const trimmed = fixed.includes('.') ? fixed.replace(/\.?0+$/u, '') : fixed;
  return trimmed === '-0' ? '0' : trimmed;
}
