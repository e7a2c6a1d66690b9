import type { Mm, Vec3 } from '../../src/geometry/vector.ts';
import type { Mesh } from '../../src/solid/mesh.ts';
import { type Corners, nearestOnTriangle, rayThroughTriangle } from './triangle.ts';

/** A mesh's triangles in a tree of boxes, for asking along a line or near a point without looking at all of them. */
export interface Bvh {
  readonly mesh: Mesh;
  /** Triangle numbers in tree order. */
  readonly order: Uint32Array;
  /** Six numbers a node: least x y z, greatest x y z. */
  readonly boxes: Float64Array;
  /** Two numbers a node: a leaf has its first place in `order` and how many (positive); an inner node the second child and 0. */
  readonly nodes: Uint32Array;
}

export interface RayHit {
  /** mm along the (unit) direction. */
  readonly distance: Mm;
  readonly triangle: number;
  readonly point: Vec3;
}

export interface NearestHit {
  readonly distance: Mm;
  readonly triangle: number;
  readonly point: Vec3;
}

const LEAF = 4;

/** Sorts the triangles into boxes, halved along the longest side; the same mesh gives the same tree. */
export function buildBvh(mesh: Mesh): Bvh {
  const count = mesh.triangles.length / 3;
  if (count === 0) throw new Error('internal: a tree of no triangles');
  const order = Uint32Array.from({ length: count }, (_, i) => i);
  const middles = triangleMiddles(mesh);
  const boxes: number[] = [];
  const nodes: number[] = [];
  const split = (first: number, size: number): void => {
    const node = nodes.length / 2;
    const box = boxOf(mesh, order.subarray(first, first + size));
    boxes.push(...box);
    if (size <= LEAF) {
      nodes.push(first, size);
      return;
    }
    nodes.push(0, 0);
    const sides = [box[3]! - box[0]!, box[4]! - box[1]!, box[5]! - box[2]!];
    const axis = sides.indexOf(Math.max(...sides));
    order.subarray(first, first + size).sort((a, b) => middles[3 * a + axis]! - middles[3 * b + axis]! || a - b);
    const half = size >> 1;
    split(first, half);
    nodes[2 * node] = nodes.length / 2;
    split(first + half, size - half);
  };
  split(0, count);
  return { mesh, order, boxes: Float64Array.from(boxes), nodes: Uint32Array.from(nodes) };
}

/**
 * First triangle a ray meets, from either side, more than `beyond` mm (0 unless given) from its origin; undefined when it
 * meets none. The direction is a unit vector.
 */
export function castRay(bvh: Bvh, origin: Vec3, direction: Vec3, beyond: Mm = 0): RayHit | undefined {
  let best: RayHit | undefined;
  const inverse: Vec3 = [1 / direction[0], 1 / direction[1], 1 / direction[2]];
  const stack = [0];
  for (let node = stack.pop(); node !== undefined; node = stack.pop()) {
    if (!rayMeetsBox(bvh.boxes, node, { origin, inverse, reach: best?.distance ?? Number.POSITIVE_INFINITY })) continue;
    const size = bvh.nodes[2 * node + 1]!;
    if (size === 0) {
      stack.push(bvh.nodes[2 * node]!, node + 1);
      continue;
    }
    const first = bvh.nodes[2 * node]!;
    for (const triangle of bvh.order.subarray(first, first + size)) {
      const distance = rayThroughTriangle(origin, direction, cornersOf(bvh.mesh, triangle));
      if (distance === undefined || distance <= beyond || distance >= (best?.distance ?? Number.POSITIVE_INFINITY))
        continue;
      const point: Vec3 = [
        origin[0] + distance * direction[0],
        origin[1] + distance * direction[1],
        origin[2] + distance * direction[2],
      ];
      best = { distance, triangle, point };
    }
  }
  return best;
}

/** Point of the mesh's surface nearest to a place, and how far it is, mm (never negative: no inside or outside). */
export function nearestPoint(bvh: Bvh, place: Vec3): NearestHit {
  let best: NearestHit = { distance: Number.POSITIVE_INFINITY, triangle: -1, point: place };
  const stack = [0];
  for (let node = stack.pop(); node !== undefined; node = stack.pop()) {
    if (distanceToBox(bvh.boxes, node, place) >= best.distance) continue;
    const size = bvh.nodes[2 * node + 1]!;
    if (size === 0) {
      const near = node + 1;
      const far = bvh.nodes[2 * node]!;
      const nearFirst = distanceToBox(bvh.boxes, near, place) <= distanceToBox(bvh.boxes, far, place);
      stack.push(...(nearFirst ? [far, near] : [near, far]));
      continue;
    }
    const first = bvh.nodes[2 * node]!;
    for (const triangle of bvh.order.subarray(first, first + size)) {
      const point = nearestOnTriangle(place, cornersOf(bvh.mesh, triangle));
      const distance = Math.hypot(point[0] - place[0], point[1] - place[1], point[2] - place[2]);
      if (distance < best.distance) best = { distance, triangle, point };
    }
  }
  return best;
}

/** The three corners of a triangle of a mesh. */
export function cornersOf(mesh: Mesh, triangle: number): Corners {
  const at = (k: 0 | 1 | 2): Vec3 => {
    const v = 3 * mesh.triangles[3 * triangle + k]!;
    return [mesh.positions[v]!, mesh.positions[v + 1]!, mesh.positions[v + 2]!];
  };
  return [at(0), at(1), at(2)];
}

function triangleMiddles(mesh: Mesh): Float64Array {
  const middles = new Float64Array(mesh.triangles.length);
  for (let i = 0; i < mesh.triangles.length; i++) {
    const v = 3 * mesh.triangles[i]!;
    const t = 3 * Math.floor(i / 3);
    for (const axis of [0, 1, 2]) middles[t + axis]! += mesh.positions[v + axis]! / 3;
  }
  return middles;
}

function boxOf(mesh: Mesh, triangles: Uint32Array): readonly number[] {
  const low = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const triangle of triangles) {
    for (let k = 0; k < 3; k++) {
      const v = 3 * mesh.triangles[3 * triangle + k]!;
      for (let axis = 0; axis < 3; axis++) {
        const value = mesh.positions[v + axis]!;
        if (value < low[axis]!) low[axis] = value;
        if (value > high[axis]!) high[axis] = value;
      }
    }
  }
  return [...low, ...high];
}

/** Four roundings of a double, so that a hit on a box's very face is not lost (Ize, "Robust BVH Ray Traversal", 2013). */
const ROUNDING = 1 + 4 * Number.EPSILON;

interface RayToBox {
  readonly origin: Vec3;
  readonly inverse: Vec3;
  readonly reach: Mm;
}

function rayMeetsBox(boxes: Float64Array, node: number, ray: RayToBox): boolean {
  let enter = 0;
  let leave = ray.reach;
  for (const axis of [0, 1, 2] as const) {
    const low = boxes[6 * node + axis]!;
    const high = boxes[6 * node + 3 + axis]!;
    const start = ray.origin[axis];
    if (!Number.isFinite(ray.inverse[axis])) {
      if (start < low || start > high) return false;
      continue;
    }
    const a = (low - start) * ray.inverse[axis];
    const b = (high - start) * ray.inverse[axis];
    enter = Math.max(enter, Math.min(a, b));
    leave = Math.min(leave, Math.max(a, b));
  }
  return enter <= leave * ROUNDING;
}

function distanceToBox(boxes: Float64Array, node: number, place: Vec3): Mm {
  let square = 0;
  for (const axis of [0, 1, 2] as const) {
    const short = Math.max(0, boxes[6 * node + axis]! - place[axis], place[axis] - boxes[6 * node + 3 + axis]!);
    square += short * short;
  }
  return Math.sqrt(square);
}
