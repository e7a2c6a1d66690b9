import { unit, type Vec3 } from '../geometry/vector.ts';
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

/**
 * One triangle, by the samples whose middles lie in it, row by row between two of its sides. A side is told from its upper
 * end whichever triangle it belongs to, so that neighbors agree where it runs and leave no sample out between them.
 * Most triangles are slivers a few rows tall, so a row must cost little.
 */
function drawTriangle(layer: Layer, { seen, triangles, shades }: FacetsToDraw, facet: number): void {
  const { width, depth, color } = layer;
  // From the top down.
  let a = 3 * triangles[3 * facet]!;
  let b = 3 * triangles[3 * facet + 1]!;
  let c = 3 * triangles[3 * facet + 2]!;
  let spare = a;
  if (seen[b + 1]! < seen[a + 1]!) {
    a = b;
    b = spare;
  }
  if (seen[c + 1]! < seen[b + 1]!) {
    spare = b;
    b = c;
    c = spare;
    if (seen[b + 1]! < seen[a + 1]!) {
      spare = a;
      a = b;
      b = spare;
    }
  }
  const ay = seen[a + 1]!;
  const cy = seen[c + 1]!;
  const top = Math.max(layer.top, Math.ceil(ay - 0.5));
  const bottom = Math.min(layer.top + layer.height - 1, Math.floor(cy - 0.5));
  if (top > bottom) return;
  const ax = seen[a]!;
  const az = seen[a + 2]!;
  const bx = seen[b]!;
  const by = seen[b + 1]!;
  const cx = seen[c]!;
  const turn = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax);
  if (turn === 0) return;
  const bz = seen[b + 2]! - az;
  const cz = seen[c + 2]! - az;
  const deeperAcross = (bz * (cy - ay) - cz * (by - ay)) / turn;
  const deeperDown = (cz * (bx - ax) - bz * (cx - ax)) / turn;
  const whole = (cx - ax) / (cy - ay);
  const upper = by > ay ? (bx - ax) / (by - ay) : 0;
  const lower = cy > by ? (cx - bx) / (cy - by) : 0;
  const drawn = shades[facet]!;
  for (let y = top; y <= bottom; y++) {
    const middle = y + 0.5;
    const one = ax + (middle - ay) * whole;
    const other = middle < by ? ax + (middle - ay) * upper : bx + (middle - by) * lower;
    const left = Math.max(0, Math.ceil(Math.min(one, other) - 0.5));
    const right = Math.min(width - 1, Math.floor(Math.max(one, other) - 0.5));
    if (left > right) continue;
    const row = (y - layer.top) * width;
    let near = az + (left + 0.5 - ax) * deeperAcross + (middle - ay) * deeperDown;
    for (let at = row + left; at <= row + right; at++) {
      if (near > depth[at]!) {
        depth[at] = near;
        color[at] = drawn;
      }
      near += deeperAcross;
    }
  }
}

/** Toward the lamp, seen from the eye: left, up, and mostly toward the viewer. */
const LAMP = unit([-0.45, 0.6, 0.8]);

/** A color as it is lit on a facet with this outward normal: its shares to the right, up and toward the eye. */
export function shaded([red, green, blue]: Color, [right, up, toward]: Vec3): number {
  const lit = Math.max(0, right * LAMP[0] + up * LAMP[1] + toward * LAMP[2]);
  const shade = 0.5 + 0.4 * lit + 0.1 * Math.max(0, up);
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
