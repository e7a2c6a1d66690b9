// What the bundle of the command line holds: the program of the main thread, and that of the others. Either is read when it is called for.

export const run = async (argv: readonly string[]): Promise<number> => (await import('./run.ts')).run(argv);

/** Begins to take orders; on the main thread it does nothing. */
export const work = (): Promise<unknown> => import('./crew-worker.ts');
