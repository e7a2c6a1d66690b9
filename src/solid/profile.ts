import modeling from '@jscad/modeling';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from './mesh.ts';

const { expansions, geometries, measurements, text } = modeling;

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

export interface LoopOffset {
  /** Positive moves the material outward: outer loops grow, holes shrink. */
  readonly delta: Mm;
  readonly corners: 'round' | 'edge' | 'chamfer';
  readonly chordTolerance: Mm;
}

/**
 * Flat profile with its edge moved by `delta` mm square to itself. Outer loops counterclockwise, holes clockwise, both
 * ways. Errors: an offset that eats the profile or a hole up, or folds over itself, is refused by name.
 */
export function offsetLoops(loops: readonly (readonly Vec2[])[], offset: LoopOffset): readonly (readonly Vec2[])[] {
  if (offset.delta === 0) return loops;
  const reach = Math.abs(offset.delta);
  const half = Math.acos(Math.max(Math.SQRT1_2, 1 - offset.chordTolerance / reach));
  const segments = 4 * Math.ceil(Math.PI / half / 4);
  const sides = loops.flatMap((loop) => loop.map((p, i): [Vec2, Vec2] => [p, loop[(i + 1) % loop.length] ?? p]));
  const before = geometries.geom2.create(sides.map(([p, q]) => [[...p], [...q]]));
  const after = expansions.offset({ delta: offset.delta, corners: offset.corners, segments }, before);
  const outlines: readonly (readonly Vec2[])[] = geometries.geom2.toOutlines(after);
  const grown = measurements.measureArea(after) - measurements.measureArea(before);
  const nearest = outlines.reduce(
    (least, loop) => loop.reduce((low, p) => Math.min(low, distanceToSides(p, sides)), least),
    reach,
  );
  if (
    outlines.length !== loops.length ||
    Math.sign(grown) !== Math.sign(offset.delta) ||
    nearest < reach - offset.chordTolerance
  ) {
    throw new Error(`internal: profile cannot be offset by ${offset.delta} mm without losing a loop or folding over`);
  }
  return outlines;
}

function distanceToSides(p: Vec2, sides: readonly (readonly [Vec2, Vec2])[]): Mm {
  let least = Number.POSITIVE_INFINITY;
  for (const [a, b] of sides) {
    const dx = b[0] - a[0];
    const dy = b[1] - a[1];
    const square = dx * dx + dy * dy;
    const t = square > 0 ? Math.max(0, Math.min(1, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square)) : 0;
    least = Math.min(least, Math.hypot(a[0] + t * dx - p[0], a[1] + t * dy - p[1]));
  }
  return least;
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
