import { IDENTITY, type Placement, place } from '../geometry/placement.ts';
import { facetsFor } from '../geometry/section.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Shop } from '../job/job.ts';
import type { Solid } from '../solid/expression.ts';
import { BASE, type Base, boxRound, keySeats, RAIL } from './fit-up-base.ts';
import type { Keeping } from './fit-up-clear.ts';
import { KEY_ROOM, type Rectangle } from './split.ts';
import type { Feature } from './tool.ts';

/** Holes for wood screws of 4 mm into a bench: radius of the hole, and room for the head and a driver beside a post. */
export const SCREW = { radius: 2.25, head: 5.5 } as const;
/** How far from its corner a hole may be pushed along the rails by what stands there. */
const REACH: Mm = 60;
const STEP: Mm = 2;
/** Holes nearer than this hold no better than one. */
const APART: Mm = 25;

/** Where one piece of a base is screwed to the bench: in its rails, as near to its corners as posts and keys leave room. */
export function screwPlaces(
  base: Base,
  { cell, keeping }: { readonly cell: Rectangle; readonly keeping: Keeping },
): readonly Vec2[] {
  const [x, y] = cell;
  const posts = base.saddles.map((saddle) => boxRound(saddle, keeping, SCREW.head));
  const keys = keySeats(base, keeping).map(
    (seat): Vec2 => (seat.axis === 0 ? [seat.at, seat.along] : [seat.along, seat.at]),
  );
  const apartFromKeys = KEY_ROOM.beside + KEY_ROOM.beyond;
  const isFree = ([px, py]: Vec2): boolean =>
    posts.every((post) => px < post[0].low || px > post[0].high || py < post[1].low || py > post[1].high) &&
    keys.every(([kx, ky]) => Math.hypot(px - kx, py - ky) > apartFromKeys);
  const found: Vec2[] = [];
  for (const [fromX, wayX] of [
    [x.low + RAIL / 2, 1],
    [x.high - RAIL / 2, -1],
  ] as const) {
    for (const [fromY, wayY] of [
      [y.low + RAIL / 2, 1],
      [y.high - RAIL / 2, -1],
    ] as const) {
      const steps = Array.from({ length: REACH / STEP + 1 }, (_, i) => i * STEP);
      const places = steps.flatMap((far): readonly Vec2[] => [
        ...(far < (x.high - x.low) / 2 - RAIL / 2 ? [[fromX + wayX * far, fromY] as const] : []),
        ...(far < (y.high - y.low) / 2 - RAIL / 2 ? [[fromX, fromY + wayY * far] as const] : []),
      ]);
      const place = places.find((p) => isFree(p) && found.every((q) => Math.hypot(p[0] - q[0], p[1] - q[1]) > APART));
      if (place) found.push(place);
    }
  }
  return found;
}

/** The hole itself, upright through the base; its flats touch the round hole. */
export function screwHole([x, y]: Vec2, { name, shop }: { readonly name: string; readonly shop: Shop }): Solid {
  const count = Math.max(12, facetsFor(SCREW.radius, shop.chordTolerance));
  const corner = SCREW.radius / Math.cos(Math.PI / count);
  const ring = Array.from({ length: count }, (_, i): Vec2 => {
    const turn = (2 * Math.PI * i) / count;
    return [x + corner * Math.cos(turn), y + corner * Math.sin(turn)];
  });
  return { kind: 'prism', name, loops: [ring], height: BASE + 2, at: { ...IDENTITY, origin: [0, 0, -1] } };
}

export const screwBore = ([x, y]: Vec2, table: Placement): Feature => ({
  kind: 'bore',
  point: place(table, [x, y, BASE / 2]),
  axis: table.z,
  radius: SCREW.radius,
  length: BASE - 0.1,
});
