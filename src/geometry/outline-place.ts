import { outlineAt, type Section } from './section.ts';

const TURN = 2 * Math.PI;

/**
 * u of the ray from the axis through (a, b), in [0, 1): for a point on the outline, its own u. The angle at the axis grows
 * with u on every section, so halving finds it to the last bit.
 */
export function outlinePlace(section: Section, a: number, b: number): number {
  const share = (((Math.atan2(a, b) / TURN) % 1) + 1) % 1;
  if (section.kind === 'round') return share;
  // u and the angle agree at the quarters, where every section crosses its axes.
  const quarter = Math.min(3, Math.floor(4 * share));
  let [low, high] = [quarter / 4, (quarter + 1) / 4];
  for (let i = 0; i < 52; i++) {
    const middle = (low + high) / 2;
    const [x, y] = outlineAt(section, middle).point;
    const at = (((Math.atan2(x, y) / TURN) % 1) + 1) % 1;
    // Just before a full turn the angle may round to none.
    if (at < share && !(quarter === 3 && at < 0.5)) low = middle;
    else high = middle;
  }
  return ((low + high) / 2) % 1;
}
