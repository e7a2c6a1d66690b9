import { CUTTERS_APART } from '../geometry/tolerance.ts';
import type { KernelBox, KernelMesh, KernelSolid } from './kernel.ts';

/** One body to be cut away, and the box it lies in. */
export interface Cutter {
  readonly name: string;
  readonly solid: KernelSolid;
  readonly box: KernelBox;
  /** Cut by itself: what it takes away has so many triangles that asking for it costs more than a cut saves. */
  readonly alone: boolean;
}

/**
 * Cutters that can be taken away in one go, group after group: those whose boxes lie apart. A cutter goes before others only
 * where it is apart from them too, so that each takes away what it would take one by one.
 */
export function cutGroups(cutters: readonly Cutter[]): readonly (readonly Cutter[])[] {
  const groups: Cutter[][] = [];
  for (const cutter of cutters) {
    let at = groups.length;
    if (!cutter.alone) {
      for (let k = groups.length - 1; k >= 0 && groups[k]!.every(({ box }) => areApart(box, cutter.box)); k--) {
        if (!groups[k]![0]!.alone) at = k;
      }
    }
    if (at === groups.length) groups.push([cutter]);
    else groups[at]!.push(cutter);
  }
  return groups;
}

const areApart = (a: KernelBox, b: KernelBox): boolean =>
  [0, 1, 2].some((k) => a.min[k]! - b.max[k]! > CUTTERS_APART || b.min[k]! - a.max[k]! > CUTTERS_APART);

/** Volume that lies in each of several boxes that are apart, mm^3, of closed bodies each within one of them. */
export function volumesIn(
  { numProp, vertProperties: p, triVerts }: KernelMesh,
  boxes: readonly KernelBox[],
): readonly number[] {
  const sixVolumes = boxes.map(() => 0);
  for (let i = 0; i < triVerts.length; i += 3) {
    const [a, b, c] = [triVerts[i]! * numProp, triVerts[i + 1]! * numProp, triVerts[i + 2]! * numProp];
    const at = boxes.findIndex(({ min, max }) =>
      [0, 1, 2].every((k) => p[a + k]! > min[k]! - CUTTERS_APART / 2 && p[a + k]! < max[k]! + CUTTERS_APART / 2),
    );
    const from = boxes[at]?.min;
    if (!from) throw new Error('internal: a piece that was cut away lies outside its cutter');
    const [x, y, z] = from as [number, number, number];
    const [ux, uy, uz] = [p[b]! - p[a]!, p[b + 1]! - p[a + 1]!, p[b + 2]! - p[a + 2]!];
    const [vx, vy, vz] = [p[c]! - p[a]!, p[c + 1]! - p[a + 1]!, p[c + 2]! - p[a + 2]!];
    sixVolumes[at]! +=
      (p[a]! - x) * (uy * vz - uz * vy) + (p[a + 1]! - y) * (uz * vx - ux * vz) + (p[a + 2]! - z) * (ux * vy - uy * vx);
  }
  return sixVolumes.map((six) => six / 6);
}
