import type { ManifestTool } from '../export/manifest.ts';
import type { Problem } from '../job/problem.ts';
import type { CrewOnCall } from './call-crew.ts';
import type { FolderPlan } from './folder.ts';
import type { Format } from './formats.ts';
import type { MakeRequest } from './make-job.ts';
import type { Shard } from './shard.ts';
import type { ExitCode } from './terminal.ts';

export interface BuildOptions {
  readonly out: string;
  readonly only: readonly string[];
  readonly set: readonly string[];
  readonly format: readonly Format[];
  readonly plate: boolean;
  /** All jobs in one folder, the job's name before each file's. */
  readonly flat: boolean;
  readonly stdout: boolean;
  readonly force: boolean;
  readonly dryRun: boolean;
  readonly quiet: boolean;
  readonly json: boolean;
  /** Absent: as many as suit the machine. */
  readonly threads?: number;
  /** Absent: all of the jobs. */
  readonly shard?: Shard;
}

/** What became of one job file. */
export interface BuildResult {
  readonly label: string;
  /** Which of the file's variants. */
  readonly variant?: string;
  readonly text?: string;
  readonly code: ExitCode;
  readonly problems: readonly Problem[];
  /** Why there was no job to read, or what bug stopped it. */
  readonly failure?: string;
  readonly done?: Done;
}

/** A job whose folder is as it should be; with --dry-run, would be. */
export interface Done {
  readonly job: string;
  readonly folder: string;
  readonly plan: DonePlan;
  readonly tools: readonly ManifestTool[];
  /** Names of the tools that were kept as they stand: nothing they depend on has changed. */
  readonly kept: readonly string[];
  /** Tools that are to be printed again: those that were of another revision in the folder before. */
  readonly changed: readonly ChangedTool[];
  /** Files of tools not made this time, whose geometry has moved on. */
  readonly outdated: readonly string[];
}

/** What was done in the folder; of the files that were written only the names, since a batch has more bytes than there is memory. */
export interface DonePlan extends Pick<FolderPlan, 'names' | 'unchanged' | 'remove' | 'left'> {
  readonly write: readonly { readonly name: string }[];
}

/** What is kept of a job until the end of a batch, to count up. */
export interface Tally extends Pick<BuildResult, 'label' | 'variant' | 'code'> {
  /** Absent where nothing came of it. */
  readonly done?: { readonly touched: boolean; readonly again: number };
}

export const tallyOf = ({ label, variant, code, done }: BuildResult): Tally => ({
  label,
  code,
  ...(variant === undefined ? {} : { variant }),
  ...(done
    ? { done: { touched: done.plan.write.length + done.plan.remove.length > 0, again: done.changed.length } }
    : {}),
});

/** A tool whose print on the bench is out of date, and why. */
export interface ChangedTool {
  readonly name: string;
  /** Engraved on the old print; absent where there was none. */
  readonly from?: string;
  readonly to: string;
  readonly moved: readonly MovedDimension[];
}

export interface MovedDimension {
  readonly label: string;
  readonly from: number | string;
  readonly to: number | string;
  readonly unit?: 'mm' | 'deg';
}

/** All that the jobs of one command share. */
export interface Shop {
  readonly options: BuildOptions;
  readonly crew: CrewOnCall;
  readonly request: (job: { readonly text: string; readonly variant?: string }) => MakeRequest;
  /** Job names met so far, in small letters, with the file they came from. */
  readonly taken: Map<string, string>;
}
