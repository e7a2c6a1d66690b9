import { BRIDGE_SPAN, ON_BED, OVERHANG_SLACK } from '../geometry/tolerance.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import { convexHull } from '../tooling/sweep.ts';
import { type Facets, facetCount, normalAlong, upOf } from './facets.ts';
import { patchesOf } from './patches.ts';
import type { Measured } from './problem.ts';

export interface Overhang {
  readonly area: number;
  readonly widest: Mm;
}

/**
 * Faces above the bed that look down by more than 45 degrees: their area, and the width of the widest that hangs
 * together, seen from above: of the largest circle inside it. Narrower ones are bridged without support.
 */
export function measureOverhang(facets: Facets): Measured<Overhang> {
  const { positions: p, triangles } = facets.mesh;
  const up = upOf(facets);
  const steepest = -Math.SQRT1_2 - OVERHANG_SLACK;
  const hangs = new Uint8Array(facetCount(facets));
  for (let t = 0; t < hangs.length; t++) {
    if (normalAlong(facets, t, up) >= steepest) continue;
    for (let i = 3 * t; i < 3 * t + 3; i++) if (p[3 * triangles[i]! + 2]! > ON_BED) hangs[t] = 1;
  }
  const patches = patchesOf(facets, { among: hangs });
  const members = Array.from({ length: patches.count }, (): number[] => []);
  let area = 0;
  for (let t = 0; t < hangs.length; t++) {
    const patch = patches.of[t]!;
    if (patch < 0) continue;
    area += facets.areas[t]!;
    members[patch]!.push(t);
  }
  const widest = members.reduce((most, patch) => Math.max(most, widthOf(facets, patch)), 0);
  if (widest <= BRIDGE_SPAN) return { value: { area, widest }, faults: [] };
  const message = `a face hangs over by more than 45 deg, at least ${figure(widest)} mm wide, limit ${BRIDGE_SPAN} mm without support`;
  const hint = 'narrow the strap of the shop, or ask for another kind of tool at this end';
  return {
    value: { area, widest },
    faults: [{ code: 'proof/overhang', message, hint, measured: widest, limit: BRIDGE_SPAN }],
  };
}

/** Between the two nearest parallel lines round a patch; where that is too wide, of the largest circle inside (a strip may run round a corner). */
function widthOf(facets: Facets, patch: readonly number[]): Mm {
  const plan = patch.map(
    (t): Triangle => [planCorner(facets, t, 0), planCorner(facets, t, 1), planCorner(facets, t, 2)],
  );
  const least = leastWidth(plan.flat());
  return least <= BRIDGE_SPAN ? least : Math.min(least, circleInside(facets, patch, plan));
}

type Triangle = readonly [Vec2, Vec2, Vec2];

const planCorner = ({ mesh }: Facets, t: number, k: number): Vec2 => {
  const v = 3 * mesh.triangles[3 * t + k]!;
  return [mesh.positions[v]!, mesh.positions[v + 1]!];
};

/** Places at most this far apart are tried as middle of the circle, where it may be too wide. */
const GRAIN: Mm = 0.5;

function circleInside(facets: Facets, patch: readonly number[], plan: readonly Triangle[]): Mm {
  const inside = new Set(patch);
  const border = patch.flatMap((t, i) =>
    [0, 1, 2]
      .filter((k) => !inside.has(facets.neighbors[3 * t + k]!))
      .map((k) => [plan[i]![k]!, plan[i]![(k + 1) % 3]!] as const),
  );
  let radius = 0;
  const look = ([a, b, c]: Triangle): void => {
    const middle: Vec2 = [(a[0] + b[0] + c[0]) / 3, (a[1] + b[1] + c[1]) / 3];
    const free = Math.min(...border.map((edge) => toEdge(middle, edge)));
    const reach = Math.max(...[a, b, c].map((p) => Math.hypot(p[0] - middle[0], p[1] - middle[1])));
    radius = Math.max(radius, free);
    // No place of the triangle is freer than its middle by more than its reach; and too wide is wide enough to know.
    if (reach < GRAIN || radius > BRIDGE_SPAN / 2 || free + reach <= BRIDGE_SPAN / 2) return;
    const [ab, bc, ca] = [half(a, b), half(b, c), half(c, a)];
    for (const part of [
      [a, ab, ca],
      [ab, b, bc],
      [ca, bc, c],
      [ab, bc, ca],
    ] as const)
      look(part);
  };
  for (const triangle of plan) if (radius <= BRIDGE_SPAN / 2) look(triangle);
  return 2 * radius;
}

const half = (p: Vec2, q: Vec2): Vec2 => [(p[0] + q[0]) / 2, (p[1] + q[1]) / 2];

function toEdge([x, y]: Vec2, [p, q]: readonly [Vec2, Vec2]): Mm {
  const [ex, ey] = [q[0] - p[0], q[1] - p[1]];
  const square = ex * ex + ey * ey;
  const k = square > 0 ? Math.max(0, Math.min(1, ((x - p[0]) * ex + (y - p[1]) * ey) / square)) : 0;
  return Math.hypot(x - p[0] - k * ex, y - p[1] - k * ey);
}

/** Least distance between two parallel lines that hold all points. */
function leastWidth(points: readonly Vec2[]): Mm {
  const hull = convexHull(points);
  if (hull.length < 3) return 0;
  return Math.min(
    ...hull.map(([px, py], i) => {
      const [qx, qy] = hull[(i + 1) % hull.length]!;
      const edge = Math.hypot(qx - px, qy - py);
      return Math.max(...hull.map(([x, y]) => Math.abs((qx - px) * (y - py) - (qy - py) * (x - px)) / edge));
    }),
  );
}
