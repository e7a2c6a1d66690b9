import { cross, dot, length, unit, type Vec3 } from '../geometry/vector.ts';
import type { Rgba } from './png.ts';

/** Some rows of a picture's samples: the depth is mm toward the eye, a color is red, green and blue in one number. */
export interface Layer {
  readonly width: number;
  /** How many rows, and which of the picture is the first of them. */
  readonly height: number;
  readonly top: number;
  readonly depth: Float32Array;
  readonly color: Uint32Array;
}

type Color = readonly [number, number, number];

const PAPER = 0xffffff;
/** Of the part's color, for its edges. */
const EDGE_SHADE = 0.22;
/** Samples of depth by which an edge may lie behind the facets it belongs to. */
const EDGE_BIAS = 3;

/** So many of a picture's first rows, white, with nothing on them. */
export function blankLayer({ width, height }: { readonly width: number; readonly height: number }): Layer {
  const samples = width * height;
  return wiped({ width, height, top: 0, depth: new Float32Array(samples), color: new Uint32Array(samples) }, 0, height);
}

/** The layer with everything taken off it, for other rows of the picture: as many as it has, or fewer. */
export function wiped(layer: Layer, top: number, height: number): Layer {
  layer.depth.fill(Number.NEGATIVE_INFINITY);
  layer.color.fill(PAPER);
  return { ...layer, top, height };
}

const packed = (red: number, green: number, blue: number): number => (red << 16) | (green << 8) | blue;

interface ToDraw {
  /** x, y in samples and depth in mm of every vertex. */
  readonly seen: Float64Array;
  readonly color: Color;
  /** Samples per mm. */
  readonly zoom: number;
}

/** Draws the facets that face the eye, each in one shade. */
export function drawFacets(layer: Layer, facets: ToDraw & { readonly triangles: Uint32Array }): void {
  for (let i = 0; i < facets.triangles.length; i += 3) drawTriangle(layer, facets, i);
}

/**
 * One triangle, by the samples whose middles lie in it. Its shares of b and c grow evenly along a row, so the samples
 * inside lie between two ends: a long facet askew fills little of the box round it.
 */
function drawTriangle(
  { width, height, top: firstRow, depth, color: colors }: Layer,
  { seen, triangles, color, zoom }: ToDraw & { readonly triangles: Uint32Array },
  corner: number,
): void {
  const a = 3 * triangles[corner]!;
  const b = 3 * triangles[corner + 1]!;
  const c = 3 * triangles[corner + 2]!;
  const ax = seen[a]!;
  const ay = seen[a + 1]!;
  const bx = seen[b]! - ax;
  const by = seen[b + 1]! - ay;
  const cx = seen[c]! - ax;
  const cy = seen[c + 1]! - ay;
  const turn = bx * cy - by * cx;
  // Half of all triangles face away.
  if (turn >= 0) return;
  const left = Math.max(0, Math.ceil(ax + Math.min(0, bx, cx) - 0.5));
  const right = Math.min(width - 1, Math.floor(ax + Math.max(0, bx, cx) - 0.5));
  const top = Math.max(firstRow, Math.ceil(ay + Math.min(0, by, cy) - 0.5));
  const bottom = Math.min(firstRow + height - 1, Math.floor(ay + Math.max(0, by, cy) - 0.5));
  // Triangles that no sample falls into are the most: a curve has many, each smaller than a sample.
  if (left > right || top > bottom) return;
  const az = seen[a + 2]!;
  const bz = seen[b + 2]! - az;
  const cz = seen[c + 2]! - az;
  const shade = shadeOf([bx / zoom, -by / zoom, bz], [cx / zoom, -cy / zoom, cz]);
  const drawn = packed(color[0] * shade, color[1] * shade, color[2] * shade);
  const alongU = cy / turn;
  const alongV = -by / turn;
  const along = alongU + alongV;
  const deeper = alongU * bz + alongV * cz;
  for (let y = top; y <= bottom; y++) {
    const dx = left + 0.5 - ax;
    const dy = y + 0.5 - ay;
    const u = (dx * cy - dy * cx) / turn;
    const v = (bx * dy - by * dx) / turn;
    const over = 1 - u - v;
    // Of u, v and 1 - u - v none may be negative: each shuts the row off on one side, or altogether.
    if ((alongU === 0 && u < 0) || (alongV === 0 && v < 0) || (along === 0 && over < 0)) continue;
    let from = 0;
    let to = right - left;
    if (alongU > 0) from = Math.max(from, -u / alongU);
    else if (alongU < 0) to = Math.min(to, -u / alongU);
    if (alongV > 0) from = Math.max(from, -v / alongV);
    else if (alongV < 0) to = Math.min(to, -v / alongV);
    if (along > 0) to = Math.min(to, over / along);
    else if (along < 0) from = Math.max(from, over / along);
    const row = (y - firstRow) * width + left;
    const start = az + u * bz + v * cz;
    for (let x = Math.ceil(from); x <= to; x++) {
      const near = start + x * deeper;
      if (near <= depth[row + x]!) continue;
      depth[row + x] = near;
      colors[row + x] = drawn;
    }
  }
}

/** Toward the lamp, seen from the eye: left, up, and mostly toward the viewer. */
const LAMP = unit([-0.45, 0.6, 0.8]);

function shadeOf(b: Vec3, c: Vec3): number {
  const across = cross(b, c);
  // A triangle seen as a line has no side to light; its neighbors show what is there.
  if (!(length(across) > 0)) return 0.5;
  const normal = unit(across);
  return 0.5 + 0.4 * Math.max(0, dot(normal, LAMP)) + 0.1 * Math.max(0, normal[1]);
}

interface EdgesToDraw extends ToDraw {
  readonly edges: readonly (readonly [number, number])[];
  /** Samples. */
  readonly pen: number;
}

/** Draws edges dark where they are seen. */
export function drawEdges(layer: Layer, { edges, color, ...rest }: EdgesToDraw): void {
  const [red, green, blue] = color.map((c) => Math.round(c * EDGE_SHADE)) as [number, number, number];
  const dark = packed(red, green, blue);
  for (const edge of edges) drawEdge(layer, { ...rest, dark }, edge);
}

function drawEdge(
  { width, height, top: firstRow, depth, color }: Layer,
  { seen, zoom, pen, dark }: Pick<EdgesToDraw, 'seen' | 'zoom' | 'pen'> & { readonly dark: number },
  edge: readonly [number, number],
): void {
  const from = 3 * edge[0];
  const to = 3 * edge[1];
  const x0 = seen[from]!;
  const y0 = seen[from + 1]!;
  const z0 = seen[from + 2]!;
  const dx = seen[to]! - x0;
  const dy = seen[to + 1]! - y0;
  const dz = seen[to + 2]! - z0;
  // An edge of other rows.
  if (Math.max(y0, y0 + dy) + pen < firstRow || Math.min(y0, y0 + dy) - pen > firstRow + height) return;
  const steps = Math.max(1, Math.ceil(Math.max(Math.abs(dx), Math.abs(dy))));
  const bias = EDGE_BIAS / zoom;
  for (let i = 0; i <= steps; i++) {
    const t = i / steps;
    const left = Math.round(x0 + t * dx - pen / 2);
    const top = Math.round(y0 + t * dy - pen / 2);
    const near = z0 + t * dz;
    for (let y = Math.max(firstRow, top); y < Math.min(firstRow + height, top + pen); y++) {
      for (let x = Math.max(0, left); x < Math.min(width, left + pen); x++) {
        const at = (y - firstRow) * width + x;
        if (near + bias < depth[at]!) continue;
        if (near > depth[at]!) depth[at] = near;
        color[at] = dark;
      }
    }
  }
}

/** Lays a ghost over a layer of the same rows, where it is nearer. */
export function blend(under: Layer, ghost: Layer, opacity: number): void {
  for (let at = 0; at < under.width * under.height; at++) {
    if (!(ghost.depth[at]! > under.depth[at]!)) continue;
    const over = ghost.color[at]!;
    const below = under.color[at]!;
    const mixed = (shift: number): number =>
      Math.round(opacity * ((over >>> shift) & 255) + (1 - opacity) * ((below >>> shift) & 255));
    under.color[at] = packed(mixed(16), mixed(8), mixed(0));
  }
}

/** Puts a layer into its rows of a picture: each pixel the mean of `sub` samples each way. */
export function shrinkInto({ pixels, width }: Rgba, layer: Layer, sub: number): void {
  const all = sub * sub;
  let at = (4 * width * layer.top) / sub;
  for (let y = 0; y < layer.height; y += sub) {
    for (let x = 0; x < layer.width; x += sub) {
      let red = 0;
      let green = 0;
      let blue = 0;
      for (let j = 0; j < sub; j++) {
        const from = (y + j) * layer.width + x;
        for (let i = 0; i < sub; i++) {
          const sample = layer.color[from + i]!;
          red += sample >>> 16;
          green += (sample >>> 8) & 255;
          blue += sample & 255;
        }
      }
      pixels[at++] = Math.round(red / all);
      pixels[at++] = Math.round(green / all);
      pixels[at++] = Math.round(blue / all);
      pixels[at++] = 255;
    }
  }
}
