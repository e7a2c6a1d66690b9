/** The library ships no types; this is the one function used of it. */
declare module '@jscad/stl-serializer/CSGToStlb.js' {
  interface Facets {
    readonly polygons: readonly {
      readonly vertices: readonly (readonly [number, number, number])[];
      readonly plane?: readonly number[];
    }[];
    readonly transforms: readonly number[];
  }
  export function serializeBinary(objects: readonly Facets[], options: object): readonly ArrayBuffer[];
}
