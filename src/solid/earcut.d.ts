/** The library ships no types for this file; this is all of it. */
declare module '@jscad/modeling/src/operations/extrusions/earcut/index.js' {
  /** Corner numbers of triangles, three by three: of a polygon given as x, y, x, y, and holes by the number of their first corner. */
  const triangulate: (data: readonly number[], holeIndices: readonly number[], dim: 2) => readonly number[];
  export default triangulate;
}
