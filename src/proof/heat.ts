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

/** Some points of a seam, x, y, z after each other, and a ball that holds them. */
interface Stretch {
  readonly points: Float64Array;
  readonly middle: Vec3;
  readonly reach: Mm;
}

/** The seams as a body without thickness; farther than `far` it is just that far. */
function seamBody(seams: readonly (readonly Vec3[])[], far: Mm): Body {
  const lines = seams.map((seam) => ({ whole: stretchOf(seam), stretches: stretchesOf(seam) }));
  return {
    distance: (p) => {
      let least = far;
      for (const { whole, stretches } of lines) {
        if (!mayBeNearer(p, whole, least)) continue;
        for (const stretch of stretches)
          if (mayBeNearer(p, stretch, least)) least = Math.min(least, toStretch(p, stretch.points));
      }
      return least;
    },
    counts: () => true,
  };
}

function stretchOf(seam: readonly Vec3[]): Stretch {
  const points = Float64Array.from(seam.flat());
  const middle: [Mm, Mm, Mm] = [0, 0, 0];
  for (let i = 0; i < points.length; i++) middle[i % 3]! += points[i]! / seam.length;
  let reach = 0;
  for (const [x, y, z] of seam) reach = Math.max(reach, Math.hypot(x - middle[0], y - middle[1], z - middle[2]));
  return { points, middle, reach };
}

function stretchesOf(seam: readonly Vec3[]): readonly Stretch[] {
  const stretches: Stretch[] = [];
  for (let i = 0; i === 0 || i + 1 < seam.length; i += STRETCH)
    stretches.push(stretchOf(seam.slice(i, i + STRETCH + 1)));
  return stretches;
}

function mayBeNearer(p: Vec3, { middle, reach }: Stretch, least: Mm): boolean {
  const x = p[0] - middle[0];
  const y = p[1] - middle[1];
  const z = p[2] - middle[2];
  return x * x + y * y + z * z < (least + reach) * (least + reach);
}

/** Distance from a chain of points, its edges or the one point it may be. */
function toStretch(p: Vec3, points: Float64Array): Mm {
  let least = Number.POSITIVE_INFINITY;
  // From the point before each edge to p.
  let x = p[0] - points[0]!;
  let y = p[1] - points[1]!;
  let z = p[2] - points[2]!;
  for (let i = 3; i < points.length; i += 3) {
    const ex = points[i]! - points[i - 3]!;
    const ey = points[i + 1]! - points[i - 2]!;
    const ez = points[i + 2]! - points[i - 1]!;
    const square = ex * ex + ey * ey + ez * ez;
    const along = x * ex + y * ey + z * ez;
    const share = along <= 0 || square === 0 ? 0 : Math.min(1, along / square);
    const [dx, dy, dz] = [x - share * ex, y - share * ey, z - share * ez];
    const far = dx * dx + dy * dy + dz * dz;
    if (far < least) least = far;
    x -= ex;
    y -= ey;
    z -= ez;
  }
  return Math.sqrt(Math.min(least, x * x + y * y + z * z));
}
