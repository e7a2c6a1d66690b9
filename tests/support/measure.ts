/** Largest difference of the pairs; with MEASURE=1 in the environment it is printed beside its name. */
export function worst(name: string, pairs: Iterable<readonly [expected: number, found: number]>): number {
  let largest = 0;
  for (const [expected, found] of pairs) {
    const off = Math.abs(expected - found);
    // A NaN must not hide behind Math.max.
    if (!(off <= largest)) largest = Number.isNaN(off) ? Number.POSITIVE_INFINITY : off;
  }
  if (process.env.MEASURE) process.stderr.write(`measured ${largest.toExponential(2)}  ${name}\n`);
  return largest;
}
