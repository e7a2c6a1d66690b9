import { centerlineFrom, type Segment, stepOf } from '../../geometry/centerline.ts';
import { STOCK_FIT } from '../../geometry/tolerance.ts';
import { isTapered, sectionAt } from '../../geometry/tube-shape.ts';
import type { Piece } from '../solution.ts';

/**
 * What of a piece is tube of one section, to be sawn from a length: the piece itself; of one with tapers, which are bought or
 * rolled as such, each stretch before, between and behind them, by the end cut of the piece where that lies on it. A bent one is
 * parted square: it is cut after it is bent.
 */
export function tubeParts(piece: Piece): readonly Piece[] {
  const { member, from, to } = piece;
  if (!isTapered(member)) return [piece];
  const { segments, length } = member.centerline;
  return stretchesOf(segments).flatMap(({ first, last }, i): readonly Piece[] => {
    const [head, tail] = [segments[first]!, segments[last]!];
    // A long point past a drawn end is tube too.
    const low = Math.max(from, first === 0 ? Math.min(from, 0) : head.s0);
    const high = Math.min(to, last === segments.length - 1 ? Math.max(to, length) : tail.s0 + tail.length);
    if (high - low < STOCK_FIT) return [];
    const part = {
      ...member,
      name: `${member.name}, part ${i + 1}`,
      section: sectionAt(member, head.s0 + head.length / 2),
      centerline: centerlineFrom(head.start, segments.slice(first, last + 1).map(stepOf)),
    };
    const bent = segments.slice(first, last + 1).some(({ kind }) => kind === 'bend');
    const own = (end: Piece['startEnd']): Piece['startEnd'] =>
      end && !bent && end.segments.first >= first && end.segments.last <= last ? { ...end, member: part } : undefined;
    const [startEnd, finishEnd] = [own(piece.startEnd), own(piece.finishEnd)];
    const back = (end: Piece['startEnd']): number => (end ? Math.abs(end.longPoint - end.shortPoint) : 0);
    return [
      {
        member: part,
        ...(startEnd ? { startEnd } : {}),
        ...(finishEnd ? { finishEnd } : {}),
        from: low - head.s0,
        to: high - head.s0,
        longLength: high - low,
        shortLength: high - low - back(startEnd) - back(finishEnd),
      },
    ];
  });
}

/** Straights and bends that follow one another, by the numbers of their first and last segment. */
function stretchesOf(segments: readonly Segment[]): readonly { readonly first: number; readonly last: number }[] {
  const runs: { first: number; last: number }[] = [];
  segments.forEach(({ kind }, i) => {
    if (kind === 'taper') return;
    const before = runs.at(-1);
    if (before?.last === i - 1) before.last = i;
    else runs.push({ first: i, last: i });
  });
  return runs;
}
