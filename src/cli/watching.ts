export interface WatchedPlaces {
  readonly paths: readonly string[];
  /** Also in folders inside them. */
  readonly deep: boolean;
}

/** Tells when something below the places given is saved, made or taken away; and when the person wants to stop. */
export interface Watching {
  readonly start: (places: WatchedPlaces, changed: () => void) => Promise<() => Promise<void>>;
  /** Asked for before the work begins, so that no signal is lost. */
  readonly untilStopped: () => Promise<void>;
}

/** The real thing. Folders are watched as far as job files may lie in them, without what the program itself writes. */
export const nodeWatching: Watching = {
  start: async ({ paths, deep }, changed) => {
    const { watch } = await import('chokidar');
    const watcher = watch([...paths], {
      ...(deep ? {} : { depth: 0 }),
      ignoreInitial: true,
      // An editor's rename over the old file comes as one change, not as a file that vanished.
      atomic: true,
      ignored: (path, stats) => stats?.isFile() === true && !/\.ya?ml$/i.test(path),
    });
    watcher.on('all', changed);
    await new Promise<void>((ready) => watcher.once('ready', () => ready()));
    return () => watcher.close();
  },
  untilStopped: () =>
    new Promise((stopped) => {
      for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.once(signal, () => stopped());
    }),
};
