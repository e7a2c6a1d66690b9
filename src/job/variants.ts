import { nameComplaint } from './names.ts';
import { readYaml } from './read.ts';

/** Names of a job's variants, in the order of the file; none when there is no table, or none that can be read. */
export function variantsOf(text: string): readonly string[] {
  const { data } = readYaml(text);
  if (typeof data !== 'object' || data === null || !('variants' in data)) return [];
  const { variants } = data;
  if (typeof variants !== 'object' || variants === null || Array.isArray(variants)) return [];
  const names = Object.keys(variants);
  // A table with a name that is none is told as the job's own problem.
  return names.every((name) => nameComplaint(name, 'part') === undefined) ? names : [];
}
