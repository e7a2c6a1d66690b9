import type { SetNote } from './locate.ts';
import type { JobPath, Problem } from './problem.ts';
import { readYaml } from './read.ts';
import { nameHint } from './suggest.ts';
import { fieldLabel, quoted } from './wording.ts';

export interface Overlaid {
  readonly data: unknown;
  /** Sets that were put over the file, in order. */
  readonly sets: readonly SetNote[];
  /** Paths that the file did not have: an unknown field there is the fault of the set. */
  readonly added: readonly JobPath[];
  readonly problems: readonly Problem[];
}

/**
 * Puts `path=value` texts over the data of a job. The path is written with points, list items counted from 0
 * (`members.leg.run.1.straight=120`); the value is read as YAML. What a path passes through must stand in the job.
 */
export function applySets(data: unknown, sets: readonly string[]): Overlaid {
  let current = data;
  const notes: SetNote[] = [];
  const added: JobPath[] = [];
  const problems: Problem[] = [];
  for (const text of sets) {
    const result = applyOne(current, text);
    problems.push(...result.problems);
    if (!result.note) continue;
    current = result.data;
    notes.push(result.note);
    if (result.added) added.push(result.note.path);
  }
  return { data: current, sets: notes, added, problems };
}

export interface Varied {
  readonly data: unknown;
  /** What the variant put over the job: where it went, and where in the file it is written. */
  readonly notes: readonly VariantNote[];
  readonly problems: readonly Problem[];
}

export interface VariantNote {
  readonly path: JobPath;
  readonly from: JobPath;
}

/** What no variant may change: the names it is known by, and the table it stands in. */
const NOT_VARIED: readonly string[] = ['job', 'variants', 'units'];

/** Puts the values of one variant over the data of a job; paths as those of --set. */
export function applyVariant(data: unknown, variant: string): Varied {
  const table = isFields(data) && isFields(data.variants) ? data.variants[variant] : undefined;
  let current = data;
  const notes: VariantNote[] = [];
  const problems: Problem[] = [];
  for (const [text, value] of isFields(table) ? Object.entries(table) : []) {
    const from = ['variants', variant, text];
    const steps = text.split('.');
    const found = NOT_VARIED.includes(steps[0]!)
      ? { message: `${quoted(steps[0]!)} is the same for all variants`, hint: 'give the variant a name of its own' }
      : resolve(current, steps);
    if ('hint' in found) {
      const message = `variant ${quoted(variant)}: ${found.message}`;
      problems.push({ code: 'set/path', severity: 'error', path: from, message, hint: found.hint });
      continue;
    }
    current = replaced(current, found.path, value);
    notes.push({ path: found.path, from });
  }
  return { data: current, notes, problems };
}

interface One {
  readonly data?: unknown;
  readonly note?: SetNote;
  readonly added?: boolean;
  readonly problems: readonly Problem[];
}

const bad = (message: string, hint: string): One => ({
  problems: [{ code: 'set/path', severity: 'error', path: [], message, hint }],
});

function applyOne(data: unknown, text: string): One {
  const equals = text.indexOf('=');
  if (equals <= 0) return bad(`--set ${quoted(text)} has no path=value`, 'write it like --set sections.leg.od=2.5in');
  const steps = text.slice(0, equals).trim().split('.');
  const read = readYaml(text.slice(equals + 1));
  const first = read.problems[0];
  if (first) {
    const { at: _, ...rest } = first;
    return { problems: [{ ...rest, path: [], message: `--set ${quoted(text)}: ${first.message}` }] };
  }
  const found = resolve(data, steps);
  if ('hint' in found) return bad(`--set ${quoted(text.slice(0, equals))}: ${found.message}`, found.hint);
  return {
    data: replaced(data, found.path, read.data),
    note: { path: found.path, text },
    added: found.added,
    problems: [],
  };
}

type Resolved =
  | { readonly path: JobPath; readonly added: boolean }
  | { readonly message: string; readonly hint: string };

/** Follows the steps through the data; the last may be a field that is not there yet, except a new name for a part. */
function resolve(data: unknown, steps: readonly string[]): Resolved {
  const path: (string | number)[] = [];
  let node = data;
  let added = false;
  for (const [i, step] of steps.entries()) {
    if (Array.isArray(node)) {
      const index = /^\d{1,6}$/.test(step) ? Number(step) : -1;
      if (index < 0 || index >= node.length) {
        const range = node.length === 0 ? 'is empty' : `has items 0 to ${node.length - 1}`;
        return {
          message: `${fieldLabel(path)} ${range}; there is no item ${quoted(step)}`,
          hint: 'items of a list are counted from 0',
        };
      }
      path.push(index);
      node = node[index];
      continue;
    }
    const fields = isFields(node) ? node : undefined;
    if (fields && Object.hasOwn(fields, step)) node = fields[step];
    else if (mayAdd(path, { step, last: i === steps.length - 1, fields: fields !== undefined || node === null })) {
      node = undefined;
      added = true;
    } else {
      const names = fields ? Object.keys(fields) : [];
      const where = path.length === 0 ? 'the job' : fieldLabel(path);
      const message =
        fields || node === undefined || node === null
          ? `${where} has no ${quoted(step)}`
          : `${where} is a single value, without fields`;
      return { message, hint: nameHint(step, names, 'fields there') };
    }
    path.push(step);
  }
  return { path, added };
}

const isFields = (value: unknown): value is Readonly<Record<string, unknown>> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

interface Step {
  readonly step: string;
  readonly last: boolean;
  /** The place holds a map, or nothing yet. */
  readonly fields: boolean;
}

/** Optional fields may be added at the end of a path; the maps of the shop and of measured sizes also on the way. */
function mayAdd(path: JobPath, { step, last, fields }: Step): boolean {
  if (step === '' || step === '__proto__' || step === '<<') return false;
  const inShop = path[0] === 'shop' || (path.length === 0 && step === 'shop');
  const measured = path[0] === 'sections' && (path[2] === 'measured' || (path.length === 2 && step === 'measured'));
  if (inShop || measured) return true;
  const newPart = path.length === 1 && (path[0] === 'sections' || path[0] === 'members');
  return last && fields && !newPart;
}

function replaced(node: unknown, path: JobPath, value: unknown): unknown {
  const [step, ...rest] = path;
  if (step === undefined) return value;
  if (Array.isArray(node)) return node.map((item, i) => (i === step ? replaced(item, rest, value) : item));
  const copy: Record<string, unknown> = Object.assign(Object.create(null), isFields(node) ? node : {});
  copy[String(step)] = replaced(copy[String(step)], rest, value);
  return copy;
}
