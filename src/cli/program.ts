// What the bundle of the command line holds: the program of the main thread, and that of the others.
export { run } from './run.ts';

/** Begins to take orders; on the main thread it does nothing. */
export const work = (): Promise<unknown> => import('./crew-worker.ts');
