import { visible } from '../job/render.ts';
import { type Io, systemCode } from './io.ts';
import { EXIT, type ExitCode } from './terminal.ts';

/**
 * Tells a bug, or a machine that failed where nobody expected it, on stderr: what is known about it and where to look.
 * Nothing of a job is half done then, since files come last and are put back when they fail.
 */
export function tellFault(io: Io, thrown: unknown, label?: string): ExitCode {
  const message = thrown instanceof Error ? thrown.message : String(thrown);
  const internal = systemCode(thrown) === undefined && !message.startsWith('internal:') ? 'internal: ' : '';
  const about = label === undefined ? '' : `${visible(label)}: `;
  io.stderr.write(`kerfwright: ${about}${internal}${visible(message)}\n`);
  if (io.env.KERFWRIGHT_TRACE && thrown instanceof Error) io.stderr.write(`${thrown.stack}\n`);
  io.stderr.write('this is a fault of kerfwright, not of your job; KERFWRIGHT_TRACE=1 shows where it happened\n');
  return EXIT.internal;
}
