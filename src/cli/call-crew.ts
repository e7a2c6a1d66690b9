import type { Kernel } from '../solid/kernel.ts';
import type { Crew, Hand } from './crew.ts';
import type { Io } from './io.ts';

/** The crew of one command, called in only when there is a tool to make, and only once. */
export interface CrewOnCall {
  /** Starts the other threads, so that they load while this one reads and solves the job. */
  readonly comeSoon: () => void;
  readonly get: () => Promise<Crew>;
  readonly close: () => Promise<void>;
}

/** A crew of so many threads, this one counted; where none can be started (or one is asked for) it works alone. */
export function callCrew(io: Io, threads: number | undefined): CrewOnCall {
  let hands: readonly Hand[] | undefined;
  let crew: Promise<Crew> | undefined;
  let kernel: Promise<Kernel> | undefined;
  const openKernel = (): Promise<Kernel> => {
    kernel ??= import('../solid/kernel.ts').then((solid) => solid.openKernel());
    return kernel;
  };
  const comeSoon = (): void => {
    const { start, usual } = io.threads ?? {};
    hands ??= start ? Array.from({ length: (threads ?? usual ?? 1) - 1 }, start) : [];
  };
  return {
    comeSoon,
    get: () => {
      comeSoon();
      crew ??= import('./crew.ts').then(({ crewOf }) => crewOf(openKernel, hands ?? []));
      return crew;
    },
    close: async () => {
      await Promise.all((hands ?? []).map((hand) => hand.stop()));
    },
  };
}
