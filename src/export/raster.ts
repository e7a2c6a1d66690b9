import { unit } from '../geometry/vector.ts';
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

/** Room for so many rows of a picture; to be wiped before it is drawn on. */
export function newLayer({ width, height }: { readonly width: number; readonly height: number }): Layer {
  const samples = width * height;
  return { width, height, top: 0, depth: new Float32Array(samples), color: new Uint32Array(samples) };
}

/** The layer with everything taken off it, for other rows of the picture: as many as it has, or fewer. */
export function wiped(layer: Layer, top: number, height: number): Layer {
  layer.depth.fill(Number.NEGATIVE_INFINITY);
  layer.color.fill(PAPER);
  return { ...layer, top, height };
}

const packed = (red: number, green: number, blue: number): number => (red << 16) | (green << 8) | blue;

/** Where the vertices of a part are seen: x and y in samples, and depth in mm, of each. */
interface ToDraw {
  readonly seen: Float64Array;
}

export interface FacetsToDraw extends ToDraw {
  readonly triangles: Uint32Array;
  /** Of each triangle; AWAY where it is not to be drawn. */
  readonly shades: Int32Array;
}

/** In place of a color: the triangle faces away from the eye. */
export const AWAY = -1;

/** Draws the facets that face the eye, each in one shade. */
export function drawFacets(layer: Layer, facets: FacetsToDraw): void {
  const { shades } = facets;
  for (let facet = 0; facet < shades.length; facet++) if (shades[facet] !== AWAY) drawTriangle(layer, facets, facet);
}

/** Samples. What lies on a side that two triangles share is missed by neither, whatever rounding makes of it. */
const ON_SIDE = 1e-9;

/**
 * One triangle, by the samples whose middles lie in it, line by line between two of its sides: rows where it is wider than
 * tall, else columns. Most triangles are slivers, many lines long and hardly a sample wide, so a line must cost little.
 */
function drawTriangle(layer: Layer, { seen, triangles, shades }: FacetsToDraw, facet: number): void {
  const { width, depth, color } = layer;
  let a = 3 * triangles[3 * facet]!;
  let b = 3 * triangles[3 * facet + 1]!;
  let c = 3 * triangles[3 * facet + 2]!;
  const x0 = Math.min(seen[a]!, seen[b]!, seen[c]!);
  const x1 = Math.max(seen[a]!, seen[b]!, seen[c]!);
  const y0 = Math.min(seen[a + 1]!, seen[b + 1]!, seen[c + 1]!);
  const y1 = Math.max(seen[a + 1]!, seen[b + 1]!, seen[c + 1]!);
  if (y1 < layer.top || y0 > layer.top + layer.height) return;
  // Along a line runs one coordinate, from line to line the other.
  const rows = y1 - y0 < x1 - x0;
  const along = rows ? 0 : 1;
  const across = 1 - along;
  let spare = a;
  if (seen[b + across]! < seen[a + across]!) {
    a = b;
    b = spare;
  }
  if (seen[c + across]! < seen[b + across]!) {
    spare = b;
    b = c;
    c = spare;
    if (seen[b + across]! < seen[a + across]!) {
      spare = a;
      a = b;
      b = spare;
    }
  }
  const ap = seen[a + along]!;
  const aq = seen[a + across]!;
  const bp = seen[b + along]!;
  const bq = seen[b + across]!;
  const cp = seen[c + along]!;
  const cq = seen[c + across]!;
  const turn = (bp - ap) * (cq - aq) - (bq - aq) * (cp - ap);
  if (turn === 0) return;
  const az = seen[a + 2]!;
  const bz = seen[b + 2]! - az;
  const cz = seen[c + 2]! - az;
  const deeperAlong = (bz * (cq - aq) - cz * (bq - aq)) / turn;
  const deeperAcross = (cz * (bp - ap) - bz * (cp - ap)) / turn;
  const whole = (cp - ap) / (cq - aq);
  const upper = bq > aq ? (bp - ap) / (bq - aq) : 0;
  const lower = cq > bq ? (cp - bp) / (cq - bq) : 0;
  const drawn = shades[facet]!;
  const bottom = layer.top + layer.height - 1;
  const first = Math.max(rows ? layer.top : 0, Math.ceil(aq - 0.5));
  const last = Math.min(rows ? bottom : width - 1, Math.floor(cq - 0.5));
  const least = rows ? 0 : layer.top;
  const most = rows ? width - 1 : bottom;
  const step = rows ? 1 : width;
  for (let line = first; line <= last; line++) {
    const middle = line + 0.5;
    const one = ap + (middle - aq) * whole;
    const other = middle < bq ? ap + (middle - aq) * upper : bp + (middle - bq) * lower;
    const from = Math.max(least, Math.ceil(Math.min(one, other) - 0.5 - ON_SIDE));
    const to = Math.min(most, Math.floor(Math.max(one, other) - 0.5 + ON_SIDE));
    let near = az + (from + 0.5 - ap) * deeperAlong + (middle - aq) * deeperAcross;
    let at = rows ? (line - layer.top) * width + from : (from - layer.top) * width + line;
    for (let i = from; i <= to; i++) {
      if (near > depth[at]!) {
        depth[at] = near;
        color[at] = drawn;
      }
      near += deeperAlong;
      at += step;
    }
  }
}

/** Toward the lamp, seen from the eye: left, up, and mostly toward the viewer. */
export const LAMP = unit([-0.45, 0.6, 0.8]);

/** A color as it is lit: by the lamp, and by what comes from above; both are cosines to the facet's normal. */
export function litColor([red, green, blue]: Color, light: { readonly lamp: number; readonly above: number }): number {
  const shade = 0.5 + 0.4 * Math.max(0, light.lamp) + 0.1 * Math.max(0, light.above);
  return packed(red * shade, green * shade, blue * shade);
}

export interface EdgesToDraw extends ToDraw {
  /** Two vertices an edge. */
  readonly edges: Uint32Array;
  readonly color: Color;
  /** Samples per mm. */
  readonly zoom: number;
  /** Samples. */
  readonly pen: number;
}

/** Draws edges dark where they are seen. */
export function drawEdges(layer: Layer, { seen, edges, color, zoom, pen }: EdgesToDraw): void {
  const [red, green, blue] = color.map((c) => Math.round(c * EDGE_SHADE)) as [number, number, number];
  const inked = { seen, edges, pen, bias: EDGE_BIAS / zoom, dark: packed(red, green, blue) };
  for (let i = 0; i < edges.length; i += 2) drawEdge(layer, inked, i);
}

interface InkedEdges extends Pick<EdgesToDraw, 'seen' | 'edges' | 'pen'> {
  readonly bias: number;
  readonly dark: number;
}

/** A square pen drawn along it, a sample at a time. */
function drawEdge(layer: Layer, { seen, edges, pen, bias, dark }: InkedEdges, edge: number): void {
  const { width, depth, color } = layer;
  const from = 3 * edges[edge]!;
  const to = 3 * edges[edge + 1]!;
  const y0 = seen[from + 1]! - layer.top;
  const dy = seen[to + 1]! - seen[from + 1]!;
  // An edge of other rows.
  if (Math.max(y0, y0 + dy) + pen < 0 || Math.min(y0, y0 + dy) - pen > layer.height) return;
  const x0 = seen[from]!;
  const z0 = seen[from + 2]!;
  const dx = seen[to]! - x0;
  const dz = seen[to + 2]! - z0;
  const steps = Math.max(1, Math.ceil(Math.max(Math.abs(dx), Math.abs(dy))));
  for (let i = 0; i <= steps; i++) {
    const t = i / steps;
    const x = Math.floor(x0 + t * dx - pen / 2 + 0.5);
    const y = Math.floor(y0 + t * dy - pen / 2 + 0.5);
    const near = z0 + t * dz;
    const left = Math.max(0, x);
    const right = Math.min(width, x + pen);
    const bottom = Math.min(layer.height, y + pen);
    for (let row = Math.max(0, y); row < bottom; row++) {
      for (let at = row * width + left; at < row * width + right; at++) {
        const there = depth[at]!;
        if (near + bias < there) continue;
        if (near > there) depth[at] = near;
        color[at] = dark;
      }
    }
  }
}

/** Lays a ghost over a layer of the same rows, where it is nearer. */
export function blend(under: Layer, ghost: Layer, opacity: number): void {
  const samples = under.width * under.height;
  const rest = 1 - opacity;
  for (let at = 0; at < samples; at++) {
    if (!(ghost.depth[at]! > under.depth[at]!)) continue;
    const over = ghost.color[at]!;
    const below = under.color[at]!;
    under.color[at] = packed(
      Math.round(opacity * (over >>> 16) + rest * (below >>> 16)),
      Math.round(opacity * ((over >>> 8) & 255) + rest * ((below >>> 8) & 255)),
      Math.round(opacity * (over & 255) + rest * (below & 255)),
    );
  }
}

/** Samples of a pixel, each way. */
export const SAMPLES = 2;

/** Puts a layer into its rows of a picture that is white as yet: each pixel the mean of its samples. */
export function shrinkInto(picture: Rgba, layer: Layer): void {
  for (let y = 0; y < layer.height; y += SAMPLES) shrinkRow(picture, layer, y);
}

const RED_AND_BLUE = 0xff00ff;
const GREEN = 0x00ff00;

/** One row of pixels; red and blue are added up side by side in one number. */
function shrinkRow({ pixels, width }: Rgba, { color, width: samples, top }: Layer, y: number): void {
  let at = (4 * width * (top + y)) / SAMPLES;
  let from = y * samples;
  for (let x = 0; x < width; x++, from += SAMPLES, at += 4) {
    const one = color[from]!;
    const two = color[from + 1]!;
    const three = color[from + samples]!;
    const four = color[from + samples + 1]!;
    if ((one & two & three & four) === PAPER) continue;
    const redBlue = (one & RED_AND_BLUE) + (two & RED_AND_BLUE) + (three & RED_AND_BLUE) + (four & RED_AND_BLUE);
    const green = (one & GREEN) + (two & GREEN) + (three & GREEN) + (four & GREEN);
    pixels[at] = ((redBlue >>> 16) + 2) >> 2;
    pixels[at + 1] = ((green >>> 8) + 2) >> 2;
    pixels[at + 2] = ((redBlue & 0xffff) + 2) >> 2;
  }
}
