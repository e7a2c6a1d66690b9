import type { Kernel } from '../solid/kernel.ts';
import { type ToolResult, type ToolTask, toolMaker } from './tool-task.ts';

/** Makes tools, in one thread or several; results come in the order asked for, and the same bytes either way. */
export interface Crew {
  readonly make: (task: ToolTask) => Promise<readonly ToolResult[]>;
}

/** A thread started elsewhere that runs `crew-worker`; how it is started is the command line's business. */
export interface Hand {
  readonly send: (order: Order) => void;
  readonly onReport: (take: (report: Report) => void) => void;
  readonly hasEnded: () => boolean;
  /** The thread ended, or never began: with why. */
  readonly onEnd: (take: (why: string) => void) => void;
  readonly stop: () => Promise<void>;
}

/** A task, and the place in `wanted` that is taken next: every thread counts it up for itself. */
export interface Order {
  readonly task: ToolTask;
  readonly next: Int32Array;
}

export type Report =
  | { readonly kind: 'made'; readonly at: number; readonly result: ToolResult }
  | { readonly kind: 'rest' }
  | { readonly kind: 'fault'; readonly message: string; readonly stack?: string };

/** This thread and perhaps some more: each takes the next tool that nobody has taken. */
export function crewOf(openKernel: () => Promise<Kernel>, hands: readonly Hand[]): Crew {
  return {
    make: async (task) => {
      const results: ToolResult[] = [];
      const next = new Int32Array(new SharedArrayBuffer(4));
      const helpers = task.wanted.length > 1 ? hands.filter((hand) => !hand.hasEnded()) : [];
      const others = helpers.map((hand) => takePart(hand, { task, next }, results));
      const own = takeTools(openKernel, { task, next }, { results, alone: others.length === 0 });
      // All have put down their work before anything is told: a thread still at this job would report into the next one.
      const ends = await Promise.allSettled([own, ...others]);
      for (const end of ends) if (end.status === 'rejected') throw end.reason;
      return results;
    },
  };
}

async function takeTools(
  openKernel: () => Promise<Kernel>,
  { task, next }: Order,
  { results, alone }: { readonly results: ToolResult[]; readonly alone: boolean },
): Promise<void> {
  try {
    const make = toolMaker(await openKernel(), task);
    for (let at = taken(next); at < task.wanted.length; at = taken(next)) {
      results[at] = make(at);
      // Lets the others' reports in.
      if (!alone) await new Promise((resolve) => setImmediate(resolve));
    }
  } catch (thrown) {
    layDown({ task, next });
    throw thrown;
  }
}

/** No thread takes another tool of a job that cannot be finished. */
export const layDown = ({ task, next }: Order): void => void Atomics.store(next, 0, task.wanted.length);

/** The next place nobody has taken; counted up in memory that all threads share. */
export const taken = (next: Int32Array): number => Atomics.add(next, 0, 1);

function takePart(hand: Hand, order: Order, results: ToolResult[]): Promise<void> {
  return new Promise((resolve, reject) => {
    hand.onEnd((why) => {
      layDown(order);
      reject(new Error(`internal: a thread ended: ${why}`));
    });
    hand.onReport((report) => {
      if (report.kind === 'made') results[report.at] = report.result;
      else if (report.kind === 'rest') resolve();
      else {
        const fault = new Error(report.message);
        if (report.stack !== undefined) fault.stack = report.stack;
        reject(fault);
      }
    });
    hand.send(order);
  });
}
