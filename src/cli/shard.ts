import { guessedName } from './fresh.ts';
import { type Input, readText, STDIN_LABEL, type Unreadable } from './inputs.ts';

/** The i-th of n parts of a list of jobs; 1 <= i <= n. */
export interface Shard {
  readonly part: number;
  readonly of: number;
}

/** Every n-th job, beginning with the i-th: the parts hold each job once, whoever runs them, wherever. */
export const inShard = <T>(all: readonly T[], { part, of }: Shard): readonly T[] =>
  all.filter((_, place) => place % of === part - 1);

/**
 * Jobs of other parts by name (in small letters, as far as their text shows it before it is read), each with its place in
 * the whole list: where two jobs have one name the first of all has the folder, whichever part it is in.
 */
export function othersByName(all: readonly (Input | Unreadable)[], { part, of }: Shard): ReadonlyMap<string, Listed> {
  const names = new Map<string, Listed>();
  all.forEach((input, place) => {
    if (place % of === part - 1 || 'reason' in input || input.label === STDIN_LABEL) return;
    const read = readText(input);
    const name = 'text' in read ? guessedName(read.text)?.toLowerCase() : undefined;
    if (name !== undefined && !names.has(name)) names.set(name, { label: input.label, place });
  });
  return names;
}

interface Listed {
  readonly label: string;
  readonly place: number;
}
