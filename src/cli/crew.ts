import type { Kernel } from '../solid/kernel.ts';
import { makeToolAt, type ToolResult, type ToolTask } from './tool-task.ts';

/** Makes tools, in one thread or several; results come in the order asked for, and the same bytes either way. */
export interface Crew {
  readonly make: (task: ToolTask) => Promise<readonly ToolResult[]>;
}

/** A thread started elsewhere that runs `crew-worker`; how it is started is the command line's business. */
export interface Hand {
  readonly send: (order: Order) => void;
  readonly onReport: (take: (report: Report) => void) => void;
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
      const helpers = task.wanted.length > 1 ? hands : [];
      const others = helpers.map((hand) => takePart(hand, { task, next }, results));
      // Heard of at once below; until then a fault of theirs is nobody's unhandled one.
      for (const other of others) other.catch(() => undefined);
      const kernel = await openKernel();
      for (let at = taken(next); at < task.wanted.length; at = taken(next)) {
        results[at] = makeToolAt(kernel, task, task.wanted[at]!);
        // Lets the others' reports in.
        if (helpers.length > 0) await new Promise((resolve) => setImmediate(resolve));
      }
      await Promise.all(others);
      return results;
    },
  };
}

/** The next place nobody has taken; counted up in memory that all threads share. */
export const taken = (next: Int32Array): number => Atomics.add(next, 0, 1);

function takePart(hand: Hand, order: Order, results: ToolResult[]): Promise<void> {
  return new Promise((resolve, reject) => {
    hand.onEnd((why) => reject(new Error(`internal: a thread ended: ${why}`)));
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
