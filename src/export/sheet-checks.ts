import { besideAt } from '../geometry/centerline.ts';
import { generatorLength } from '../geometry/generator-length.ts';
import { outlineAt } from '../geometry/section.ts';
import { along, distance, dot, length, type Mm, unit } from '../geometry/vector.ts';
import { cutAt } from '../solve/generator.ts';
import type { CutEnd, Piece } from '../solve/solution.ts';

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
    const { point } = outlineAt(member.section, i / 4);
    const from = piece.startEnd ? cutS(piece.startEnd, i / 4) : 0;
    const to = piece.finishEnd ? cutS(piece.finishEnd, i / 4) : line.length;
    const at = (s: Mm) => besideAt(line, s, point[0], point[1]);
    return {
      turnDeg: TURNS[i]!,
      side,
      along: generatorLength(line, { from, to, beside: point }),
      straight: distance(at(from), at(to)),
    };
  });
  const across = [piece.startEnd, piece.finishEnd].flatMap((end) => {
    const size = end && acrossCut(end);
    return end && size !== undefined ? [{ end: end.end, length: size }] : [];
  });
  return { lines, across };
}

function cutS(end: CutEnd, u: number): Mm {
  const cut = cutAt(end, u, 'outer');
  if (cut.kind !== 'cut') throw new Error(`internal: the traced end ${end.id} has no cut at u = ${u}`);
  return cut.s;
}

/** Reach of the cut face in the direction in which it leans: od / cos(miter) on round tube. */
function acrossCut({ flat, curves, segments, member }: CutEnd): Mm | undefined {
  const segment = member.centerline.segments[segments.first];
  if (!flat || segments.first !== segments.last || segment?.kind !== 'straight' || flat.miterDeg === 0)
    return undefined;
  const { heading } = segment.start;
  const { normal } = flat.plane;
  const lean = along(heading, normal, -dot(heading, normal));
  if (!(length(lean) > 0)) return undefined;
  const reaches = curves.outer.samples.map(({ point }) => dot(point, unit(lean)));
  return Math.max(...reaches) - Math.min(...reaches);
}
