import type { Mm } from '../geometry/vector.ts';
import { figure, type Problem } from '../job/problem.ts';
import type { CutCurve, CutEnd, Member, Piece } from './solution.ts';

/** One piece per member, from cut to cut; a piece whose cuts cross somewhere round the tube is a problem. */
export function cutPieces(
  members: readonly Member[],
  ends: readonly CutEnd[],
): { readonly pieces: readonly Piece[]; readonly problems: readonly Problem[] } {
  const pieces = members.map((member) => pieceOf(member, ends));
  return { pieces, problems: pieces.flatMap(crossing) };
}

function pieceOf(member: Member, ends: readonly CutEnd[]): Piece {
  const startEnd = ends.find((end) => end.member.name === member.name && end.end === 'start');
  const finishEnd = ends.find((end) => end.member.name === member.name && end.end === 'end');
  const from = startEnd?.longPoint ?? 0;
  const to = finishEnd?.longPoint ?? member.centerline.length;
  return {
    member,
    ...(startEnd ? { startEnd } : {}),
    ...(finishEnd ? { finishEnd } : {}),
    from,
    to,
    longLength: to - from,
    shortLength: (finishEnd?.shortPoint ?? member.centerline.length) - (startEnd?.shortPoint ?? 0),
  };
}

/** s of a curve at u, straight between its samples, which bow by 0.002 mm at most. */
export function curveS({ samples }: CutCurve, u: number): Mm {
  let low = 0;
  let high = samples.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (samples[middle]!.u <= u) low = middle;
    else high = middle;
  }
  const p = samples[low]!;
  const q = samples[(low + 1) % samples.length]!;
  const wide = (low + 1 < samples.length ? q.u : q.u + 1) - p.u;
  return p.s + ((q.s - p.s) * (u - p.u)) / wide;
}

function crossing(piece: Piece): readonly Problem[] {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < 72; i++) {
    const at = (end: CutEnd | undefined, plain: number): number => {
      return end ? curveS(end.curves.outer, i / 72) : plain;
    };
    least = Math.min(least, at(piece.finishEnd, piece.member.centerline.length) - at(piece.startEnd, 0));
  }
  if (least > 0) return [];
  return [
    {
      code: 'piece/nothing-left',
      severity: 'error',
      path: piece.member.spec.path,
      message: `the cuts at the two ends of "${piece.member.name}" cross: ${figure(least)} mm is left on its short side`,
      hint: 'lengthen the member or move the joints apart',
      measured: least,
      limit: 0,
    },
  ];
}
