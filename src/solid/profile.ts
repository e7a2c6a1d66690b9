// This file of it alone: all of it is 400 files, read in 70 ms.
import text from '@jscad/modeling/src/text/index.js';
import type { Vec2, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from './mesh.ts';

/** A letter's pen strokes and how far the pen goes on, in the units of the capital's height. */
export interface Glyph {
  readonly advance: number;
  readonly strokes: readonly (readonly Vec2[])[];
}

/** The stroke font stands 21 units high for a height of 14 asked for; this asks for capitals of height 1. */
const CAPITAL_ONE = 14 / 21;

/**
 * Pen strokes of one printable ASCII character, capitals of height 1 standing on y = 0.
 * Errors: a character outside 32..126 is a bug of the caller, who maps it first.
 */
export function strokeGlyph(character: string): Glyph {
  const code = character.charCodeAt(0);
  if (character.length !== 1 || !(code >= 32 && code <= 126)) {
    throw new Error(`internal: no stroke letter for ${JSON.stringify(character)}`);
  }
  const { width, segments } = text.vectorChar({ height: CAPITAL_ONE }, character);
  return { advance: width, strokes: segments.filter((stroke) => stroke.length > 0) };
}

/** One polygon as the flat-profile library and its file writers take it; the plane carries the facet's normal. */
export interface FacetPolygon {
  readonly vertices: readonly Vec3[];
  readonly plane: readonly [number, number, number, number];
}

/** A mesh in the flat-profile library's own form, facet by facet, for its file writers. */
export interface FacetSolid {
  readonly polygons: readonly FacetPolygon[];
  readonly transforms: readonly number[];
}

const UNMOVED: readonly number[] = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

/**
 * The mesh as facets with unit normals (counterclockwise seen from outside); a facet without area gets a zero normal.
 * Normals are worked out in single precision, as readers of STL do over again: the exact normal of a sliver would not be
 * the one they find, and they would call it a fault.
 */
export function facetSolid(mesh: Mesh): FacetSolid {
  const polygons: FacetPolygon[] = [];
  const points: Vec3[] = [];
  const { positions, triangles } = mesh;
  const single = Math.fround;
  for (let i = 0; i < positions.length; i += 3) points.push([positions[i]!, positions[i + 1]!, positions[i + 2]!]);
  for (let i = 0; i < triangles.length; i += 3) {
    const a = points[triangles[i]!]!;
    const b = points[triangles[i + 1]!]!;
    const c = points[triangles[i + 2]!]!;
    const ux = single(b[0] - a[0]);
    const uy = single(b[1] - a[1]);
    const uz = single(b[2] - a[2]);
    const vx = single(c[0] - a[0]);
    const vy = single(c[1] - a[1]);
    const vz = single(c[2] - a[2]);
    const nx = single(single(uy * vz) - uz * vy);
    const ny = single(single(uz * vx) - ux * vz);
    const nz = single(single(ux * vy) - uy * vx);
    const size = Math.sqrt(nx * nx + ny * ny + nz * nz);
    const k = size > 0 ? 1 / size : 0;
    const w = k * (nx * a[0] + ny * a[1] + nz * a[2]);
    polygons.push({ vertices: [a, b, c], plane: [k * nx, k * ny, k * nz, w] });
  }
  return { polygons, transforms: UNMOVED };
}
