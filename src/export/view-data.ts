import { zlibSync } from 'fflate';
import type { Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { meshBounds } from '../solid/mesh-check.ts';

/** What can be turned on the sheet's page. */
export interface ViewData {
  readonly items: readonly ViewItem[];
}

export interface ViewItem {
  /** piece: of tube, as cut; plate: a flat part where it sits; tool: a printed part where it sits on its tube; waste, tube: shown with the tool that holds it. */
  readonly group: 'piece' | 'plate' | 'tool' | 'waste' | 'tube';
  readonly name: string;
  /** Set beside it in the picture. */
  readonly label?: string;
  readonly labelAt?: Vec3;
  /** Told where it is shown by itself. */
  readonly caption?: string;
  /** Of a tool the pieces it sits on; of waste and tube the tool that holds them. */
  readonly with: readonly string[];
  readonly color: Color;
  readonly mesh: Mesh;
}

/** Red, green, blue, 0..255. */
export type Color = readonly [number, number, number];

/** The same as it stands in the page: everything but the mesh is itself. */
export interface PackedItem extends Omit<ViewItem, 'mesh'> {
  readonly vertices: number;
  readonly triangles: number;
  /** Corner of the mesh's box, and mm in a step of its coordinates. */
  readonly low: Vec3;
  readonly step: number;
  /** Base64 of the deflated numbers. */
  readonly data: string;
}

/** Steps along the longest side of a mesh's box: 0.02 mm on a tube of more than a meter, finer than a screen shows. */
const STEPS = 65535;

/** Text for a block of JSON in a page; no sign in it ends the block. */
export const viewText = ({ items }: ViewData): string =>
  JSON.stringify({ items: items.map(packItem) }).replaceAll('<', '\\u003c');

function packItem({ mesh, ...item }: ViewItem): PackedItem {
  const { min, max } = meshBounds(mesh);
  const step = Math.max(...([0, 1, 2] as const).map((k) => max[k] - min[k])) / STEPS;
  const numbers = meshNumbers(mesh, { low: min, step });
  return {
    ...item,
    vertices: mesh.positions.length / 3,
    triangles: mesh.triangles.length / 3,
    low: min,
    step,
    data: Buffer.from(zlibSync(varints(numbers), { level: 9 })).toString('base64'),
  };
}

/**
 * Vertices in the order in which triangles come to them; every index as how far it lies below the next new one, then the
 * x, y and z in steps, each less the one before: small numbers, many alike, which deflate well.
 */
function meshNumbers(
  { positions, triangles }: Mesh,
  { low, step }: { readonly low: Vec3; readonly step: number },
): readonly number[] {
  const order: number[] = [];
  const place = new Map<number, number>();
  const numbers: number[] = [];
  for (const vertex of triangles) {
    const known = place.get(vertex);
    numbers.push(order.length - (known ?? order.length));
    if (known === undefined) {
      place.set(vertex, order.length);
      order.push(vertex);
    }
  }
  // Vertices that no triangle has would shift what follows.
  for (let vertex = 0; vertex < positions.length / 3; vertex++) if (!place.has(vertex)) order.push(vertex);
  for (const axis of [0, 1, 2] as const) {
    let before = 0;
    for (const vertex of order) {
      const steps = Math.round((positions[3 * vertex + axis]! - low[axis]) / step);
      const change = steps - before;
      numbers.push(change < 0 ? -2 * change - 1 : 2 * change);
      before = steps;
    }
  }
  return numbers;
}

/** Whole numbers from 0, seven bits a byte, the eighth set where more follow. */
function varints(numbers: readonly number[]): Uint8Array {
  const bytes: number[] = [];
  for (const number of numbers) {
    let rest = number;
    while (rest > 127) {
      bytes.push((rest & 127) | 128);
      rest >>>= 7;
    }
    bytes.push(rest);
  }
  return Uint8Array.from(bytes);
}
