import { parentPort } from 'node:worker_threads';
import { openKernel } from '../solid/kernel.ts';
import { layDown, type Order, type Report, taken } from './crew.ts';
import { toolMaker } from './tool-task.ts';

/** The other threads' program: opens a kernel of its own, then takes tools of each order until none is left. */
if (parentPort) {
  const port = parentPort;
  const report = (told: Report): void => port.postMessage(told);
  const kernel = openKernel();
  // Where the kernel does not open, the first order tells it.
  kernel.catch(() => undefined);
  port.on('message', async ({ task, next }: Order) => {
    try {
      const make = toolMaker(await kernel, task);
      for (let at = taken(next); at < task.wanted.length; at = taken(next)) {
        report({ kind: 'made', at, result: make(at) });
      }
      report({ kind: 'rest' });
    } catch (thrown) {
      layDown({ task, next });
      const fault = thrown instanceof Error ? thrown : new Error(String(thrown));
      report({ kind: 'fault', message: fault.message, ...(fault.stack === undefined ? {} : { stack: fault.stack }) });
    }
  });
}
