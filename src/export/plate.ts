import { IDENTITY, type Placement } from '../geometry/placement.ts';
import type { Mm } from '../geometry/vector.ts';
import type { Bounds } from '../solid/mesh-check.ts';

export interface PlatePart {
  readonly name: string;
  /** Room on the bed, x and y. */
  readonly size: readonly [Mm, Mm];
}

export interface PlateItem {
  /** Which of the parts given. */
  readonly part: number;
  /** Corner of the part's room nearest the bed's corner, mm. */
  readonly at: readonly [Mm, Mm];
  /** Turned a quarter, counterclockwise seen from above: its y runs along the bed's -x. */
  readonly turned: boolean;
}

export interface PlateLayout {
  readonly plates: readonly { readonly items: readonly PlateItem[] }[];
  /** Parts that fit the empty bed neither way round. */
  readonly tooLarge: readonly number[];
}

interface Room {
  readonly part: number;
  readonly turned: boolean;
  readonly x: Mm;
  readonly y: Mm;
}

interface Shelf {
  readonly y: Mm;
  readonly depth: Mm;
  readonly rooms: readonly Room[];
}

/**
 * Parts laid on as few plates as rows of them need: deepest first, in rows along x, `spacing` mm between neighbors, the
 * lot centered on the bed. A part stands as it is unless only a quarter turn makes it fit. The order depends on sizes
 * and on the order given alone.
 */
export function layOutPlates(
  parts: readonly PlatePart[],
  bed: readonly [Mm, Mm],
  options: { readonly spacing: Mm },
): PlateLayout {
  const tooLarge: number[] = [];
  const rooms: Room[] = [];
  parts.forEach(({ name, size: [x, y] }, part) => {
    if (!(x > 0 && y > 0)) throw new Error(`internal: ${name} takes ${x} x ${y} mm on the plate`);
    if (x <= bed[0] && y <= bed[1]) rooms.push({ part, turned: false, x, y });
    else if (y <= bed[0] && x <= bed[1]) rooms.push({ part, turned: true, x: y, y: x });
    else tooLarge.push(part);
  });
  rooms.sort((a, b) => b.y - a.y || b.x - a.x || a.part - b.part);
  const plates: Shelf[][] = [];
  for (const room of rooms) {
    if (!plates.some((plate) => putOn(plate, room, { bed, spacing: options.spacing }))) {
      plates.push([{ y: 0, depth: room.y, rooms: [room] }]);
    }
  }
  return { plates: plates.map((plate) => ({ items: centered(plate, bed, options.spacing) })), tooLarge };
}

const shelfWidth = (rooms: readonly Room[], spacing: Mm): Mm =>
  rooms.reduce((sum, room) => sum + room.x, 0) + spacing * (rooms.length - 1);

function putOn(plate: Shelf[], room: Room, on: { readonly bed: readonly [Mm, Mm]; readonly spacing: Mm }): boolean {
  const { bed, spacing } = on;
  for (const [i, shelf] of plate.entries()) {
    if (room.y <= shelf.depth && shelfWidth([...shelf.rooms, room], spacing) <= bed[0]) {
      plate[i] = { ...shelf, rooms: [...shelf.rooms, room] };
      return true;
    }
  }
  const last = plate[plate.length - 1];
  const y = last ? last.y + last.depth + spacing : 0;
  if (y + room.y > bed[1]) return false;
  plate.push({ y, depth: room.y, rooms: [room] });
  return true;
}

function centered(plate: readonly Shelf[], bed: readonly [Mm, Mm], spacing: Mm): readonly PlateItem[] {
  const last = plate[plate.length - 1];
  const before = last ? (bed[1] - (last.y + last.depth)) / 2 : 0;
  return plate.flatMap((shelf) => {
    let x = (bed[0] - shelfWidth(shelf.rooms, spacing)) / 2;
    return shelf.rooms.map(({ part, turned, x: across }): PlateItem => {
      const at = [x, before + shelf.y] as const;
      x += across + spacing;
      return { part, at, turned };
    });
  });
}

/** Placement that stands a mesh of these bounds on the bed (z = 0) with its room's near corner at `at`. */
export function standAt(bounds: Bounds, at: readonly [Mm, Mm], turned = false): Placement {
  const { min, max } = bounds;
  if (!turned) return { ...IDENTITY, origin: [at[0] - min[0], at[1] - min[1], -min[2]] };
  return {
    origin: [at[0] + max[1], at[1] - min[0], -min[2]],
    x: [0, 1, 0],
    y: [-1, 0, 0],
    z: [0, 0, 1],
  };
}
