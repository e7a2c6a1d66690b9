import { describe, expect, it } from 'vitest';
import { crewOf, type Hand, layDown, type Order, type Report, taken } from '../../src/cli/crew.ts';
import { solveText } from '../../src/cli/pipeline.ts';
import type { ToolTask } from '../../src/cli/tool-task.ts';
import { openKernel } from '../../src/solid/kernel.ts';
import { RAIL } from './bench.ts';

function task(): ToolTask {
  const { solution } = solveText({ text: RAIL, sets: [] });
  if (!solution) throw new Error('the rail is not solved');
  return { solution, wanted: [0, 1], formats: ['stl'], meshes: false, settings: { program: 'p', madeBy: 'm' } };
}

/** A thread that does what a test says, in this one. */
function hand(work: (order: Order, report: (report: Report) => void, end: (why: string) => void) => void): Hand {
  let take = (_: Report): void => undefined;
  let tell = (_: string): void => undefined;
  let ended = false;
  const end = (why: string): void => {
    ended = true;
    tell(why);
  };
  return {
    send: (order) => work(order, (report) => take(report), end),
    hasEnded: () => ended,
    onReport: (listener) => {
      take = listener;
    },
    onEnd: (listener) => {
      tell = listener;
    },
    stop: async () => undefined,
  };
}

const names = (results: readonly { readonly made?: { readonly tool: { readonly name: string } } }[]) =>
  results.map(({ made }) => made?.tool.name);

describe('a crew', () => {
  it('gives results in the order asked for, whoever made which', async () => {
    const alone = await crewOf(openKernel, []).make(task());
    const helped = await crewOf(openKernel, [
      hand((order, report) => {
        const at = taken(order.next);
        setTimeout(() => {
          report({ kind: 'made', at, result: alone[at]! });
          report({ kind: 'rest' });
        }, 50);
      }),
    ]).make(task());
    expect(names(helped)).toEqual(names(alone));
    expect(names(alone)).toEqual(['rail-end-saw-guide', 'rail-start-notch-collar']);
  });

  it('fails with the fault of any thread, after all have put their work down, and can be asked again', async () => {
    let order = 0;
    const crew = crewOf(openKernel, [
      hand((given, report) => {
        if (order++ > 0) return report({ kind: 'rest' });
        layDown(given);
        setTimeout(() => report({ kind: 'fault', message: 'internal: broken' }), 20);
      }),
    ]);
    await expect(crew.make(task())).rejects.toThrow('internal: broken');
    expect(names(await crew.make(task()))).toHaveLength(2);
  });

  it('tells of a thread that died with a tool in hand, and goes on without it', async () => {
    const crew = crewOf(openKernel, [
      hand((order, _, end) => {
        taken(order.next);
        setTimeout(() => end('exit code 5'), 10);
      }),
    ]);
    await expect(crew.make(task())).rejects.toThrow('a thread ended: exit code 5');
    expect(names(await crew.make(task()))).toHaveLength(2);
  });

  it('lets a fault of its own thread through, and waits for the others', async () => {
    let rested = false;
    const crew = crewOf(
      () => Promise.reject(new Error('internal: no kernel')),
      [
        hand((_, report) =>
          setTimeout(() => {
            rested = true;
            report({ kind: 'rest' });
          }, 30),
        ),
      ],
    );
    await expect(crew.make(task())).rejects.toThrow('internal: no kernel');
    expect(rested).toBe(true);
  });
});
