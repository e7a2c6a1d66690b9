import { type Centerline, generatorSpeed } from './centerline.ts';
import type { Mm, Vec2 } from './vector.ts';

/**
 * Length of the tube's own line at (right, up) = `beside`, from one arc length of the centerline to another; negative
 * backward. In a bend it is (clr - offset to the inside) / clr of the centerline's.
 */
export function generatorLength(
  line: Centerline,
  span: { readonly from: Mm; readonly to: Mm; readonly beside: Vec2 },
): Mm {
  if (span.to < span.from) return -generatorLength(line, { ...span, from: span.to, to: span.from });
  let more = 0;
  for (const segment of line.segments) {
    if (segment.kind !== 'bend') continue;
    const inside = Math.min(span.to, segment.s0 + segment.length) - Math.max(span.from, segment.s0);
    if (inside <= 0) continue;
    more += inside * (generatorSpeed(line, segment.s0 + segment.length / 2, span.beside[0], span.beside[1]) - 1);
  }
  return span.to - span.from + more;
}
