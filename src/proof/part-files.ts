import type { Mesh } from '../solid/mesh.ts';

/** One part as it was built, and the meshes read back from the bytes of each file it is in. */
export interface PartFiles {
  readonly part: string;
  /** Taken for its volume only. */
  readonly built: Mesh;
  readonly meshes: readonly { readonly format: 'stl' | '3mf'; readonly mesh: Mesh }[];
}
