import { figure, type Problem } from '../job/problem.ts';
import { cutAt } from './generator.ts';
import type { CutEnd, Member, Piece } from './solution.ts';

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

function crossing(piece: Piece): readonly Problem[] {
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < 72; i++) {
    const at = (end: CutEnd | undefined, plain: number): number => {
      if (!end) return plain;
      const cut = cutAt(end, i / 72, 'outer');
      return cut.kind === 'cut' ? cut.s : plain;
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
