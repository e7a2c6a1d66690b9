/** Triangles with shared vertices: positions x y z mm, three indices a triangle, counterclockwise seen from outside. */
export interface Mesh {
  readonly positions: Float64Array;
  readonly triangles: Uint32Array;
}
