import { ON_BED } from '../geometry/tolerance.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Printer } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import type { Mesh } from '../solid/mesh.ts';
import type { MeshFacts } from '../solid/mesh-check.ts';
import { convexHull } from '../tooling/sweep.ts';
import type { Facets } from './facets.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';

export interface Standing {
  readonly size: readonly [Mm, Mm, Mm];
  readonly bedArea: number;
}

/** How the part stands on the bed: lowest point at 0, size within the printer either way round, flat foot under its weight. */
export function standOnBed(
  facets: Facets,
  { facts, printer }: { readonly facts: MeshFacts; readonly printer: Printer },
): Measured<Standing> {
  const { min, max } = facts.bounds;
  const size: readonly [Mm, Mm, Mm] = [max[0] - min[0], max[1] - min[1], max[2] - min[2]];
  const faults: Fault[] = [];
  if (!(Math.abs(min[2]) <= ON_BED)) {
    faults.push({
      code: 'proof/bed',
      message: `the lowest point is ${min[2].toFixed(4)} mm from the bed, limit ${ON_BED} mm`,
      hint: OUR_FAULT,
      measured: min[2],
      limit: ON_BED,
    });
  }
  if (!fits(size, printer.bed)) {
    const [x, y, z] = printer.bed;
    faults.push({
      code: 'proof/bed',
      message: `it is ${size.map(figure).join(' x ')} mm; the printer takes ${x} x ${y} x ${z} mm`,
      hint: 'give the tool a smaller `grip` or another datum, or the printer it is printed on in shop.printer.bed',
      measured: Math.max(...size),
      limit: Math.max(...printer.bed),
    });
  }
  const foot = footOf(facets);
  const middle = massCenter(facets.mesh);
  if (!(foot.area > 0) || !(insideBy(foot.hull, middle) > 0)) {
    faults.push({
      code: 'proof/bed',
      message:
        foot.area > 0
          ? `its weight lies ${figure(-insideBy(foot.hull, middle))} mm outside its foot of ${figure(foot.area)} mm^2: it tips over`
          : 'no flat face of it lies on the bed',
      hint: 'ask for two `parts`, or for another kind of tool at this end',
      measured: foot.area,
      limit: 0,
    });
  }
  return { value: { size, bedArea: foot.area }, faults };
}

const fits = (size: readonly [Mm, Mm, Mm], bed: readonly [Mm, Mm, Mm]): boolean =>
  size[2] <= bed[2] && ((size[0] <= bed[0] && size[1] <= bed[1]) || (size[0] <= bed[1] && size[1] <= bed[0]));

/** The facets that lie flat on the bed. */
function footOf({ mesh, areas }: Facets): { readonly area: number; readonly hull: readonly Vec2[] } {
  const { positions: p, triangles } = mesh;
  const taken = new Uint8Array(p.length / 3);
  const corners: Vec2[] = [];
  let area = 0;
  for (let t = 0; t < areas.length; t++) {
    const i = 3 * t;
    if (
      !(
        isLow(p[3 * triangles[i]! + 2]!) &&
        isLow(p[3 * triangles[i + 1]! + 2]!) &&
        isLow(p[3 * triangles[i + 2]! + 2]!)
      )
    )
      continue;
    area += areas[t]!;
    for (let k = 0; k < 3; k++) {
      const v = triangles[3 * t + k]!;
      if (taken[v] === 1) continue;
      taken[v] = 1;
      corners.push([p[3 * v]!, p[3 * v + 1]!]);
    }
  }
  return { area, hull: area > 0 ? convexHull(corners) : [] };
}

const isLow = (z: Mm): boolean => Math.abs(z) <= ON_BED;

/** Center of the solid, seen from above. */
function massCenter({ positions: p, triangles }: Mesh): Vec2 {
  let six = 0;
  let x = 0;
  let y = 0;
  for (let i = 0; i < triangles.length; i += 3) {
    const a = 3 * triangles[i]!;
    const b = 3 * triangles[i + 1]!;
    const c = 3 * triangles[i + 2]!;
    const cone =
      p[a]! * (p[b + 1]! * p[c + 2]! - p[b + 2]! * p[c + 1]!) -
      p[a + 1]! * (p[b]! * p[c + 2]! - p[b + 2]! * p[c]!) +
      p[a + 2]! * (p[b]! * p[c + 1]! - p[b + 1]! * p[c]!);
    six += cone;
    x += (cone * (p[a]! + p[b]! + p[c]!)) / 4;
    y += (cone * (p[a + 1]! + p[b + 1]! + p[c + 1]!)) / 4;
  }
  return [x / six, y / six];
}

/** How far a point lies inside a counterclockwise convex outline; negative outside (past the line of a side). */
function insideBy(hull: readonly Vec2[], [x, y]: Vec2): Mm {
  if (hull.length < 3) return Number.NEGATIVE_INFINITY;
  return Math.min(
    ...hull.map(([px, py], i) => {
      const [qx, qy] = hull[(i + 1) % hull.length]!;
      return ((qx - px) * (y - py) - (qy - py) * (x - px)) / Math.hypot(qx - px, qy - py);
    }),
  );
}
