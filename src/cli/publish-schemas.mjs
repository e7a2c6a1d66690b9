// Writes the JSON Schemas of everything the program reads and writes into dist/schemas, for the package. Runs after tsc.
import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';

const dist = join(import.meta.dirname, '..', '..', 'dist');
const { SCHEMAS } = await import('../../dist/cli/schema.js');
const { jsonText } = await import('../../dist/cli/terminal.js');
mkdirSync(join(dist, 'schemas'), { recursive: true });
for (const [name, schema] of Object.entries(SCHEMAS)) {
  writeFileSync(join(dist, 'schemas', `${name}.schema.json`), jsonText(await schema()));
}
