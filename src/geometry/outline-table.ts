import { type EllipseSection, outlineAt, outlineU, type Section } from './section.ts';
import type { Mm, Vec2 } from './vector.ts';

/** A section's outline both ways: from u to the place, and back. */
export interface Outline {
  /** As `outlineAt`. */
  readonly at: (u: number, depth: Mm) => Vec2;
  /** As `outlineU`, for places on or near the outline. */
  readonly uOf: (a: Mm, b: Mm) => number;
}

/** Steps of a quarter of an ellipse: a 60 x 40 one bows by 0.002 mm between them. */
const STEPS = 64;

/** The outline for those who ask thousands of times. An ellipse, whose arc length has no closed form, is read from a table. */
export function outlineTable(section: Section): Outline {
  if (section.kind !== 'ellipse')
    return { at: (u, depth) => outlineAt(section, u, depth).point, uOf: (a, b) => outlineU(section, a, b) };
  return ellipseTable(section);
}

function ellipseTable(section: EllipseSection): Outline {
  const steps = Array.from({ length: STEPS + 1 }, (_, i) => outlineAt(section, i / STEPS / 4));
  // The parameter t of (p sin t, q cos t): from a place beside the outline too, by where it lies in the scaled circle.
  const parameter = (a: Mm, b: Mm): number => Math.atan2(a * section.height, b * section.width);
  const ts = steps.map(({ point }) => parameter(point[0], point[1]));
  return {
    at: (u, depth) => {
      const turns = (((u % 1) + 1) % 1) * 4;
      const quarter = Math.min(3, Math.floor(turns));
      const part = quarter % 2 === 1 ? quarter + 1 - turns : turns - quarter;
      const i = Math.min(STEPS - 1, Math.floor(part * STEPS));
      const k = part * STEPS - i;
      const [p, q] = [steps[i]!, steps[i + 1]!];
      const a = p.point[0] - depth * p.normal[0];
      const b = p.point[1] - depth * p.normal[1];
      const x = a + k * (q.point[0] - depth * q.normal[0] - a);
      const y = b + k * (q.point[1] - depth * q.normal[1] - b);
      return [quarter < 2 ? x : -x, quarter === 0 || quarter === 3 ? y : -y];
    },
    uOf: (a, b) => {
      const t = parameter(Math.abs(a), Math.abs(b));
      let low = 0;
      let high = STEPS;
      while (high - low > 1) {
        const middle = (low + high) >> 1;
        if (ts[middle]! <= t) low = middle;
        else high = middle;
      }
      const first = (low + (t - ts[low]!) / (ts[high]! - ts[low]!)) / STEPS / 4;
      const half = b >= 0 ? first : 0.5 - first;
      return a >= 0 ? half : (1 - half) % 1;
    },
  };
}
