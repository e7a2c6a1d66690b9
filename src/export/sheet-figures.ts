import type { Section } from '../geometry/section.ts';
import type { Deg, Mm } from '../geometry/vector.ts';

export type Units = 'mm' | 'in';

const MM_PER_INCH = 25.4;
const PARTS = 64;

/** A length for reading: 316.40, or 12.457 with the nearest 64th behind it: 12.457 (12-29/64). Without the unit. */
export function lengthFigure(mm: Mm, units: Units): string {
  if (units === 'mm') return plain(mm, 2);
  return `${plain(mm / MM_PER_INCH, 3)} (${inchFraction(mm)})`;
}

/** The nearest 64th of an inch, in lowest terms: 12-29/64, 3/8, 5, -1/2. */
export function inchFraction(mm: Mm): string {
  const parts = Math.round((Math.abs(mm) / MM_PER_INCH) * PARTS);
  const whole = Math.floor(parts / PARTS);
  let [over, under] = [parts % PARTS, PARTS];
  while (over > 0 && over % 2 === 0) [over, under] = [over / 2, under / 2];
  const sign = mm < 0 && parts > 0 ? '-' : '';
  if (over === 0) return `${sign}${whole}`;
  return `${sign}${whole === 0 ? '' : `${whole}-`}${over}/${under}`;
}

/** The same with its unit: 316.40 mm. */
export const lengthText = (mm: Mm, units: Units): string =>
  units === 'mm' ? `${plain(mm, 2)} mm` : `${plain(mm / MM_PER_INCH, 3)} in (${inchFraction(mm)})`;

/** The size of a whole assembly, which is measured with a tape: 1420.5, or 55-59/64. */
export const overallFigure = (mm: Mm, units: Units): string =>
  units === 'mm' ? String(Number(plain(mm, 1))) : inchFraction(mm);

/** Degrees to a hundredth, which is finer than any saw is set. */
export const angleFigure = (deg: Deg): string => plain(deg, 2);

/** Fixed decimals, and never -0.00. */
export function plain(x: number, decimals: number): string {
  const text = x.toFixed(decimals);
  return /^-0(\.0*)?$/.test(text) ? text.slice(1) : text;
}

/** Short form of a size: 38.1, 50.8, 1.5. */
const short = (mm: Mm, units: Units): string => String(Number((units === 'mm' ? mm : mm / MM_PER_INCH).toFixed(3)));

/** `round 38.1 x 1.65`, `flat-oval 80 x 40 x 1.5`, in the job's unit. */
export function sectionText(section: Section, units: Units): string {
  const across = section.kind === 'round' ? [section.od] : [section.width, section.height];
  return `${section.kind} ${[...across, section.wall].map((size) => short(size, units)).join(' x ')} ${units}`;
}

/** Angles that round to 0.00 are shown, and meant, as square. */
export const isSquare = (miterDeg: Deg): boolean => Math.abs(miterDeg) < 0.005;
