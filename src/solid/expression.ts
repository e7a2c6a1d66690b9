import type { Placement } from '../geometry/placement.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { Mesh } from './mesh.ts';

/**
 * What a tool is made of, as a plain tree: tooling writes it, `evaluate` makes it a closed mesh in one scope.
 * Every node has a name in trade words; a fault names the tool and the node.
 */
export type Solid =
  | MeshSolid
  | PrismSolid
  | HullSolid
  | LabelSolid
  | SubtractSolid
  | UnionSolid
  | EitherSolid
  | IntersectSolid
  | PlaceSolid;

/** A closed mesh built straight from solved curves; its vertices are the working edges and are kept as they are. */
export interface MeshSolid {
  readonly kind: 'mesh';
  readonly name: string;
  readonly mesh: Mesh;
}

/** Flat profile (outer loops counterclockwise, holes clockwise) carried from z = 0 to z = height, then placed. */
export interface PrismSolid {
  readonly kind: 'prism';
  readonly name: string;
  readonly loops: readonly (readonly Vec2[])[];
  readonly height: Mm;
  readonly at: Placement;
}

export interface HullSolid {
  readonly kind: 'hull';
  readonly name: string;
  readonly points: readonly Vec3[];
}

/**
 * Stroke text: lines stacked from the top, letters as tall as fit the box (but no more than `letter`), raised `depth`
 * from z = 0 of its placement with x to the right of the reader and y up; also sunk `sink` below z = 0. The box is
 * centered on the placement's origin.
 */
export interface LabelSolid {
  readonly kind: 'label';
  readonly name: string;
  readonly lines: readonly string[];
  readonly box: readonly [Mm, Mm];
  readonly letter: Mm;
  readonly stroke: Mm;
  readonly depth: Mm;
  readonly sink: Mm;
  readonly at: Placement;
}

/** Every cut must remove something, or the evaluation fails by its name. */
export interface SubtractSolid {
  readonly kind: 'subtract';
  readonly name: string;
  readonly from: Solid;
  readonly cuts: readonly Solid[];
}

export interface UnionSolid {
  readonly kind: 'union';
  readonly name: string;
  readonly of: readonly Solid[];
}

export interface IntersectSolid {
  readonly kind: 'intersect';
  readonly name: string;
  readonly of: readonly Solid[];
}

export interface PlaceSolid {
  readonly kind: 'place';
  readonly name: string;
  readonly of: Solid;
  readonly at: Placement;
}

/**
 * Constructions that serve equally well, differing by a hair where surfaces all but coincide: the first that comes out as
 * one clean body is taken. Only at the root of an expression.
 */
export interface EitherSolid {
  readonly kind: 'either';
  readonly name: string;
  readonly of: readonly [Solid, ...Solid[]];
}
