/** Bytes that text is written into, one after another: numbers of a mesh are too many to make a string of each. */
export interface Ink {
  readonly bytes: Uint8Array;
  /** Where the next one goes. */
  at: number;
}

const MINUS = 0x2d;
const POINT = 0x2e;
const ZERO = 0x30;

/** Bytes of the longest number written below: a sign, the digits of the largest safe integer and a point. */
export const LONGEST_NUMBER = 18;

/** Units of the sixth decimal in one; six decimals tell every float32 above 8 mm and every grid coordinate below apart. */
const MICRO = 1e6;
const DECIMALS = 6;

/**
 * A mesh coordinate in mm with at most six decimals, as short as still reads back to the same float32: the float32
 * nearest 57.15 is written "57.15", not "57.150002". Coordinates on the mesh grid come back bit for bit.
 * Errors: a number that is not finite, or too large to be told to six decimals, is a bug of the caller.
 */
export function putCoordinate(ink: Ink, x: number): void {
  let digits = Math.round(Math.abs(x) * MICRO);
  if (!Number.isSafeInteger(digits)) throw new Error(`internal: cannot write coordinate ${x}`);
  if (x < 0 && digits > 0) ink.bytes[ink.at++] = MINUS;
  const target = Math.fround(digits / MICRO);
  let decimals = DECIMALS;
  let value = digits / MICRO;
  for (let tens = MICRO / 10; tens >= 1; tens /= 10) {
    const fewer = Math.round(value * tens);
    if (Math.fround(fewer / tens) !== target) break;
    digits = fewer;
    value = fewer / tens;
    decimals--;
  }
  putDigits(ink, digits, decimals);
}

/** A whole number from 0. */
export const putWhole = (ink: Ink, n: number): void => putDigits(ink, n, 0);

/** A number of so many digits after the point, told as if there were none. */
function putDigits(ink: Ink, digits: number, decimals: number): void {
  const { bytes } = ink;
  let places = 1;
  for (let power = 10; power <= digits; power *= 10) places++;
  // A figure stands before the point.
  if (places <= decimals) places = decimals + 1;
  let at = ink.at + places + (decimals > 0 ? 1 : 0);
  ink.at = at;
  let rest = digits;
  for (let place = 0; place < places; place++) {
    if (decimals > 0 && place === decimals) bytes[--at] = POINT;
    const tenth = Math.floor(rest / 10);
    bytes[--at] = ZERO + rest - 10 * tenth;
    rest = tenth;
  }
}
