import type { Kernel } from '../solid/kernel.ts';
import type { BuiltTool } from './build-tool.ts';
import { claim, layDown, type Order, type Report, taken, type Unfinished } from './crew-order.ts';
import type { Finish } from './finish-tool.ts';
import type { ToolResult } from './tool-result.ts';
import { finishOf, type ToolTask, toolBuilder } from './tool-task.ts';

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

/**
 * This thread and perhaps some more. The first other one finishes what this one builds: each then runs code of its own,
 * and the compiler of the language does nothing twice, which on a cold job is most of the work. All further ones make
 * whole tools.
 */
export function crewOf(openKernel: () => Promise<Kernel>, hands: readonly Hand[]): Crew {
  const own: Own = { openKernel, practiced: false };
  return {
    make: async (task) => {
      const results: ToolResult[] = [];
      const next = shared(1);
      const helpers = task.wanted.length > 1 ? hands.filter((hand) => !hand.hasEnded()) : [];
      const [finisher, ...makers] = helpers;
      const work: Work = { task, next, claims: shared(task.wanted.length), results };
      const others = helpers.map((hand) => answerOf(hand, work));
      for (const hand of makers) hand.send({ kind: 'make', task, next });
      const ours = takeTools(own, work, { finisher, alone: helpers.length === 0 });
      // All have put down their work before anything is told: a thread still at this job would report into the next one.
      const ends = await Promise.allSettled([ours, ...others]);
      for (const end of ends) if (end.status === 'rejected') throw end.reason;
      for (let at = 0; at < task.wanted.length; at++)
        if (!results[at]) throw new Error(`internal: no thread made tool ${at} of the task`);
      return results;
    },
  };
}

interface Work {
  readonly task: ToolTask;
  readonly next: Int32Array;
  readonly claims: Int32Array;
  readonly results: ToolResult[];
}

const shared = (length: number): Int32Array => new Int32Array(new SharedArrayBuffer(4 * length));

/** This thread. */
interface Own {
  readonly openKernel: () => Promise<Kernel>;
  /** Whether it has finished a tool before: then its code for that is compiled. */
  practiced: boolean;
}

/**
 * Built tools that must wait for the other thread before this one begins to finish some too: its first one costs it as
 * much as the other takes for so many, and a job of ordinary size is done before that pays.
 */
const WORTH_LEARNING = 8;

async function takeTools(
  own: Own,
  work: Work,
  { finisher, alone }: { readonly finisher: Hand | undefined; readonly alone: boolean },
): Promise<void> {
  const { task, next, results } = work;
  try {
    const build = toolBuilder(await own.openKernel(), task);
    const finish = finishOf(task);
    const sent: Pick<Unfinished, 'at' | 'built'>[] = [];
    for (let at = taken(next); at < task.wanted.length; at = taken(next)) {
      const { value: built, problems } = build(at);
      if (!built) results[at] = { problems };
      else if (!finisher || finisher.hasEnded()) results[at] = await finished(own, built, finish);
      else {
        finisher.send({ kind: 'finish', at, built, finish, claims: work.claims });
        sent.push({ at, built });
      }
      // Lets the others' reports in.
      if (!alone) await turn();
    }
    await helpFinish(own, work, { sent, finish });
  } catch (thrown) {
    layDown(work);
    throw thrown;
  } finally {
    finisher?.send({ kind: 'end' });
  }
}

interface Sent {
  readonly sent: readonly Pick<Unfinished, 'at' | 'built'>[];
  readonly finish: Finish;
}

/** From the other end, so that the last one is left to the thread that has finished all before it. */
async function helpFinish(own: Own, { claims, results }: Work, { sent, finish }: Sent): Promise<void> {
  const waiting = sent.filter(({ at }) => Atomics.load(claims, at) === 0);
  if (!own.practiced && waiting.length < WORTH_LEARNING) return;
  for (const { at, built } of waiting.slice(1).reverse()) {
    if (claim(claims, at)) results[at] = await finished(own, built, finish);
    await turn();
  }
}

/** Read only when it is needed: it is half of the program. */
async function finished(own: Own, built: BuiltTool, finish: Finish): Promise<ToolResult> {
  const { finishTool } = await import('./finish-tool.ts');
  own.practiced = true;
  return finishTool(await own.openKernel(), built, finish);
}

const turn = (): Promise<void> => new Promise((resolve) => setImmediate(resolve));

/** Takes a thread's results until it rests. */
function answerOf(hand: Hand, work: Work): Promise<void> {
  return new Promise((resolve, reject) => {
    hand.onEnd((why) => {
      layDown(work);
      reject(new Error(`internal: a thread ended: ${why}`));
    });
    hand.onReport((report) => {
      if (report.kind === 'made') work.results[report.at] = report.result;
      else if (report.kind === 'rest') resolve();
      else {
        layDown(work);
        const fault = new Error(report.message);
        if (report.stack !== undefined) fault.stack = report.stack;
        reject(fault);
      }
    });
  });
}
