import { hullFacets } from '../geometry/hull-facets.ts';
import { compose, IDENTITY, type Placement, place, unplace, unplaceDirection } from '../geometry/placement.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { LabelSolid, PrismSolid, Solid } from '../solid/expression.ts';

/** Where an upright line runs through stuff: from, to, from, to, ... upward. */
export type Stretches = readonly Mm[];

/** A part in print pose as upright lines through it, one a square of the bed: what can be asked of it before it is built. */
export interface Columns {
  /** The line at i, j stands at x0 + i * pitch, y0 + j * pitch. */
  readonly x0: Mm;
  readonly y0: Mm;
  readonly pitch: Mm;
  readonly nx: number;
  readonly ny: number;
  readonly lines: readonly Stretches[];
}

export interface Box {
  readonly min: Vec3;
  readonly max: Vec3;
}

const EMPTY: Stretches = [];
/** Lines stand off the millimeter grid by shares no drawing uses, so that they pass beside edges and corners. */
const ASIDE: Vec2 = [0.37193, 0.46137];

/** A box round all of an expression: the least one, but for what cuts take off its ends. */
export function boxOf(solid: Solid, at: Placement = IDENTITY): Box {
  switch (solid.kind) {
    case 'place':
      return boxOf(solid.of, compose(at, solid.at));
    case 'subtract':
      return boxOf(solid.from, at);
    case 'either':
      return boxOf(solid.of[0], at);
    case 'union':
      return solid.of.map((one) => boxOf(one, at)).reduce((p, q) => merged(p, q, Math.min, Math.max));
    case 'intersect':
      return solid.of.map((one) => boxOf(one, at)).reduce((p, q) => merged(p, q, Math.max, Math.min));
    default:
      return boxRound(cornersOf(solid), at);
  }
}

type Pick = (p: Mm, q: Mm) => Mm;

const merged = (p: Box, q: Box, low: Pick, high: Pick): Box => ({
  min: [low(p.min[0], q.min[0]), low(p.min[1], q.min[1]), low(p.min[2], q.min[2])],
  max: [high(p.max[0], q.max[0]), high(p.max[1], q.max[1]), high(p.max[2], q.max[2])],
});

function cornersOf(solid: Exclude<Solid, { readonly of: unknown } | { readonly from: unknown }>): readonly Vec3[] {
  switch (solid.kind) {
    case 'hull':
      return solid.points;
    case 'mesh': {
      const { positions: p } = solid.mesh;
      return Array.from({ length: p.length / 3 }, (_, i): Vec3 => [p[3 * i]!, p[3 * i + 1]!, p[3 * i + 2]!]);
    }
    case 'prism':
      return solid.loops.flat().flatMap(([x, y]) => [0, solid.height].map((z) => place(solid.at, [x, y, z])));
    case 'label':
      return labelCorners(solid);
  }
}

/** The block that letters stand in. */
const labelCorners = ({ box, at, depth, sink }: LabelSolid): readonly Vec3[] =>
  [-0.5, 0.5].flatMap((x) =>
    [-0.5, 0.5].flatMap((y) => [-sink, depth].map((z) => place(at, [x * box[0], y * box[1], z]))),
  );

function boxRound(points: readonly Vec3[], at: Placement): Box {
  const min: [Mm, Mm, Mm] = [Infinity, Infinity, Infinity];
  const max: [Mm, Mm, Mm] = [-Infinity, -Infinity, -Infinity];
  for (const point of points) {
    const p = place(at, point);
    for (const k of [0, 1, 2] as const) {
      min[k] = Math.min(min[k], p[k]);
      max[k] = Math.max(max[k], p[k]);
    }
  }
  return { min, max };
}

/**
 * Upright lines through a part, so far apart: each solid's facets are met by the lines over them, and the stretches inside
 * are put together as the expression says (S. D. Roth, Comp. Graphics Image Proc. 18, 1982). Letters count as the block they
 * stand in.
 */
export function columnsOf(solid: Solid, pitch: Mm): Columns {
  const { min, max } = boxOf(solid);
  const [x0, y0] = [min[0] + ASIDE[0] * pitch, min[1] + ASIDE[1] * pitch];
  const grid = {
    x0,
    y0,
    pitch,
    nx: Math.max(1, Math.ceil((max[0] - x0) / pitch)),
    ny: Math.max(1, Math.ceil((max[1] - y0) / pitch)),
  };
  return { ...grid, lines: linesOf(solid, IDENTITY, grid) };
}

type Grid = Omit<Columns, 'lines'>;

function linesOf(solid: Solid, at: Placement, grid: Grid): readonly Stretches[] {
  switch (solid.kind) {
    case 'place':
      return linesOf(solid.of, compose(at, solid.at), grid);
    case 'either':
      return linesOf(solid.of[0], at, grid);
    case 'union':
      return solid.of.map((one) => linesOf(one, at, grid)).reduce((p, q) => joined(p, q, (a, b) => a || b));
    case 'intersect':
      return solid.of.map((one) => linesOf(one, at, grid)).reduce((p, q) => joined(p, q, (a, b) => a && b));
    case 'subtract':
      return [solid.from, ...solid.cuts]
        .map((one) => linesOf(one, at, grid))
        .reduce((p, q) => joined(p, q, (a, b) => a && !b));
    case 'prism':
      return prismLines(solid, at, grid);
    case 'mesh': {
      const points = cornersOf(solid).map((p) => place(at, p));
      return facetLines(points, solid.mesh.triangles, grid);
    }
    default: {
      const points = cornersOf(solid).map((p) => place(at, p));
      return facetLines(points, Uint32Array.from(hullFacets(points).flat()), grid);
    }
  }
}

type Keeps = (inFirst: boolean, inSecond: boolean) => boolean;

const joined = (first: readonly Stretches[], second: readonly Stretches[], keeps: Keeps): readonly Stretches[] =>
  first.map((a, i) => together(a, second[i]!, keeps));

/** Two lines' stretches put together. */
function together(a: Stretches, b: Stretches, keeps: Keeps): Stretches {
  if (b.length === 0) return keeps(true, false) ? a : EMPTY;
  if (a.length === 0) return keeps(false, true) ? b : EMPTY;
  const out: Mm[] = [];
  let [i, j] = [0, 0];
  while (i < a.length || j < b.length) {
    const z = Math.min(a[i] ?? Infinity, b[j] ?? Infinity);
    while (a[i] === z) i++;
    while (b[j] === z) j++;
    if (keeps(i % 2 === 1, j % 2 === 1) !== (out.length % 2 === 1)) out.push(z);
  }
  return out;
}

/** Stretches between the facets that each line meets. */
function facetLines(points: readonly Vec3[], triangles: Uint32Array, grid: Grid): readonly Stretches[] {
  const { x0, y0, pitch, nx, ny } = grid;
  const met: (Mm[] | undefined)[] = new Array(nx * ny).fill(undefined);
  for (let t = 0; t < triangles.length; t += 3) {
    const [a, b, c] = [points[triangles[t]!]!, points[triangles[t + 1]!]!, points[triangles[t + 2]!]!];
    const area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    if (area === 0) continue;
    const j0 = Math.max(0, Math.ceil((Math.min(a[1], b[1], c[1]) - y0) / pitch));
    const j1 = Math.min(ny - 1, Math.floor((Math.max(a[1], b[1], c[1]) - y0) / pitch));
    for (let j = j0; j <= j1; j++) {
      const y = y0 + j * pitch;
      const [low, high] = rowIn([a, b, c], y);
      const i0 = Math.max(0, Math.ceil((low - x0) / pitch));
      const i1 = Math.min(nx - 1, Math.floor((high - x0) / pitch));
      for (let i = i0; i <= i1; i++) {
        const x = x0 + i * pitch;
        const u = ((b[0] - x) * (c[1] - y) - (b[1] - y) * (c[0] - x)) / area;
        const v = ((c[0] - x) * (a[1] - y) - (c[1] - y) * (a[0] - x)) / area;
        const z = u * a[2] + v * b[2] + (1 - u - v) * c[2];
        const line = met[j * nx + i];
        if (line) line.push(z);
        else met[j * nx + i] = [z];
      }
    }
  }
  return met.map((zs) => (zs ? paired(zs) : EMPTY));
}

/** From where to where a triangle is crossed by a row of lines. Both triangles at an edge reckon it alike. */
function rowIn(corners: readonly [Vec3, Vec3, Vec3], y: Mm): readonly [Mm, Mm] {
  let [low, high] = [Infinity, -Infinity];
  for (let k = 0; k < 3; k++) {
    const [p, q] = [corners[k]!, corners[(k + 1) % 3]!];
    if (p[1] > y === q[1] > y) continue;
    const [from, to] = p[1] < q[1] ? [p, q] : [q, p];
    const x = from[0] + ((y - from[1]) * (to[0] - from[0])) / (to[1] - from[1]);
    [low, high] = [Math.min(low, x), Math.max(high, x)];
  }
  return [low, high];
}

/** A line that met an edge twice, or missed one, is believed as far as it makes pairs. */
function paired(zs: Mm[]): Stretches {
  zs.sort((p, q) => p - q);
  return zs.length % 2 === 0
    ? zs
    : zs.filter((z, i) => i === 0 || z - zs[i - 1]! > 1e-9).slice(0, 2 * (zs.length >> 1));
}

/** A prism by its own rule, since its loops may have holes: in at one side or end, out at another. */
function prismLines({ loops, height, at: own }: PrismSolid, outer: Placement, grid: Grid): readonly Stretches[] {
  const at = compose(outer, own);
  const { min, max } = boxRound(
    loops.flat().flatMap(([x, y]): readonly Vec3[] => [[x, y, 0] as const, [x, y, height] as const]),
    at,
  );
  const way = unplaceDirection(at, [0, 0, 1]);
  if (Math.abs(way[2]) > 1 - 1e-12) return uprightLines(loops, { at, ends: [min[2], max[2]], grid });
  return Array.from({ length: grid.nx * grid.ny }, (_, k): Stretches => {
    const [x, y] = [grid.x0 + (k % grid.nx) * grid.pitch, grid.y0 + Math.floor(k / grid.nx) * grid.pitch];
    if (x < min[0] || x > max[0] || y < min[1] || y > max[1]) return EMPTY;
    const from = unplace(at, [x, y, 0]);
    const zs: Mm[] = [];
    if (Math.abs(way[2]) > 1e-12) {
      for (const end of [0, height]) {
        const z = (end - from[2]) / way[2];
        if (isInside(loops, [from[0] + z * way[0], from[1] + z * way[1]])) zs.push(z);
      }
    }
    for (const loop of loops) zs.push(...sidesMet(loop, { from, way, height }));
    return paired(zs);
  });
}

/** An upright prism row by row: inside between every two sides that a row crosses. */
function uprightLines(
  loops: readonly (readonly Vec2[])[],
  { at, ends, grid }: { readonly at: Placement; readonly ends: Stretches; readonly grid: Grid },
): readonly Stretches[] {
  const placed = loops.map((loop) => loop.map(([x, y]) => place(at, [x, y, 0])));
  const { x0, y0, pitch, nx, ny } = grid;
  const lines: Stretches[] = new Array<Stretches>(nx * ny).fill(EMPTY);
  for (let j = 0; j < ny; j++) {
    const y = y0 + j * pitch;
    const xs = placed.flatMap((loop) =>
      loop.flatMap((p, i): readonly Mm[] => {
        const q = loop[(i + 1) % loop.length]!;
        return p[1] > y === q[1] > y ? [] : [p[0] + ((y - p[1]) * (q[0] - p[0])) / (q[1] - p[1])];
      }),
    );
    xs.sort((p, q) => p - q);
    for (let k = 0; k + 1 < xs.length; k += 2) {
      const last = Math.min(nx - 1, Math.floor((xs[k + 1]! - x0) / pitch));
      for (let i = Math.max(0, Math.ceil((xs[k]! - x0) / pitch)); i <= last; i++) lines[j * nx + i] = ends;
    }
  }
  return lines;
}

function sidesMet(
  loop: readonly Vec2[],
  { from, way, height }: { readonly from: Vec3; readonly way: Vec3; readonly height: Mm },
): readonly Mm[] {
  return loop.flatMap(([px, py], i): readonly Mm[] => {
    const [qx, qy] = loop[(i + 1) % loop.length]!;
    const [nx, ny] = [qy - py, px - qx];
    const rate = way[0] * nx + way[1] * ny;
    if (Math.abs(rate) < 1e-12) return [];
    const z = ((px - from[0]) * nx + (py - from[1]) * ny) / rate;
    const tall = from[2] + z * way[2];
    const [x, y] = [from[0] + z * way[0], from[1] + z * way[1]];
    const share = ((x - px) * (qx - px) + (y - py) * (qy - py)) / (nx * nx + ny * ny);
    return tall >= 0 && tall < height && share >= 0 && share < 1 ? [z] : [];
  });
}

function isInside(loops: readonly (readonly Vec2[])[], [x, y]: Vec2): boolean {
  let inside = false;
  for (const loop of loops) {
    loop.forEach(([px, py], i) => {
      const [qx, qy] = loop[(i + 1) % loop.length]!;
      if (py > y !== qy > y && x < px + ((y - py) * (qx - px)) / (qy - py)) inside = !inside;
    });
  }
  return inside;
}

/** Whether there is stuff at a place, by the line nearest to it. */
export function isStuff({ x0, y0, pitch, nx, ny, lines }: Columns, [x, y, z]: Vec3): boolean {
  const [i, j] = [Math.round((x - x0) / pitch), Math.round((y - y0) / pitch)];
  if (i < 0 || j < 0 || i >= nx || j >= ny) return false;
  const line = lines[j * nx + i]!;
  return line.some((low, k) => k % 2 === 0 && low <= z && line[k + 1]! >= z);
}

/** The stretches of a line that lie between two heights. */
export function between(line: Stretches, low: Mm, high: Mm): Stretches {
  return together(line, [low, high], (a, b) => a && b);
}
