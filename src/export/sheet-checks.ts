import { generatorOf } from '../geometry/tube-shape.ts';
import { generatorLength } from '../geometry/tube-surface.ts';
import { along, distance, dot, length, type Mm, unit } from '../geometry/vector.ts';
import type { CutEnd, Piece } from '../solve/solution.ts';
import { cutS } from './cut-places.ts';

/** What a tape or calipers must read on the finished piece. */
export interface PieceChecks {
  /** On the four lines of the tube at up, right, down and left of the witness line. */
  readonly lines: readonly LineCheck[];
  /** Across a flat cut on a straight, from its long to its short point. */
  readonly across: readonly { readonly end: 'start' | 'end'; readonly length: Mm }[];
}

export interface LineCheck {
  readonly turnDeg: 0 | 90 | 180 | 270;
  readonly side: 'up' | 'right' | 'down' | 'left';
  /** With a tape along the outside of the tube, from cut to cut. */
  readonly along: Mm;
  /** Straight through the air between the same two points; differs where the piece is bent. */
  readonly straight: Mm;
}

const SIDES = ['up', 'right', 'down', 'left'] as const;
const TURNS = [0, 90, 180, 270] as const;

export function pieceChecks(piece: Piece): PieceChecks {
  const { member } = piece;
  const line = member.centerline;
  const lines = SIDES.map((side, i): LineCheck => {
    const { pointAt } = generatorOf(member, i / 4);
    const from = piece.startEnd ? cutS(piece.startEnd, i / 4) : 0;
    const to = piece.finishEnd ? cutS(piece.finishEnd, i / 4) : line.length;
    return {
      turnDeg: TURNS[i]!,
      side,
      along: generatorLength(member, i / 4, { from, to }),
      straight: distance(pointAt(from), pointAt(to)),
    };
  });
  const across = [piece.startEnd, piece.finishEnd].flatMap((end) => {
    const size = end && acrossCut(end);
    return end && size !== undefined ? [{ end: end.end, length: size }] : [];
  });
  return { lines, across };
}

/** Reach of the cut face in the direction in which it leans: od / cos(miter) on round tube. */
function acrossCut({ flat, curves, segments, member }: CutEnd): Mm | undefined {
  const segment = member.centerline.segments[segments.first];
  if (!flat || segments.first !== segments.last || segment?.kind === 'bend' || !segment || flat.miterDeg === 0)
    return undefined;
  const { heading } = segment.start;
  const { normal } = flat.plane;
  const lean = along(heading, normal, -dot(heading, normal));
  if (!(length(lean) > 0)) return undefined;
  const reaches = curves.outer.samples.map(({ point }) => dot(point, unit(lean)));
  return Math.max(...reaches) - Math.min(...reaches);
}
