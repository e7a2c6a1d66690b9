import { CLEARANCE_ROUNDING } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { Feature } from '../tooling/tool.ts';
import type { Facets } from './facets.ts';
import { type Body, leastDistance, vertexDistances } from './nearest.ts';
import type { Measured } from './problem.ts';

/** Nothing farther than so many times the heat distance is told apart. */
const TOLD = 2;
/** Points of a seam to each stretch that is looked at as one. */
const STRETCH = 16;

/** Least distance of a part from the seams, straight through the air: no surface leads there on a shorter way. */
export function measureHeat(facets: Facets, { seams, least }: Extract<Feature, { kind: 'heat' }>): Measured<Mm> {
  const body = seamBody(seams, TOLD * least);
  const distances = vertexDistances(facets, body);
  const found = leastDistance(facets, body, { distances, bow: CLEARANCE_ROUNDING, within: TOLD * least });
  if (found >= least - CLEARANCE_ROUNDING) return { value: found, faults: [] };
  const message = `it comes within ${figure(found)} mm of a seam, limit ${figure(least)} mm`;
  const hint = 'give the saddles other `stations`, or a smaller `heat`';
  return { value: found, faults: [{ code: 'proof/heat', message, hint, measured: found, limit: least }] };
}

interface Stretch {
  readonly points: readonly Vec3[];
  readonly middle: Vec3;
  readonly reach: Mm;
}

/** The seams as a body without thickness; farther than `far` it is just that far. */
function seamBody(seams: readonly (readonly Vec3[])[], far: Mm): Body {
  const lines = seams.map((seam) => ({ whole: roundOf(seam), stretches: stretchesOf(seam) }));
  return {
    distance: (p) => {
      let least = far;
      for (const { whole, stretches } of lines) {
        if (apart(p, whole.middle) - whole.reach >= least) continue;
        for (const { middle, reach, points } of stretches)
          if (apart(p, middle) - reach < least) least = Math.min(least, toStretch(p, points));
      }
      return least;
    },
    counts: () => true,
  };
}

/** A ball that holds all points. */
function roundOf(points: readonly Vec3[]): Pick<Stretch, 'middle' | 'reach'> {
  const count = points.length;
  const sum = points.reduce(([x, y, z], p) => [x + p[0], y + p[1], z + p[2]] as const, [0, 0, 0] as const);
  const middle: Vec3 = [sum[0] / count, sum[1] / count, sum[2] / count];
  return { middle, reach: points.reduce((most, p) => Math.max(most, apart(p, middle)), 0) };
}

function stretchesOf(seam: readonly Vec3[]): readonly Stretch[] {
  const stretches: Stretch[] = [];
  for (let i = 0; i === 0 || i + 1 < seam.length; i += STRETCH) {
    const points = seam.slice(i, i + STRETCH + 1);
    stretches.push({ points, ...roundOf(points) });
  }
  return stretches;
}

function toStretch(p: Vec3, points: readonly Vec3[]): Mm {
  let least = apart(p, points[0]!);
  for (let i = 1; i < points.length; i++) least = Math.min(least, toEdge(p, points[i - 1]!, points[i]!));
  return least;
}

function toEdge(p: Vec3, a: Vec3, b: Vec3): Mm {
  const [ex, ey, ez] = [b[0] - a[0], b[1] - a[1], b[2] - a[2]];
  const square = ex * ex + ey * ey + ez * ez;
  const share = square > 0 ? ((p[0] - a[0]) * ex + (p[1] - a[1]) * ey + (p[2] - a[2]) * ez) / square : 0;
  const k = Math.max(0, Math.min(1, share));
  return apart(p, [a[0] + k * ex, a[1] + k * ey, a[2] + k * ez]);
}

const apart = (p: Vec3, q: Vec3): Mm => Math.sqrt((p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2);
