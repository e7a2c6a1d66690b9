import { describe, expect, it } from 'vitest';
import { crewOf, type Hand } from '../../src/cli/crew.ts';
import { claim, type Order, type Report, taken } from '../../src/cli/crew-order.ts';
import { solveText } from '../../src/cli/pipeline.ts';
import type { ToolTask } from '../../src/cli/tool-task.ts';
import type { ManifestTool } from '../../src/export/manifest.ts';
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

const RAIL_TOOLS = ['rail-end-saw-guide', 'rail-start-notch-collar'];

/** A thread that finishes what it is sent, after a while, and rests at the end of each job. */
const finisher = (finished: number[]): Hand =>
  hand((order, report) => {
    setTimeout(() => {
      if (order.kind === 'end') return report({ kind: 'rest' });
      if (order.kind !== 'finish' || !claim(order.claims, order.at)) return;
      finished.push(order.at);
      report({ kind: 'made', at: order.at, result: { problems: [], made: { ...made(order.at), parts: [] } } });
    }, 5);
  });

const made = (at: number) => ({ tool: { name: RAIL_TOOLS[at] } as unknown as ManifestTool, files: [] });

describe('a crew', () => {
  it('gives results in the order asked for, whoever made which', async () => {
    const alone = await crewOf(openKernel, []).make(task());
    expect(names(alone)).toEqual(RAIL_TOOLS);
    const finished: number[] = [];
    const makes: Order[] = [];
    const maker = hand((order, report) => {
      makes.push(order);
      if (order.kind !== 'make') return;
      const at = taken(order.next);
      setTimeout(() => {
        if (at < 2) report({ kind: 'made', at, result: alone[at]! });
        report({ kind: 'rest' });
      }, 50);
    });
    expect(names(await crewOf(openKernel, [finisher(finished)]).make(task()))).toEqual(RAIL_TOOLS);
    expect(finished).toContain(0);
    expect(names(await crewOf(openKernel, [finisher([]), maker]).make(task()))).toEqual(RAIL_TOOLS);
    expect(makes.map(({ kind }) => kind)).toEqual(['make']);
  });

  it('finishes the later tools itself, once it has done so before, while another thread is at the first', async () => {
    let here = false;
    const sent: number[] = [];
    const slow = hand((order, report) => {
      if (order.kind === 'finish') {
        sent.push(order.at);
        if (order.at === 0) claim(order.claims, 0);
      } else if (order.kind === 'end') {
        setTimeout(() => {
          for (const at of [0, 1])
            report({ kind: 'made', at, result: { problems: [], made: { ...made(at), parts: [] } } });
          report({ kind: 'rest' });
        }, 20);
      }
    });
    const crew = crewOf(openKernel, [{ ...slow, hasEnded: () => !here }]);
    expect(names(await crew.make(task()))).toEqual(RAIL_TOOLS);
    expect(sent).toEqual([]);
    here = true;
    const wanted = [0, 1, 1];
    const results = await crew.make({ ...task(), wanted });
    expect(sent).toEqual([0, 1, 2]);
    expect(results[2]?.made?.files).toHaveLength(1);
  });

  it('fails with the fault of any thread, after all have put their work down, and can be asked again', async () => {
    let broken = true;
    const good = finisher([]);
    let take = (_: Report): void => undefined;
    const crew = crewOf(openKernel, [
      {
        ...good,
        onReport: (listener) => {
          take = listener;
          good.onReport(listener);
        },
        send: (order) => {
          if (!broken) return good.send(order);
          if (order.kind === 'finish' && order.at === 0)
            setTimeout(() => take({ kind: 'fault', message: 'internal: broken' }), 20);
          broken = order.kind !== 'end';
        },
      },
    ]);
    await expect(crew.make(task())).rejects.toThrow('internal: broken');
    expect(names(await crew.make(task()))).toEqual(RAIL_TOOLS);
  });

  it('tells of a tool that no thread has made', async () => {
    const crew = crewOf(openKernel, [
      hand((order, report) => order.kind === 'end' && setTimeout(() => report({ kind: 'rest' }), 5)),
    ]);
    await expect(crew.make(task())).rejects.toThrow('internal: no thread made tool 0');
  });

  it('tells of a thread that died with a tool in hand, and goes on without it', async () => {
    const crew = crewOf(openKernel, [
      hand((order, _, end) => {
        if (order.kind === 'finish') setTimeout(() => end('exit code 5'), 10);
      }),
    ]);
    await expect(crew.make(task())).rejects.toThrow('a thread ended: exit code 5');
    expect(names(await crew.make(task()))).toEqual(RAIL_TOOLS);
  });

  it('lets a fault of its own thread through, and waits for the others', async () => {
    let rested = false;
    const crew = crewOf(
      () => Promise.reject(new Error('internal: no kernel')),
      [
        hand((order, report) => {
          if (order.kind !== 'end') return;
          setTimeout(() => {
            rested = true;
            report({ kind: 'rest' });
          }, 30);
        }),
      ],
    );
    await expect(crew.make(task())).rejects.toThrow('internal: no kernel');
    expect(rested).toBe(true);
  });
});
