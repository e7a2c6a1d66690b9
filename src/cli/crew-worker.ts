import { parentPort } from 'node:worker_threads';
import { openKernel } from '../solid/kernel.ts';
import { claim, layDown, type Order, type Report, taken } from './crew-order.ts';
import { finishTool } from './finish-tool.ts';
import { withOwnLists } from './own-lists.ts';

/** The other threads' program: opens a kernel of its own, then does what it is told. */
if (parentPort) {
  const port = parentPort;
  const report = (told: Report): void => port.postMessage(told);
  const kernel = openKernel();
  // Where the kernel does not open, the first order tells it.
  kernel.catch(() => undefined);
  // Whether a fault was told of the job at hand: then its end is no news.
  let told = false;
  port.on('message', async (order: Order) => {
    try {
      if (order.kind === 'end') {
        // What was sent before is done first.
        await kernel.catch(() => undefined);
        if (!told) report({ kind: 'rest' });
        told = false;
      } else if (order.kind === 'finish') {
        const opened = await kernel;
        const { at, built, finish, claims } = order;
        if (claim(claims, at)) report({ kind: 'made', at, result: finishTool(opened, withOwnLists(built), finish) });
      } else {
        const { task, next } = order;
        const { toolMaker } = await import('./whole-tool.ts');
        const make = toolMaker(await kernel, withOwnLists(task));
        for (let at = taken(next); at < task.wanted.length; at = taken(next)) {
          report({ kind: 'made', at, result: make(at) });
        }
        report({ kind: 'rest' });
      }
    } catch (thrown) {
      layDown(order.kind === 'end' ? {} : order);
      const fault = thrown instanceof Error ? thrown : new Error(String(thrown));
      if (order.kind === 'finish' && told) return;
      told = order.kind === 'finish';
      report({ kind: 'fault', message: fault.message, ...(fault.stack === undefined ? {} : { stack: fault.stack }) });
    }
  });
}
