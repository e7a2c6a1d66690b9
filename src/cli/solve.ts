import type { CutTable } from '../export/cut-table.ts';
import { eachJob, type ReadingOptions } from './each-job.ts';
import type { Io } from './io.ts';
import { type ExitCode, rounded } from './terminal.ts';

/** `kerfwright solve`: the cut table of each job, for reading or as JSON (mm, degrees, mm^2 whatever the job's unit). */
export async function solveCommand(io: Io, args: readonly string[], options: ReadingOptions): Promise<ExitCode> {
  const { cutTable } = await import('../export/cut-table.ts');
  const { cutTableText } = await import('./solve-text.ts');
  return eachJob(io, {
    args,
    options,
    reader: {
      format: 'kerfwright-solve',
      text: ({ solution }) => (solution ? cutTableText(cutTable(solution)) : ''),
      json: ({ solution }) => (solution ? tableJson(cutTable(solution)) : {}),
    },
  });
}

const tableJson = ({ job, units, ...rows }: CutTable): object =>
  JSON.parse(
    JSON.stringify({ job, units, ...rows }, (_, value) => (typeof value === 'number' ? rounded(value) : value)),
  );
