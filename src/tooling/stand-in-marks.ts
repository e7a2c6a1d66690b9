import { type BendSegment, besideAt, frameAt } from '../geometry/centerline.ts';
import { type Placement, place, unplace, unplaceDirection } from '../geometry/placement.ts';
import { outlineAt, outlineKinks, perimeter, sectionDistance, sectionReach } from '../geometry/section.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { generatorOf, isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { uFacing } from '../geometry/tube-surface.ts';
import { along, cross, dot, type Mm, scale, sub, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import type { StandInPiece } from './stand-in-plan.ts';
import { axesOf, type Duct, ductsOf } from './stand-in-wall.ts';
import { bareTube, stationsBetween, usBetween } from './stations.ts';
import { convexHull, ringsMesh } from './sweep.ts';

/** A groove's half width at the surface, and its depth. */
export const GROOVE = { half: 0.5, deep: 0.5, over: 0.4 } as const;
/** Half lengths of the marks: each, every second, at the tangent points a quarter of the way round. */
const SHORT: Mm = 3;
export const LONG: Mm = 6;
/** Dowel: a bit of 1.75 mm filament. Half width of its seat, depth of the upright holes, length of the lying seats. */
const DOWEL = { hole: 1.05, deep: 5, seat: 1.3, long: 8, apart: 60, fromEnd: 9 } as const;

export interface Marking {
  readonly piece: StandInPiece;
  /** The printed part's axes. */
  readonly into: Placement;
  /** How far everything is moved, see MARK_HAIRS. */
  readonly hair: Mm;
}

/** Marks along the outside of every bend, tangent points all across the outside, and the witness line. */
export function marksOf({ piece, into, hair }: Marking, everyDeg: number): readonly Solid[] {
  const { member, from, to } = piece;
  const inside = (s: Mm): boolean => s > lowest(piece) + 2 && s < highest(piece) - 2;
  const marks = member.centerline.segments.flatMap((bend) => {
    if (bend.kind !== 'bend' || bend.s0 > to.s || bend.s0 + bend.length < from.s) return [];
    const ticks = ticksOf(bend, everyDeg).map(({ s }, i) => ({ s, half: i % 2 === 1 ? LONG : SHORT }));
    const quarter = perimeter(sectionAt(member, bend.s0)) / 4;
    const tangents = [bend.s0, bend.s0 + bend.length].map((s) => ({ s, half: quarter }));
    return [...ticks, ...tangents]
      .filter(({ s }) => inside(s))
      .flatMap((mark) => tick({ piece, into, hair }, { bend, ...mark, s: mark.s + hair }));
  });
  const witness = witnessLine({ piece, into, hair });
  return [...marks, ...(witness ? [witness] : [])];
}

/** The stretch in which neither end of a piece is cut away. */
export const lowest = ({ from }: StandInPiece): Mm =>
  from.cut ? Math.max(...from.cut.curves.outer.samples.map(({ s }) => s)) : from.s;
export const highest = ({ to }: StandInPiece): Mm =>
  to.cut ? Math.min(...to.cut.curves.outer.samples.map(({ s }) => s)) : to.s;

/** Marks strictly between the tangent points of a bend, counted from its start. */
export function ticksOf(bend: BendSegment, everyDeg: number): readonly { readonly s: Mm; readonly deg: number }[] {
  const count = Math.ceil(bend.bendAngleDeg / everyDeg - 1e-9);
  return Array.from({ length: Math.max(0, count - 1) }, (_, i) => (i + 1) * everyDeg).map((deg) => ({
    s: bend.s0 + (bend.length * deg) / bend.bendAngleDeg,
    deg,
  }));
}

/** u of the middle of a bend's outside. */
export function outsideOf({ member }: StandInPiece, bend: BendSegment): number {
  const frame = frameAt(member.centerline, bend.s0);
  const away = scale(cross(bend.axis, frame.heading), -1);
  return uFacing(bareTube(sectionAt(member, bend.s0)), [dot(away, frame.right), dot(away, frame.up)]);
}

/** A groove across the outside of a bend, so far to both sides of its middle along the outline. */
function tick(
  { piece, into, hair }: Marking,
  { bend, s, half }: { readonly bend: BendSegment; readonly s: Mm; readonly half: Mm },
): readonly Solid[] {
  const { member } = piece;
  const section = sectionAt(member, bend.s0);
  const frame = frameAt(member.centerline, s);
  const middle = outsideOf(piece, bend);
  const reach = Math.min(half / perimeter(section), 0.25);
  const us = outlineSteps(section, middle - reach, middle + reach);
  const at = (u: number, depth: Mm, shift: Mm): Vec3 => {
    const [a, b] = outlineAt(section, ((u % 1) + 1) % 1, depth).point;
    const p = along(along(frame.origin, frame.right, a), frame.up, b);
    return unplace(into, along(p, frame.heading, shift));
  };
  const wide = GROOVE.half * (1 + GROOVE.over / GROOVE.deep);
  return us.slice(1).flatMap((u2, k): readonly Solid[] => {
    const ends = [us[k]!, u2];
    // The arc of a sharp corner is no length to hull.
    if ((u2 - us[k]!) * perimeter(section) < GROOVE.deep / 20) return [];
    return [
      {
        kind: 'hull',
        name: 'mark',
        points: ends.flatMap((u) => [
          at(u, -GROOVE.over, -wide),
          at(u, -GROOVE.over, wide),
          at(u, GROOVE.deep + hair, 0),
        ]),
      },
    ];
  });
}

/** u from one to another, near enough that straights between them stay in the groove's depth: the middle and every kink among them. */
function outlineSteps(section: StandInPiece['member']['section'], from: number, to: number): readonly number[] {
  const kinks = outlineKinks(section).flatMap((u) => [u - 1, u, u + 1]);
  const inside = (u: number): boolean => u > from + 1e-4 && u < to - 1e-4;
  const marks = [from, ...[...kinks, (from + to) / 2].filter(inside).sort((p, q) => p - q), to];
  const apart = marks.filter((u, i) => i === 0 || u - marks[i - 1]! > 1e-6);
  return apart.flatMap((u, i) => {
    const next = apart[i + 1];
    if (next === undefined) return [u];
    const how = { room: GROOVE.over, chordTolerance: GROOVE.deep / 8 };
    return [u, ...usBetween(bareTube(section), { from: u + 1, to: next + 1 }, how).map((v) => v - 1)];
  });
}

/** A groove along the witness line; where that lies on the seam of two halves, the seam is the line. */
function witnessLine({ piece, into, hair }: Marking): Solid | undefined {
  const { member } = piece;
  const line = generatorOf(member, 0);
  const place = (s: Mm): Vec2 => [line.besideAt(s).point[0] + hair, line.besideAt(s).point[1]];
  if (piece.standsOn === undefined && Math.abs(dotOut(piece, place(piece.from.s))) < 2) return undefined;
  // It stops short of the ends, which stay whole to the edge.
  const [from, to] = [lowest(piece) + 3 + hair, highest(piece) - 3 + hair];
  if (to - from < 3) return undefined;
  const stations = stationsBetween(member, { from, to }, GROOVE.deep / 10);
  const wide = GROOVE.half * (1 + GROOVE.over / GROOVE.deep);
  const rings = stations.map((s) => {
    const [a, b] = place(s);
    const corners: readonly Vec2[] = [
      [a - wide, b + GROOVE.over],
      [a + wide, b + GROOVE.over],
      [a, b - GROOVE.deep],
    ];
    return corners.map(([x, y]) => besideAt(member.centerline, s, x, y));
  });
  return { kind: 'mesh', name: 'witness line', mesh: ringsMesh(rings, into) };
}

function dotOut(piece: StandInPiece, p: Vec2): Mm {
  const { out } = axesOf(piece);
  return p[0] * out[0] + p[1] * out[1];
}

/**
 * Where dowels have room in a lying half at s: sideways from the axis, and how deep an upright hole may go. On a taper there
 * must be as much within `about` to both sides.
 */
function dowelPlace(
  piece: StandInPiece,
  ducts: (s: Mm) => Duct,
  { s, about }: { readonly s: Mm; readonly about: Mm },
): DowelPlace | undefined {
  const { member } = piece;
  const { across, out } = axesOf(piece);
  const aside = cross(frameAt(member.centerline, s).heading, piece.out);
  const here = frameAt(member.centerline, s).origin;
  const looks = (isTapered(member) ? [-about, 0, about] : [0]).map((step) => {
    const moved = dot(sub(frameAt(member.centerline, s + step).origin, here), aside);
    return { section: sectionAt(member, s + step), moved: isTapered(member) ? moved : 0, duct: ducts(s + step) };
  });
  const room = DOWEL.hole + LEAST_WALL + 0.1;
  const free = (place: DowelPlace): boolean =>
    looks.every(({ section, moved, duct }) => {
      const at = (x: Mm, y: Mm): Mm => {
        const t = x - moved;
        return sectionDistance(section, across[0] * t + out[0] * y, across[1] * t + out[1] * y);
      };
      if (place.aside - Math.abs(moved) < duct.half + room) return false;
      return [-1, 1].every((side) =>
        [
          [side * place.aside + DOWEL.hole, place.deep],
          [side * place.aside - DOWEL.hole, place.deep],
          [side * place.aside + side * DOWEL.hole, 0],
        ].every(([x, y]) => Math.max(at(x!, y!), at(x!, -y!)) <= -LEAST_WALL - 0.1),
      );
    });
  const least = Math.max(...looks.map(({ duct }) => duct.half)) + room;
  for (let x = sectionReach(looks[0]!.section); x >= least; x -= 0.25) {
    const deep = [DOWEL.deep, 4, 3].find((k) => free({ aside: x, deep: k }));
    if (deep !== undefined) return { aside: x, deep };
  }
  return undefined;
}

interface DowelPlace {
  readonly aside: Mm;
  readonly deep: Mm;
}

/** Seats for bits of filament: upright holes that pin two halves, and lying grooves over the joints from piece to piece. */
export function dowelSeats(
  { piece, into, hair }: Marking,
  { sign, wall, joints }: { readonly sign: 1 | -1; readonly wall: Mm; readonly joints: readonly ('from' | 'to')[] },
): readonly Solid[] {
  const { centerline } = piece.member;
  const ducts = ductsOf(piece, wall);
  const [low, high] = [lowest(piece) + DOWEL.fromEnd, highest(piece) - DOWEL.fromEnd];
  const ends = joints.map((end) => piece[end].s);
  const count = Math.max(2, Math.ceil((high - low) / DOWEL.apart) + 1);
  const pins =
    high - low < 6
      ? [(low + high) / 2]
      : Array.from({ length: count }, (_, i) => low + ((high - low) * i) / (count - 1));
  const seatAt = (s: Mm, across: Mm): Placement => {
    const frame = frameAt(centerline, s + hair);
    const z = scale(piece.out, sign);
    const aside = cross(frame.heading, piece.out);
    return {
      origin: unplace(into, along(frame.origin, aside, across)),
      x: unplaceDirection(into, frame.heading),
      y: unplaceDirection(into, cross(z, frame.heading)),
      z: unplaceDirection(into, z),
    };
  };
  const bothSides = (s: Mm, about: Mm, solid: (at: Placement, found: DowelPlace) => Solid): readonly Solid[] => {
    const found = dowelPlace(piece, ducts, { s, about });
    return found ? [-1, 1].map((side) => solid(seatAt(s, side * (found.aside - hair)), found)) : [];
  };
  const free = (s: Mm): boolean => ends.every((end) => Math.abs(end - s) > DOWEL.long + DOWEL.hole + LEAST_WALL);
  const holes = pins.filter((s) => free(s)).flatMap((s) => bothSides(s, 2 * DOWEL.hole, dowelHole));
  const seats = joints.flatMap((end) => {
    const inward = end === 'from' ? 1 : -1;
    return bothSides(piece[end].s, DOWEL.long + 1, (at) => {
      const profile = [
        [-DOWEL.seat - 0.3, -0.3],
        [DOWEL.seat + 0.3, -0.3],
        [0, DOWEL.seat],
      ] as const;
      const points = [-0.5, DOWEL.long].flatMap((t) => profile.map(([y, z]) => place(at, [inward * t, y, z])));
      return { kind: 'hull', name: 'dowel seat', points };
    });
  });
  return [...holes, ...seats];
}

function dowelHole(at: Placement, { deep }: DowelPlace): Solid {
  const turns = Array.from({ length: 16 }, (_, i) => (i * Math.PI) / 8);
  const ring = convexHull(turns.map((t): Vec2 => [DOWEL.hole * Math.cos(t), DOWEL.hole * Math.sin(t)]));
  return {
    kind: 'prism',
    name: 'dowel hole',
    loops: [ring],
    height: deep + 1,
    at: { ...at, origin: place(at, [0, 0, -1]) },
  };
}
