import type { TaperSegment } from '../geometry/centerline.ts';
import { type Section, sectionHeight, sectionWidth } from '../geometry/section.ts';
import { sectionAt, tapersOf } from '../geometry/tube-shape.ts';
import { generatorLength } from '../geometry/tube-surface.ts';
import type { Deg, Mm } from '../geometry/vector.ts';
import type { CutEnd, Piece } from '../solve/solution.ts';
import { cutS, fromDatum } from './cut-places.ts';

/** A taper of the piece, as the job draws it. */
export interface TaperRow {
  /** From the start of the drawn centerline. */
  readonly from: Mm;
  readonly length: Mm;
  readonly to: Section;
  /** Of an eccentric taper: right and up. */
  readonly offset?: readonly [Mm, Mm];
}

/** A cut within a taper: the size of the tube there, and where the cut lies on its four lines. */
export interface InTaperRow {
  /** Counted from 1. */
  readonly taper: number;
  /** Outside, where a flat cut meets the centerline. */
  readonly width?: Mm;
  readonly height?: Mm;
  readonly marks: readonly TaperMark[];
}

export interface TaperMark {
  readonly turnDeg: Deg;
  /** From the long point of the other end, along the axis. */
  readonly axis: Mm;
  /** On the tube's own surface along that line, from the cut at the other end. */
  readonly slant: Mm;
}

export const taperRow = ({ s0, length, to, shift }: TaperSegment): TaperRow => ({
  from: s0,
  length,
  to,
  ...(Math.hypot(...shift) > 0 ? { offset: [shift[0], shift[1]] as const } : {}),
});

/** Marks of a cut in a taper: what calipers must read there, and how far it lies on the slant, where a tape is laid. */
export function inTaperRow(piece: Piece, end: CutEnd): InTaperRow | undefined {
  const { member } = end;
  const first = member.centerline.segments[end.segments.first];
  const last = member.centerline.segments[end.segments.last];
  const taper = [first, last].find((segment) => segment?.kind === 'taper');
  if (taper?.kind !== 'taper') return undefined;
  const section = end.flat && sectionAt(member, end.flat.s);
  const marks = [0, 1, 2, 3].map((i): TaperMark => {
    const s = cutS(end, i / 4);
    const other = end.end === 'end' ? piece.startEnd : piece.finishEnd;
    const from = other ? cutS(other, i / 4) : end.end === 'end' ? piece.from : piece.to;
    const slant = Math.abs(generatorLength(member, i / 4, { from, to: s }));
    return { turnDeg: 90 * i, axis: fromDatum(piece, end.end, s), slant };
  });
  return {
    taper: tapersOf(member).indexOf(taper) + 1,
    ...(section ? { width: sectionWidth(section), height: sectionHeight(section) } : {}),
    marks,
  };
}
