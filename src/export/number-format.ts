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

/** Units of the sixth decimal in one; six decimals tell every float32 above 8 mm and every grid coordinate below apart. */
const MICRO = 1e6;

/**
 * A mesh coordinate in mm with at most six decimals, as short as still reads back to the same float32: the float32
 * nearest 57.15 is written "57.15", not "57.150002". Coordinates on the mesh grid come back bit for bit.
 */
export function coordinateText(x: number): string {
  const micro = Math.round(x * MICRO);
  if (!Number.isSafeInteger(micro)) throw new Error(`internal: cannot write coordinate ${x}`);
  if (micro === 0) return '0';
  const target = Math.fround(micro / MICRO);
  let value = micro / MICRO;
  for (let tens = MICRO / 10; tens >= 1; tens /= 10) {
    const shorter = Math.round(value * tens) / tens;
    if (Math.fround(shorter) !== target) break;
    value = shorter;
  }
  const text = String(value);
  return text.includes('e') ? plainDecimal(value, 6) : text;
}
