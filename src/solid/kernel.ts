import openModule from 'manifold-3d';
import type { Mm } from '../geometry/vector.ts';

/**
 * The one door to the solid kernel. Only what is used is typed here, and only calls that were measured to give their
 * memory back: the kernel's own `extrude`, `toPolygons` and `triangulate` keep a few kilobytes of wasm heap each.
 */
export interface Kernel {
  readonly Manifold: KernelSolidMaker;
  /** The loops' union as a profile, loops counterclockwise. */
  readonly profileOf: (loops: KernelLoops) => KernelProfile;
  readonly Mesh: new (arrays: KernelMeshArrays) => KernelMesh;
  readonly Vector_vec2: new () => KernelVector<{ readonly x: number; readonly y: number }>;
  readonly Vector2_vec2: new () => KernelLoops;
  /** The whole wasm memory; its length is what the kernel holds. */
  readonly HEAPU8: Uint8Array;
  _Extrude(
    polygons: KernelHandle,
    height: Mm,
    divisions: number,
    twistDeg: number,
    scaleTop: { readonly x: number; readonly y: number },
  ): KernelSolid;
}

export type KernelLoops = KernelVector<KernelVector<{ readonly x: number; readonly y: number }>>;

export interface KernelHandle {
  delete(): void;
}

export interface KernelVector<T> extends KernelHandle {
  push_back(value: T): void;
}

export interface KernelMeshArrays {
  readonly numProp: number;
  readonly vertProperties: Float32Array;
  readonly triVerts: Uint32Array;
}

export type KernelMesh = KernelMeshArrays;

export interface KernelSolid extends KernelHandle {
  status(): string;
  isEmpty(): boolean;
  volume(): number;
  boundingBox(): KernelBox;
  subtract(other: KernelSolid): KernelSolid;
  /** What is in both, and what is left without the other: for less than the two apart. */
  split(other: KernelSolid): readonly [KernelSolid, KernelSolid];
  intersect(other: KernelSolid): KernelSolid;
  /** 4x4, column by column. */
  transform(matrix: readonly number[]): KernelSolid;
  getMesh(): KernelMesh;
}

export interface KernelBox {
  readonly min: readonly number[];
  readonly max: readonly number[];
}

interface KernelSolidMaker {
  /** Bodies that lie apart as one, without looking whether they do. */
  compose(solids: readonly KernelSolid[]): KernelSolid;
  ofMesh(mesh: KernelMesh): KernelSolid;
  union(solids: readonly KernelSolid[]): KernelSolid;
  intersection(solids: readonly KernelSolid[]): KernelSolid;
  hull(points: readonly (readonly [number, number, number])[]): KernelSolid;
}

export interface KernelProfile extends KernelHandle {
  isEmpty(): boolean;
  area(): number;
  simplify(epsilon: Mm): KernelProfile;
  /** The profile's loops, still in the kernel's memory: the caller deletes them. */
  _ToPolygons(): KernelHandle;
}

/** Starts the kernel (about 20 ms, once a process or worker); every solid is made and freed inside one `inScope`. */
export async function openKernel(): Promise<Kernel> {
  const open = openModule as () => Promise<unknown>;
  const module = (await open()) as Omit<Kernel, 'profileOf'> & {
    setup(): void;
    readonly CrossSection: { readonly prototype: object };
  };
  module.setup();
  // The maker that the kernel's own wraps in one that leaves its copies of the loops behind.
  const { constructor: maker } = Object.getPrototypeOf(module.CrossSection.prototype);
  const Profile: new (loops: KernelLoops, fillRule: number) => KernelProfile = maker;
  return Object.assign(module, { profileOf: (loops: KernelLoops) => new Profile(loops, NON_ZERO) });
}

/** The kernel's number for the fill rule. */
const NON_ZERO = 1;

/** What the kernel's memory holds, bytes; it grows in steps and never shrinks. */
export const kernelHeapBytes = (kernel: Kernel): number => kernel.HEAPU8.byteLength;

/** Keeps every kernel object made during one evaluation, to give them all back at its end. */
export class Scope {
  readonly #kept: KernelHandle[] = [];

  keep<T extends KernelHandle>(handle: T): T {
    this.#kept.push(handle);
    return handle;
  }

  free(): void {
    for (const handle of this.#kept) handle.delete();
    this.#kept.length = 0;
  }
}

/** Runs the work and frees what it kept, whether it ended well or threw. */
export function inScope<T>(work: (scope: Scope) => T): T {
  const scope = new Scope();
  try {
    return work(scope);
  } finally {
    scope.free();
  }
}
