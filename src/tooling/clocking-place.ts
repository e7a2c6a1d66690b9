import type { BendSegment, Segment } from '../geometry/centerline.ts';
import type { Mm } from '../geometry/vector.ts';
import { figure, type Problem } from '../job/problem.ts';
import type { Member } from '../solve/solution.ts';
import { type ToolRequest, toolProblem } from './request.ts';

/** Straight that a ring needs besides its own length, where tapers leave it no more. */
const BESIDE: Mm = 10;

/**
 * Middle of a ring on the tube before its first bend: of the straight there, or, where that is short, 5 mm from the bend and
 * on over the drawn start, as stock goes on. Beside tapers it is the longest straight that the ring fits on; undefined
 * where none is long enough.
 */
export function ringPlace({ centerline }: Member, first: BendSegment, tall: Mm): Mm | undefined {
  const before = centerline.segments.slice(0, centerline.segments.indexOf(first));
  if (before.every(({ kind }) => kind === 'straight'))
    return first.s0 >= tall + BESIDE ? first.s0 / 2 : first.s0 - tall / 2 - 5;
  const straights = before.filter(({ kind, length }) => kind === 'straight' && length >= tall + BESIDE);
  const longest = straights.reduce<Segment | undefined>((p, q) => (p && p.length >= q.length ? p : q), undefined);
  if (longest) return longest.s0 + longest.length / 2;
  const [head] = before;
  return head?.kind === 'straight' ? head.length - tall / 2 - 5 : undefined;
}

/** What is said where tapers leave no straight for a ring before the first bend. */
export function noStraight(
  request: ToolRequest,
  { member, first, tall }: { readonly member: Member; readonly first: BendSegment; readonly tall: Mm },
): Problem {
  const straights = member.centerline.segments.filter((x) => x.kind === 'straight' && x.s0 < first.s0);
  const measured = Math.max(0, ...straights.map(({ length }) => length));
  return toolProblem(request, {
    code: 'tool/no-room',
    message: `the longest straight of ${member.name} before its first bend is ${figure(measured)} mm, beside a taper; a ring needs ${figure(tall + BESIDE)} mm`,
    hint: 'give more straight before the first bend, or a narrower shop.strap',
    measured,
    limit: tall + BESIDE,
  });
}
