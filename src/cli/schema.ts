import { jobJsonSchema } from '../job/schema.ts';
import type { Io } from './io.ts';
import { EXIT, type ExitCode, jsonText } from './terminal.ts';

/** `kerfwright schema`: the JSON Schema of a job file, for editors. */
export function schemaCommand(io: Io): ExitCode {
  io.stdout.write(jsonText(jobJsonSchema()));
  return EXIT.made;
}
