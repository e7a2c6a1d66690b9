import { FLAT_TRIANGLE } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from './mesh.ts';
import { oppositeEdges } from './opposite-edges.ts';

/** What a mesh is, counted from its triangles alone: nothing is taken from the kernel's word. */
export interface MeshFacts {
  readonly triangles: number;
  readonly vertices: number;
  /** Every half-edge has exactly one opposite, at least four triangles, all numbers finite. */
  readonly closed: boolean;
  /** Edges with one triangle only. */
  readonly openEdges: number;
  /** Edges whose two triangles run the same way along them: one of the two is flipped. */
  readonly misoriented: number;
  /** Edges with three triangles or more. */
  readonly crowdedEdges: number;
  /** Triangles that name a corner twice or are lower than the flat-triangle tolerance over their longest edge. */
  readonly zeroArea: number;
  /** Pieces that hang together by edges. */
  readonly shells: number;
  /** mm^3, positive when the triangles are counterclockwise seen from outside. */
  readonly volume: number;
  /** mm^2. */
  readonly area: number;
  readonly bounds: Bounds;
  /** Vertices at the very place of another one. */
  readonly duplicateVertices: number;
}

export interface Bounds {
  readonly min: Vec3;
  readonly max: Vec3;
}

/** Counts what a printer and a slicer trip over. Errors: an index beyond the vertices or a broken array is a bug. */
export function checkMesh(mesh: Mesh): MeshFacts {
  const { positions, triangles } = mesh;
  const vertices = positions.length / 3;
  if (!Number.isInteger(vertices) || triangles.length % 3 !== 0)
    throw new Error('internal: mesh arrays are not in threes');
  demandVertices(triangles, vertices);
  const finite = allFinite(positions);
  const edges = countEdges(mesh);
  const sizes = measureTriangles(mesh);
  const faults = edges.openEdges + edges.misoriented + edges.crowdedEdges;
  return {
    triangles: triangles.length / 3,
    vertices,
    closed: finite && triangles.length >= 12 && faults === 0,
    ...edges,
    ...sizes,
    bounds: meshBounds(mesh),
    duplicateVertices: countDuplicates(positions),
  };
}

function demandVertices(triangles: Uint32Array, vertices: number): void {
  for (let i = 0; i < triangles.length; i++) {
    if (triangles[i]! >= vertices) throw new Error(`internal: mesh names vertex ${triangles[i]} of ${vertices}`);
  }
}

/** Whether every number is one: as a loop, which is compiled, where the library's would call a function for each. */
export function allFinite(numbers: ArrayLike<number>): boolean {
  for (let i = 0; i < numbers.length; i++) if (!Number.isFinite(numbers[i])) return false;
  return true;
}

/** Least and greatest coordinate of the vertices, mm; an empty mesh has none and is a bug of the caller. */
export function meshBounds(mesh: Mesh): Bounds {
  const low: [Mm, Mm, Mm] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  const high: [Mm, Mm, Mm] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  if (mesh.positions.length === 0) throw new Error('internal: bounds of an empty mesh');
  for (let i = 0; i < mesh.positions.length; i += 3) {
    for (const axis of [0, 1, 2] as const) {
      const value = mesh.positions[i + axis]!;
      if (value < low[axis]) low[axis] = value;
      if (value > high[axis]) high[axis] = value;
    }
  }
  return { min: low, max: high };
}

/** Signed volume, mm^3: the sum of the cones from the first vertex (nearer than the origin, so less rounding). */
export function signedVolume(mesh: Mesh): number {
  return measureTriangles(mesh).volume;
}

/** How often an edge is used backward is counted above this, forward below. */
const REVERSED = 0x10000;

type EdgeFacts = Pick<MeshFacts, 'openEdges' | 'misoriented' | 'crowdedEdges' | 'shells'>;

/** Nearly every mesh is closed, and is told so with half the work. */
function countEdges(mesh: Mesh): EdgeFacts {
  const opposite = oppositeEdges(mesh);
  for (let side = 0; side < opposite.length; side++) if (opposite[side]! < 0) return countFaultyEdges(mesh);
  return { openEdges: 0, misoriented: 0, crowdedEdges: 0, shells: countShells(opposite) };
}

/** From a triangle to all that hang together with it, and again from the next that none has reached. */
function countShells(opposite: Int32Array): number {
  const triangles = opposite.length / 3;
  const reached = new Uint8Array(triangles);
  const waiting = new Uint32Array(triangles);
  let shells = 0;
  for (let first = 0; first < triangles; first++) {
    if (reached[first] === 1) continue;
    shells++;
    reached[first] = 1;
    waiting[0] = first;
    for (let count = 1; count > 0; ) {
      const triangle = waiting[--count]!;
      for (let side = 3 * triangle; side < 3 * triangle + 3; side++) {
        const next = (opposite[side]! / 3) | 0;
        if (reached[next] === 1) continue;
        reached[next] = 1;
        waiting[count++] = next;
      }
    }
  }
  return shells;
}

function countFaultyEdges(mesh: Mesh): EdgeFacts {
  const { triangles } = mesh;
  // Open hash table of edges: a slot holds the edge's two vertices, how it is used, and the first triangle on it.
  const size = 2 ** Math.ceil(Math.log2(2 * triangles.length + 2));
  const lows = new Uint32Array(size);
  const highs = new Uint32Array(size);
  const uses = new Uint32Array(size);
  const firstTriangle = new Uint32Array(size);
  const parent = new Uint32Array(triangles.length / 3);
  for (let i = 0; i < parent.length; i++) parent[i] = i;
  const root = (i: number): number => {
    let at = i;
    while (parent[at] !== at) at = parent[at] = parent[parent[at]!]!;
    return at;
  };
  for (let i = 0; i < triangles.length; i++) {
    const from = triangles[i]!;
    const to = triangles[i % 3 === 2 ? i - 2 : i + 1]!;
    const low = Math.min(from, to);
    const high = Math.max(from, to);
    const triangle = (i / 3) | 0;
    let slot = (Math.imul(low, 0x9e3779b1) ^ Math.imul(high, 0x85ebca6b)) >>> 0;
    slot = (slot ^ (slot >>> 15)) & (size - 1);
    while (uses[slot] !== 0 && (lows[slot] !== low || highs[slot] !== high)) slot = (slot + 1) & (size - 1);
    if (uses[slot] === 0) {
      lows[slot] = low;
      highs[slot] = high;
      firstTriangle[slot] = triangle;
    } else parent[root(triangle)] = root(firstTriangle[slot]!);
    uses[slot]! += from < to ? 1 : REVERSED;
  }
  let openEdges = 0;
  let misoriented = 0;
  let crowdedEdges = 0;
  for (let slot = 0; slot < size; slot++) {
    const use = uses[slot]!;
    if (use === 0 || use === 1 + REVERSED) continue;
    const count = (use % REVERSED) + Math.floor(use / REVERSED);
    if (count === 1) openEdges++;
    else if (count === 2) misoriented++;
    else crowdedEdges++;
  }
  let shells = 0;
  for (let i = 0; i < parent.length; i++) if (parent[i] === i) shells++;
  return { openEdges, misoriented, crowdedEdges, shells };
}

function measureTriangles(mesh: Mesh): Pick<MeshFacts, 'zeroArea' | 'volume' | 'area'> {
  const { positions: p, triangles } = mesh;
  const ox = p[0] ?? 0;
  const oy = p[1] ?? 0;
  const oz = p[2] ?? 0;
  let zeroArea = 0;
  let twiceArea = 0;
  let sixVolumes = 0;
  for (let i = 0; i < triangles.length; i += 3) {
    const a = 3 * triangles[i]!;
    const b = 3 * triangles[i + 1]!;
    const c = 3 * triangles[i + 2]!;
    const ux = p[b]! - p[a]!;
    const uy = p[b + 1]! - p[a + 1]!;
    const uz = p[b + 2]! - p[a + 2]!;
    const vx = p[c]! - p[a]!;
    const vy = p[c + 1]! - p[a + 1]!;
    const vz = p[c + 2]! - p[a + 2]!;
    const nx = uy * vz - uz * vy;
    const ny = uz * vx - ux * vz;
    const nz = ux * vy - uy * vx;
    const twice = Math.sqrt(nx * nx + ny * ny + nz * nz);
    const longest = Math.sqrt(
      Math.max(
        ux * ux + uy * uy + uz * uz,
        vx * vx + vy * vy + vz * vz,
        (vx - ux) ** 2 + (vy - uy) ** 2 + (vz - uz) ** 2,
      ),
    );
    if (!(twice >= longest * FLAT_TRIANGLE) || longest === 0) zeroArea++;
    twiceArea += twice;
    sixVolumes += nx * (p[a]! - ox) + ny * (p[a + 1]! - oy) + nz * (p[a + 2]! - oz);
  }
  return { zeroArea, area: twiceArea / 2, volume: sixVolumes / 6 };
}

/** Vertices are sorted into buckets by their place, and compared there. */
function countDuplicates(positions: Float64Array): number {
  const bits = new Uint32Array(positions.buffer, positions.byteOffset, 2 * positions.length);
  const size = 2 ** Math.ceil(Math.log2((2 * positions.length) / 3 + 2));
  // Slots of an open hash table: one more than the first vertex at a place, 0 where there is none.
  const slots = new Uint32Array(size);
  let same = 0;
  for (let i = 0; i < positions.length; i += 3) {
    const x = positions[i]!;
    const y = positions[i + 1]!;
    const z = positions[i + 2]!;
    // -0 and 0 are one place and have different bits.
    const hash =
      Math.imul(x === 0 ? 0 : bits[2 * i]! ^ bits[2 * i + 1]!, 0x9e3779b1) ^
      Math.imul(y === 0 ? 0 : bits[2 * i + 2]! ^ bits[2 * i + 3]!, 0x85ebca6b) ^
      Math.imul(z === 0 ? 0 : bits[2 * i + 4]! ^ bits[2 * i + 5]!, 0xc2b2ae35);
    let slot = (hash ^ (hash >>> 15)) & (size - 1);
    for (; slots[slot] !== 0; slot = (slot + 1) & (size - 1)) {
      const at = 3 * (slots[slot]! - 1);
      if (positions[at] === x && positions[at + 1] === y && positions[at + 2] === z) break;
    }
    if (slots[slot] === 0) slots[slot] = i / 3 + 1;
    else same++;
  }
  return same;
}
