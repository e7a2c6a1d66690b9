import { COORDINATE_GRID, FLAT_TRIANGLE, WELD_STEPS } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import type { Mesh } from './mesh.ts';
import { checkMesh, type MeshFacts } from './mesh-check.ts';

/** A coordinate as every file carries it: on the grid, as the nearest float32, never minus zero. */
export const gridCoordinate = (x: Mm): Mm => Math.fround(Math.round(x * STEPS_PER_MM) / STEPS_PER_MM) + 0;

const STEPS_PER_MM = Math.round(1 / COORDINATE_GRID);

/** Rounds of flips after which a mesh that still has flat triangles will not get rid of them. */
const FLIP_ROUNDS = 40;

/**
 * A closed mesh brought onto the grid that files carry: vertices at one place become one, edges shorter than the weld
 * step shrink to a point, flat triangles are turned away. The kernel leaves these where faces of two bodies all but
 * coincide. The least weld step that gives a clean mesh is taken; the last is the most a working edge may move.
 */
export function tidyMesh(raw: Mesh): { readonly mesh: Mesh; readonly facts: MeshFacts } {
  const grid: Mesh = { positions: raw.positions.map(gridCoordinate), triangles: raw.triangles };
  let last = { mesh: grid, facts: checkMesh(grid) };
  for (const step of WELD_STEPS) {
    if (isClean(last.facts)) break;
    const mesh = compact(turnFlatTriangles(cancelFolds(weld(grid, step))));
    if (mesh.triangles.length === 0) break;
    last = { mesh, facts: checkMesh(mesh) };
  }
  return last;
}

/** Closed, every vertex its own place, no triangle without area. */
export const isClean = (facts: MeshFacts): boolean =>
  facts.closed && facts.zeroArea === 0 && facts.duplicateVertices === 0;

/** One vertex for each place, and for both ends of each edge no longer than the step; triangles that lose a side go. */
function weld(mesh: Mesh, step: Mm): Mesh {
  const { positions: p, triangles } = mesh;
  const parent = Uint32Array.from({ length: p.length / 3 }, (_, i) => i);
  const root = (i: number): number => {
    let at = i;
    while (parent[at] !== at) at = parent[at] = parent[parent[at]!]!;
    return at;
  };
  /** The lower number wins, so that the result does not depend on the order of joining. */
  const join = (i: number, j: number): void => {
    const [a, b] = [root(i), root(j)];
    parent[Math.max(a, b)] = Math.min(a, b);
  };
  if (step > 0) {
    for (let i = 0; i < triangles.length; i++) {
      const a = 3 * triangles[i]!;
      const b = 3 * triangles[i % 3 === 2 ? i - 2 : i + 1]!;
      if ((p[a]! - p[b]!) ** 2 + (p[a + 1]! - p[b + 1]!) ** 2 + (p[a + 2]! - p[b + 2]!) ** 2 <= step * step)
        join(a / 3, b / 3);
    }
  }
  const places = new Map<string, number>();
  for (let i = 0; i < parent.length; i++) {
    const at = 3 * root(i);
    const place = `${p[at]},${p[at + 1]},${p[at + 2]}`;
    const first = places.get(place);
    if (first === undefined) places.set(place, i);
    else join(first, i);
  }
  return { positions: p, triangles: dropSideless(triangles.map(root)) };
}

function dropSideless(triangles: Uint32Array): Uint32Array {
  const kept: number[] = [];
  for (let i = 0; i < triangles.length; i += 3) {
    const [a, b, c] = [triangles[i]!, triangles[i + 1]!, triangles[i + 2]!];
    if (a !== b && b !== c && c !== a) kept.push(a, b, c);
  }
  return Uint32Array.from(kept);
}

/** Two triangles with the same corners the other way round enclose nothing: welding folds thin wedges into such pairs. */
function cancelFolds(mesh: Mesh): Mesh {
  const { triangles } = mesh;
  const waiting = new Map<string, number[]>();
  const gone = new Set<number>();
  for (let i = 0; i < triangles.length; i += 3) {
    const corners = [triangles[i]!, triangles[i + 1]!, triangles[i + 2]!];
    const lead = corners.indexOf(Math.min(...corners));
    const [a, b, c] = [corners[lead]!, corners[(lead + 1) % 3]!, corners[(lead + 2) % 3]!];
    const partner = waiting.get(`${a},${c},${b}`)?.pop();
    if (partner !== undefined) {
      gone.add(partner).add(i);
      continue;
    }
    const same = waiting.get(`${a},${b},${c}`);
    if (same) same.push(i);
    else waiting.set(`${a},${b},${c}`, [i]);
  }
  return gone.size === 0 ? mesh : { ...mesh, triangles: triangles.filter((_, i) => !gone.has(i - (i % 3))) };
}

/**
 * A flat triangle has its middle corner on its longest side: the pair it forms with the neighbor across that side is
 * split the other way, which moves no surface. Pairs whose other diagonal is an edge already are left.
 */
function turnFlatTriangles(mesh: Mesh): Mesh {
  const triangles = mesh.triangles.slice();
  const vertices = mesh.positions.length / 3;
  for (let round = 0; round < FLIP_ROUNDS; round++) {
    const flat = flatTriangles({ ...mesh, triangles });
    if (flat.length === 0) break;
    const edges = new Map<number, number>();
    for (let i = 0; i < triangles.length; i++)
      edges.set(triangles[i]! * vertices + triangles[i % 3 === 2 ? i - 2 : i + 1]!, i);
    let turned = 0;
    for (const { triangle, longest } of flat) {
      const [a, b, c] = [0, 1, 2].map((k) => triangles[3 * triangle + ((longest + k) % 3)]!) as [
        number,
        number,
        number,
      ];
      if (edges.get(a * vertices + b) !== 3 * triangle + longest) continue;
      const across = edges.get(b * vertices + a);
      if (across === undefined) continue;
      const neighbor = across - (across % 3);
      const d = triangles[neighbor + ((across + 2) % 3)]!;
      if (d === c || edges.has(c * vertices + d) || edges.has(d * vertices + c)) continue;
      edges.delete(a * vertices + b);
      edges.delete(b * vertices + a);
      triangles.set([a, d, c], 3 * triangle);
      triangles.set([d, b, c], neighbor);
      for (const at of [3 * triangle, neighbor]) {
        for (let k = 0; k < 3; k++) edges.set(triangles[at + k]! * vertices + triangles[at + ((k + 1) % 3)]!, at + k);
      }
      turned++;
    }
    if (turned === 0) break;
  }
  return { ...mesh, triangles };
}

function flatTriangles(mesh: Mesh): readonly { readonly triangle: number; readonly longest: number }[] {
  const { positions: p, triangles } = mesh;
  const flat: { triangle: number; longest: number }[] = [];
  for (let t = 0; t < triangles.length; t += 3) {
    const side = (from: number, axis: number): number =>
      p[3 * triangles[t + ((from + 1) % 3)]! + axis]! - p[3 * triangles[t + from]! + axis]!;
    const [ux, uy, uz, vx, vy, vz] = [side(0, 0), side(0, 1), side(0, 2), side(1, 0), side(1, 1), side(1, 2)];
    const squares = [
      ux * ux + uy * uy + uz * uz,
      vx * vx + vy * vy + vz * vz,
      (ux + vx) ** 2 + (uy + vy) ** 2 + (uz + vz) ** 2,
    ];
    const twice = (uy * vz - uz * vy) ** 2 + (uz * vx - ux * vz) ** 2 + (ux * vy - uy * vx) ** 2;
    const most = Math.max(...squares);
    if (!(twice >= most * FLAT_TRIANGLE ** 2)) flat.push({ triangle: t / 3, longest: squares.indexOf(most) });
  }
  return flat;
}

/** The mesh without vertices that no triangle names, the others in their order. */
function compact(mesh: Mesh): Mesh {
  const used = new Set(mesh.triangles);
  const numbers = new Uint32Array(mesh.positions.length / 3);
  const positions: number[] = [];
  for (let i = 0; i < numbers.length; i++) {
    if (!used.has(i)) continue;
    numbers[i] = positions.length / 3;
    positions.push(mesh.positions[3 * i]!, mesh.positions[3 * i + 1]!, mesh.positions[3 * i + 2]!);
  }
  return { positions: Float64Array.from(positions), triangles: mesh.triangles.map((i) => numbers[i]!) };
}
