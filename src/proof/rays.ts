import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';

/** Facets in a tree of boxes, laid out flat so that thousands of rays cost milliseconds. */
export interface RayTree {
  readonly mesh: Mesh;
  readonly order: Uint32Array;
  /** Six numbers a node. */
  readonly boxes: Float64Array;
  /** Two numbers a node: a leaf has its first place in `order` and its size; an inner node its second child and 0. */
  readonly nodes: Int32Array;
}

const LEAF = 6;

/** Splits at the middle of the facets' own boxes along their longest side, or in half where that parts nothing. */
export function rayTree(mesh: Mesh): RayTree {
  const count = mesh.triangles.length / 3;
  const order = Uint32Array.from({ length: count }, (_, i) => i);
  const own = facetBoxes(mesh);
  const boxes = new Float64Array(12 * count);
  const nodes = new Int32Array(4 * count);
  let used = 0;
  const split = (first: number, size: number): number => {
    const node = used++;
    if (size <= LEAF) {
      nodes[2 * node] = first;
      nodes[2 * node + 1] = size;
      for (let k = 0; k < 3; k++) {
        let low = Number.POSITIVE_INFINITY;
        let high = Number.NEGATIVE_INFINITY;
        for (let i = first; i < first + size; i++) {
          const b = 6 * order[i]! + k;
          if (own[b]! < low) low = own[b]!;
          if (own[b + 3]! > high) high = own[b + 3]!;
        }
        boxes[6 * node + k] = low;
        boxes[6 * node + 3 + k] = high;
      }
      return node;
    }
    const half = part(order, own, { first, size });
    const near = split(first, half);
    const far = split(first + half, size - half);
    nodes[2 * node] = far;
    for (let k = 0; k < 3; k++) {
      boxes[6 * node + k] = Math.min(boxes[6 * near + k]!, boxes[6 * far + k]!);
      boxes[6 * node + 3 + k] = Math.max(boxes[6 * near + 3 + k]!, boxes[6 * far + 3 + k]!);
    }
    return node;
  };
  if (count > 0) split(0, count);
  return { mesh, order, boxes, nodes };
}

function facetBoxes({ positions: p, triangles }: Mesh): Float64Array {
  const boxes = new Float64Array(2 * triangles.length);
  for (let i = 0; i < triangles.length; i += 3) {
    const a = 3 * triangles[i]!;
    const b = 3 * triangles[i + 1]!;
    const c = 3 * triangles[i + 2]!;
    for (let k = 0; k < 3; k++) {
      boxes[2 * i + k] = Math.min(p[a + k]!, p[b + k]!, p[c + k]!);
      boxes[2 * i + 3 + k] = Math.max(p[a + k]!, p[b + k]!, p[c + k]!);
    }
  }
  return boxes;
}

interface Share {
  readonly first: number;
  readonly size: number;
}

/** Moves the facets with lower middles to the front; gives how many. */
function part(order: Uint32Array, own: Float64Array, { first, size }: Share): number {
  let axis = 0;
  let middle = 0;
  let widest = -1;
  for (let k = 0; k < 3; k++) {
    let low = Number.POSITIVE_INFINITY;
    let high = Number.NEGATIVE_INFINITY;
    for (let i = first; i < first + size; i++) {
      const b = 6 * order[i]! + k;
      const twice = own[b]! + own[b + 3]!;
      if (twice < low) low = twice;
      if (twice > high) high = twice;
    }
    if (high - low <= widest) continue;
    widest = high - low;
    axis = k;
    middle = (low + high) / 2;
  }
  let i = first;
  let j = first + size - 1;
  while (i <= j) {
    const b = 6 * order[i]! + axis;
    if (own[b]! + own[b + 3]! < middle) i++;
    else {
      const swap = order[i]!;
      order[i] = order[j]!;
      order[j--] = swap;
    }
  }
  const lower = i - first;
  return lower === 0 || lower === size ? size >> 1 : lower;
}

export interface Ray {
  readonly from: Vec3;
  /** Unit. */
  readonly toward: Vec3;
  /** Hits nearer than this are the facet the ray starts on. */
  readonly beyond: Mm;
  /** Farther hits are not looked for; everywhere when left out. */
  readonly within?: Mm;
}

/** First facet a ray meets and how far away; undefined when it meets none. */
export function firstHit(
  { mesh, order, boxes, nodes }: RayTree,
  ray: Ray,
): { readonly facet: number; readonly distance: Mm } | undefined {
  const { from, toward } = ray;
  const ox = from[0];
  const oy = from[1];
  const oz = from[2];
  const ix = 1 / toward[0];
  const iy = 1 / toward[1];
  const iz = 1 / toward[2];
  let facet = -1;
  let distance = ray.within ?? Number.POSITIVE_INFINITY;
  const stack = [0];
  for (let node = stack.pop(); node !== undefined; node = stack.pop()) {
    const b = 6 * node;
    const ax = (boxes[b]! - SLACK - ox) * ix;
    const bx = (boxes[b + 3]! + SLACK - ox) * ix;
    const ay = (boxes[b + 1]! - SLACK - oy) * iy;
    const by = (boxes[b + 4]! + SLACK - oy) * iy;
    const az = (boxes[b + 2]! - SLACK - oz) * iz;
    const bz = (boxes[b + 5]! + SLACK - oz) * iz;
    const enter = Math.max(Math.min(ax, bx), Math.min(ay, by), Math.min(az, bz), 0);
    const leave = Math.min(Math.max(ax, bx), Math.max(ay, by), Math.max(az, bz), distance);
    // Not "enter > leave": a ray in the very plane of a box's side gives a number that is none, and goes in.
    if (enter > leave) continue;
    const size = nodes[2 * node + 1]!;
    if (size === 0) {
      stack.push(nodes[2 * node]!, node + 1);
      continue;
    }
    const first = nodes[2 * node]!;
    for (let i = first; i < first + size; i++) {
      const d = through(mesh, order[i]!, ray);
      if (d > ray.beyond && d < distance) {
        distance = d;
        facet = order[i]!;
      }
    }
  }
  return facet < 0 ? undefined : { facet, distance };
}

/** mm. Boxes are this much larger than what they hold, against rounding. */
const SLACK: Mm = 1e-9;

/** Distance to a facet (Moeller and Trumbore, 1997); NaN when the ray passes it by. */
function through({ positions: p, triangles }: Mesh, facet: number, { from, toward }: Ray): Mm {
  const a = 3 * triangles[3 * facet]!;
  const b = 3 * triangles[3 * facet + 1]!;
  const c = 3 * triangles[3 * facet + 2]!;
  const ux = p[b]! - p[a]!;
  const uy = p[b + 1]! - p[a + 1]!;
  const uz = p[b + 2]! - p[a + 2]!;
  const vx = p[c]! - p[a]!;
  const vy = p[c + 1]! - p[a + 1]!;
  const vz = p[c + 2]! - p[a + 2]!;
  const dx = toward[0];
  const dy = toward[1];
  const dz = toward[2];
  const px = dy * vz - dz * vy;
  const py = dz * vx - dx * vz;
  const pz = dx * vy - dy * vx;
  const det = ux * px + uy * py + uz * pz;
  const tx = from[0] - p[a]!;
  const ty = from[1] - p[a + 1]!;
  const tz = from[2] - p[a + 2]!;
  const u = (tx * px + ty * py + tz * pz) / det;
  if (!(u >= 0 && u <= 1)) return Number.NaN;
  const qx = ty * uz - tz * uy;
  const qy = tz * ux - tx * uz;
  const qz = tx * uy - ty * ux;
  const v = (dx * qx + dy * qy + dz * qz) / det;
  return v >= 0 && u + v <= 1 ? (vx * qx + vy * qy + vz * qz) / det : Number.NaN;
}
