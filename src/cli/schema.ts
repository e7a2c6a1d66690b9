import type { Io } from './io.ts';
import { EXIT, type ExitCode, jsonText } from './terminal.ts';

/** Documents that have a JSON Schema (draft 2020-12), and where it is written. */
export const SCHEMAS = {
  job: async () => (await import('../job/schema.ts')).jobJsonSchema(),
  'cut-list': async () => (await import('../export/sheet-cut-list-schema.ts')).cutListSchema(),
  manifest: async () => (await import('../export/manifest-schema.ts')).manifestSchema(),
  build: async () => (await import('./result-schemas.ts')).buildSchema(),
  watch: async () => (await import('./result-schemas.ts')).watchSchema(),
  check: async () => (await import('./result-schemas.ts')).checkSchema(),
  solve: async () => (await import('./result-schemas.ts')).solveSchema(),
} as const;
export type SchemaName = keyof typeof SCHEMAS;
export const SCHEMA_NAMES = Object.keys(SCHEMAS) as readonly SchemaName[];

/** `kerfwright schema`: the JSON Schema of a job file, for editors, or of what the program writes, for scripts. */
export async function schemaCommand(io: Io, name: SchemaName): Promise<ExitCode> {
  io.stdout.write(jsonText(await SCHEMAS[name]()));
  return EXIT.made;
}
