import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import type { Hand } from './crew.ts';
import type { Report } from './crew-order.ts';

/** Threads used when nobody says how many: more than four gain little on the tools of one job, and each takes its memory. */
const MOST_UNASKED = 4;

export const usualThreads = (): number => Math.min(MOST_UNASKED, availableParallelism());

/** MB. Room for objects that live for moments: with 32 a batch takes 17 MB more and not a second less, with 8 hardly any less. */
const YOUNG_MB = 16;

/** Starts one more thread of this program, which at once loads what it needs. It keeps no process alive by itself. */
export function startHand(): Hand {
  const worker = new Worker(new URL('./crew-worker.js', import.meta.url), {
    resourceLimits: { maxYoungGenerationSizeMb: YOUNG_MB },
  });
  let ended: string | undefined;
  let tell = (_why: string): void => undefined;
  let take = (_report: Report): void => undefined;
  const end = (why: string): void => {
    ended ??= why;
    tell(ended);
  };
  worker.on('message', (report: Report) => take(report));
  worker.on('error', (thrown) => end(thrown instanceof Error ? thrown.message : String(thrown)));
  worker.on('exit', (code) => end(`exit code ${code}`));
  worker.unref();
  return {
    send: (order) => {
      worker.ref();
      worker.postMessage(order);
    },
    hasEnded: () => ended !== undefined,
    onReport: (listener) => {
      take = (report) => {
        if (report.kind !== 'made') worker.unref();
        listener(report);
      };
    },
    onEnd: (listener) => {
      tell = listener;
      if (ended !== undefined) listener(ended);
    },
    stop: async () => {
      await worker.terminate();
    },
  };
}
