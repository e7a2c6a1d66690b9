import { cosd, tand, toRadians } from '../../geometry/angle.ts';
import { sideOf } from '../../geometry/centerline.ts';
import { type Frame, frameFrom, moveFrame, rotateFrame } from '../../geometry/frame.ts';
import { add, along, cross, type Deg, type Mm, scale, sub, unit, type Vec2, type Vec3 } from '../../geometry/vector.ts';
import type { RunItem, RunMember } from '../../job/job.ts';
import type { Unknown } from './parameters.ts';

/** A place of the run: the frame behind so many items, and the centerline length to it. */
export interface Place {
  readonly frame: Frame;
  readonly length: Mm;
}

/**
 * How everything behind an item moves as one of its numbers grows by 1 mm or 1 radian: it turns by `turn` about an axis
 * through the origin and moves by `move`, and the centerline grows by `grow`.
 */
export interface Motion {
  readonly turn: Vec3;
  readonly move: Vec3;
  readonly grow: number;
}

/** The run laid out for trial values, with its rates. */
export interface Trial {
  /** Behind 0, 1, 2 ... items. */
  readonly places: readonly Place[];
  /** For each unknown, of the places behind `after` items; those of one unknown add up. */
  readonly motions: readonly (readonly (Motion & { readonly after: number })[])[];
}

const ZERO: Vec3 = [0, 0, 0];

interface Known {
  readonly value: number;
  /** Which unknown it is; absent when it is a number of the file. */
  readonly unknown?: number;
}

type Link =
  /** A taper goes straight on too, its axis moved aside where it is eccentric: right and up. */
  | { readonly kind: 'straight'; readonly length: Known; readonly aside?: Vec2 }
  | {
      readonly kind: 'bend';
      readonly clr: Mm;
      /** Of a segmented elbow: its pieces run round the arc outside it. */
      readonly welds?: number;
      readonly angle: Known;
      readonly side: Known;
      /** The side counts from the plane of the bend before. */
      readonly fromBefore: boolean;
    };

/** A run made ready to be laid out again and again: values in mm and degrees, in the order of the unknowns. */
export function chainOf(spec: RunMember, unknowns: readonly Unknown[]): (values: readonly number[]) => Trial {
  const links = spec.run.map((item, i) => linkOf(item, (kinds) => indexIn(unknowns, { item: i, kinds })));
  const start = frameFrom(spec.start.at, unit(spec.start.heading), spec.start.up);
  return (values) => layOutChain({ start, links, count: unknowns.length }, values);
}

const indexIn = (
  unknowns: readonly Unknown[],
  { item, kinds }: { readonly item: number; readonly kinds: readonly Unknown['kind'][] },
): number => unknowns.findIndex((unknown) => kinds.includes(unknown.kind) && unknown.items.includes(item));

function linkOf(item: RunItem, indexOf: (kinds: readonly Unknown['kind'][]) => number): Link {
  const known = (given: RunItemNumber, ...kinds: Unknown['kind'][]): Known =>
    typeof given === 'number' ? { value: given } : { value: 0, unknown: indexOf(kinds) };
  if (item.kind === 'straight') return { kind: 'straight', length: known(item.length, 'straight') };
  if (item.kind === 'taper') return { kind: 'straight', length: { value: item.length }, aside: item.shift };
  return {
    kind: 'bend',
    clr: item.clr,
    ...(item.elbow ? { welds: item.elbow.welds } : {}),
    angle: known(item.bendAngleDeg, 'bend angle'),
    side: known(item.toward.deg, 'toward', 'plane of bend'),
    fromBefore: item.toward.kind === 'plane-of-bend',
  };
}

type RunItemNumber = Extract<RunItem, { kind: 'straight' }>['length'];

interface Chain {
  readonly start: Frame;
  readonly links: readonly Link[];
  readonly count: number;
}

function layOutChain({ start, links, count }: Chain, values: readonly number[]): Trial {
  const places: Place[] = [{ frame: start, length: 0 }];
  const motions: (Motion & { after: number })[][] = Array.from({ length: count }, () => []);
  const numberOf = ({ value, unknown }: Known): number => (unknown === undefined ? value : values[unknown]!);
  let plane: Deg = 0;
  // Unknowns that turn the plane of the bend at hand: its own, or one that a bend before hands on.
  let turning: readonly number[] = [];
  for (const [i, link] of links.entries()) {
    const { frame, length } = places[i]!;
    const move = (unknown: number | undefined, motion: Motion): void => {
      if (unknown !== undefined) motions[unknown]!.push({ ...motion, after: i + 1 });
    };
    if (link.kind === 'straight') {
      const step = numberOf(link.length);
      const [right, up] = link.aside ?? [0, 0];
      const on = along(along(scale(frame.heading, step), frame.right, right), frame.up, up);
      places.push({ frame: moveFrame(frame, on), length: length + step });
      move(link.length.unknown, { turn: ZERO, move: frame.heading, grow: 1 });
      continue;
    }
    const side = numberOf(link.side);
    plane = link.fromBefore ? plane + side : side;
    const own = link.side.unknown === undefined ? [] : [link.side.unknown];
    turning = link.fromBefore ? [...turning, ...own] : own;
    const deg = numberOf(link.angle);
    const toward = sideOf(frame, plane);
    const axis = cross(frame.heading, toward);
    const point = along(frame.origin, toward, link.clr);
    const end = rotateFrame(frame, { point, axis, deg });
    const { turned, grow } = lengthRound(link, deg);
    places.push({ frame: end, length: length + turned });
    move(link.angle.unknown, { turn: axis, move: cross(point, axis), grow });
    // The bend swings round its start; the tube behind it is not twisted, so it rolls back about its own heading.
    const swing: Motion = {
      turn: sub(frame.heading, end.heading),
      move: sub(cross(frame.origin, frame.heading), cross(end.origin, end.heading)),
      grow: 0,
    };
    for (const unknown of turning) move(unknown, swing);
  }
  return { places, motions };
}

/** Centerline length of a turn, and how it grows by the radian: an arc, or the straight pieces of an elbow. */
function lengthRound(
  { clr, welds }: { readonly clr: Mm; readonly welds?: number },
  deg: Deg,
): { readonly turned: Mm; readonly grow: number } {
  if (welds === undefined) return { turned: clr * toRadians(deg), grow: clr };
  const half = deg / (2 * welds);
  return { turned: 2 * welds * clr * tand(half), grow: clr / cosd(half) ** 2 };
}

/** How one place moves. */
export interface Rate {
  readonly origin: Vec3;
  readonly turn: Vec3;
  readonly length: number;
}

/** How a place moves as an unknown grows: what the motions of the items before it add up to. */
export function rateAt(
  { places, motions }: Trial,
  { after, unknown }: { readonly after: number; readonly unknown: number },
): Rate {
  let [turn, move, grow] = [ZERO, ZERO, 0];
  for (const motion of motions[unknown]!) {
    if (motion.after > after) break;
    turn = add(turn, motion.turn);
    move = add(move, motion.move);
    grow += motion.grow;
  }
  return { origin: add(move, cross(turn, places[after]!.frame.origin)), turn, length: grow };
}
