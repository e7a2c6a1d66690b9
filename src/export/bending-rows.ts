import { planeOfBendTurns, setback } from '../geometry/bends.ts';
import type { BendSegment, Centerline, NominalBend } from '../geometry/centerline.ts';
import { along, type Deg, type Mm, type Vec3 } from '../geometry/vector.ts';
import type { Piece } from '../solve/solution.ts';

/** A point of the drawn centerline: where it starts, where the axes of two straights meet, where it ends. */
export interface PointRow {
  readonly at: Vec3;
  /** Of the bend at a corner. */
  readonly clr?: Mm;
}

/** What the bender sets, from the start of the drawn centerline. */
export interface BendingRows {
  readonly rows: readonly BendingRow[];
  /** Straight behind the last bend. */
  readonly last: Mm;
  /** From the long point at the start to the first bend that the cut leaves; absent when it leaves none. */
  readonly fromStart?: BendReach;
  /** From the last bend that the cut leaves to the long point at the end. */
  readonly toEnd?: BendReach;
}

export interface BendReach {
  /** Counted from 1. */
  readonly bend: number;
  /** Straight between long point and tangent point; below 0 where the cut lies within the bend. */
  readonly straight: Mm;
}

export interface BendingRow {
  /** Straight before the bend, between tangent points. */
  readonly straight: Mm;
  /** Turn of the plane of bend from the bend before, clockwise looking along; 0 for the first. */
  readonly planeOfBendDeg: Deg;
  readonly bendAngleDeg: Deg;
  readonly clr: Mm;
  readonly arcLength: Mm;
  /** Tangent points: where the bend starts and where it ends. */
  readonly from: Vec3;
  readonly to: Vec3;
  /** What was asked of the bender, where the bend was measured and came out as above. */
  readonly nominal?: NominalBend;
}

const bendsOf = (line: Centerline): readonly BendSegment[] =>
  line.segments.filter((segment): segment is BendSegment => segment.kind === 'bend');

/** The points that give the centerline again with the clr at each corner; a bend of 180 degrees has no corner. */
export function pointRows(line: Centerline): readonly PointRow[] {
  const start = line.segments[0]?.start.origin ?? line.end.origin;
  const corners = bendsOf(line).flatMap(({ start: { origin, heading }, clr, bendAngleDeg }): PointRow[] =>
    bendAngleDeg < 180 ? [{ at: along(origin, heading, setback(clr, bendAngleDeg)), clr }] : [],
  );
  return [{ at: start }, ...corners, { at: line.end.origin }];
}

/** Distance between bends, plane of bend and degree of bend, bend by bend; undefined for a straight tube. */
export function bendingRows(piece: Piece): BendingRows | undefined {
  const line = piece.member.centerline;
  const bends = bendsOf(line);
  if (bends.length === 0) return undefined;
  const first = bends.findIndex((bend) => bend.s0 + bend.length > piece.from);
  const last = bends.findLastIndex((bend) => bend.s0 < piece.to);
  const turns = [0, ...planeOfBendTurns(line)];
  let done = 0;
  const rows = bends.map((bend, i): BendingRow => {
    const straight = bend.s0 - done;
    done = bend.s0 + bend.length;
    const { bendAngleDeg, clr, length: arcLength, nominal } = bend;
    return {
      straight,
      planeOfBendDeg: turns[i] ?? 0,
      bendAngleDeg,
      clr,
      arcLength,
      from: bend.start.origin,
      to: bend.end.origin,
      ...(nominal ? { nominal } : {}),
    };
  });
  return {
    rows,
    last: line.length - done,
    ...(first < 0 || first > last
      ? {}
      : {
          fromStart: { bend: first + 1, straight: bends[first]!.s0 - piece.from },
          toEnd: { bend: last + 1, straight: piece.to - bends[last]!.s0 - bends[last]!.length },
        }),
  };
}
