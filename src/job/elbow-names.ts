import type { MemberSpec } from './job.ts';

/** Name of one piece of a member with elbows; pieces count from 1 along the member. */
export const goreName = (member: string, number: number): string => `${member}-gore-${number}`;

/** Name of one elbow of a member, counted from 1. */
export const elbowName = (member: string, number: number): string =>
  number === 1 ? `${member}-elbow` : `${member}-elbow-${number}`;

/** Names of the pieces a member comes in: its own where it has no elbow, and where the member is not to be found. */
export function pieceNames(name: string, members: readonly MemberSpec[]): readonly string[] {
  let wanted = name;
  // As many steps as there are members: a loop of mirrors ends the search.
  for (const _ of members) {
    const member = members.find((m) => m.name === wanted);
    if (member?.kind === 'mirror') {
      wanted = member.of;
      continue;
    }
    if (member?.kind !== 'run') return [name];
    const welds = member.run.reduce((sum, item) => sum + (item.kind === 'bend' ? (item.elbow?.welds ?? 0) : 0), 0);
    return welds === 0 ? [name] : Array.from({ length: welds + 1 }, (_, i) => goreName(name, i + 1));
  }
  return [name];
}
