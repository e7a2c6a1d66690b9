import type * as z from 'zod';
import { issueProblems } from './issues.ts';
import type { Job, JointSpec, MemberSpec, SectionSpec, Shop, ToolSpec } from './job.ts';
import { jointSpec } from './joint-spec.ts';
import { keepOutSpec } from './keep-out-spec.ts';
import { COUNTS, FILE_LIMITS } from './limits.ts';
import { byPlace, type JobSource, locateProblem } from './locate.ts';
import { memberSpec, type SectionsByName } from './member-spec.ts';
import { openingSpec } from './opening-spec.ts';
import { plateSpec } from './plate-spec.ts';
import { hasErrors, type JobPath, type Outcome, type Problem } from './problem.ts';
import { readYaml } from './read.ts';
import { referenceProblems } from './references.ts';
import { schemasOf } from './schema.ts';
import { sectionSpec } from './section-spec.ts';
import { applySets, applyVariant, type Overlaid, type Varied } from './sets.ts';
import { shopSpec } from './shop-spec.ts';
import type { StockSpec } from './stock.ts';
import { stockSpec } from './stock-spec.ts';
import { toolSpec } from './tool-spec.ts';
import type { Units } from './units.ts';

export interface LoadOptions {
  /** `path=value` texts put over the file. */
  readonly sets?: readonly string[];
  /** Which of the job's variants: its values are put over the file, before the sets, and its name behind the job's. */
  readonly variant?: string;
  /** Kept with the source, for whoever shows problems. */
  readonly fileName?: string;
}

/**
 * Reads a job file: YAML 1.2 text to a job with every default filled in, lengths in mm. All problems of the file are told
 * at once, with line and column, in the order of the file; there is a job only when none of them is an error.
 */
export function loadJob(text: string, options: LoadOptions = {}): Outcome<Job> & { readonly source?: JobSource } {
  const read = readYaml(text);
  if (!read.source) return { problems: inOrder(read.problems) };
  if (!isFields(read.data))
    return { source: read.source, problems: inOrder([...read.problems, notAMap(read.data, read.source)]) };
  const { fileName, variant } = options;
  const varied =
    variant === undefined ? { data: read.data, notes: [], problems: [] } : applyVariant(read.data, variant);
  const overlaid = applySets(varied.data, options.sets ?? []);
  const source: JobSource = {
    ...read.source,
    sets: overlaid.sets,
    varied: varied.notes.map(({ path }) => path),
    ...(fileName === undefined ? {} : { fileName }),
  };
  const { job: base, problems } = checkJob(isFields(overlaid.data) ? overlaid.data : read.data);
  const job = base && variant !== undefined ? { ...base, name: `${base.name}-${variant}` } : base;
  // Finding a place takes a walk through the file: of a flood of problems only the first are looked up.
  const told = problems
    .slice(0, 5 * FILE_LIMITS.problems)
    .map((problem) => blameVariant(blameSet(problem, overlaid), varied, overlaid))
    .filter((problem) => !isTold(problem, read.problems));
  const all = inOrder([
    ...read.problems,
    ...varied.problems.map((problem) => locateProblem(problem, source)),
    ...overlaid.problems,
    ...told.map((problem) => locateProblem(problem, source)),
  ]);
  if (!job || hasErrors(all)) return { source, problems: all };
  return { source: { ...source, units: job.units }, problems: all, value: job };
}

type Fields = Readonly<Record<string, unknown>>;

const isFields = (value: unknown): value is Fields =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function notAMap(data: unknown, source: JobSource): Problem {
  const empty = data === null;
  const message = empty ? 'the file is empty' : 'the top of the file is not a map of fields';
  const hint = empty ? 'kerfwright init writes a job to begin with' : 'begin with job:, sections: and members:';
  return locateProblem({ code: 'yaml/not-a-map', severity: 'error', path: [], message, hint }, source);
}

/** A field that only --set wrote and no job has: the set is wrong, not the file. */
function blameSet(problem: Problem, { added }: Overlaid): Problem {
  const bySet = added.some(
    (path) => path.length === problem.path.length && path.every((step, i) => step === problem.path[i]),
  );
  return bySet && problem.code === 'field/unknown' ? { ...problem, code: 'set/path' } : problem;
}

/** A value that a variant put over the file is wrong where the variant writes it, unless a set went over it again. */
function blameVariant(problem: Problem, { notes }: Varied, { sets }: Overlaid): Problem {
  const covers = ({ path }: { readonly path: JobPath }): boolean => path.every((step, i) => problem.path[i] === step);
  const note = notes.findLast(covers);
  if (!note || sets.some(covers)) return problem;
  return { ...problem, path: [...note.from, ...problem.path.slice(note.path.length)] };
}

/** The reader told already what is wrong at a place; beside a merge key, what is missing is a consequence. */
const isTold = (problem: Problem, read: readonly Problem[]): boolean =>
  read.some(({ path }) => {
    const place = path.at(-1) === '<<' && problem.code === 'field/missing' ? path.length - 1 : path.length;
    return (
      path.length > 0 &&
      path.length === problem.path.length &&
      path.slice(0, place).every((step, i) => step === problem.path[i])
    );
  });

function inOrder(problems: readonly Problem[]): Problem[] {
  const sorted = [...problems].sort(byPlace);
  if (sorted.length <= FILE_LIMITS.problems) return sorted;
  const rest: Problem = {
    code: 'yaml/too-large',
    severity: 'error',
    path: [],
    message: `more than ${FILE_LIMITS.problems} problems; the others are not listed`,
    hint: 'mend the ones above first',
  };
  return [...sorted.slice(0, FILE_LIMITS.problems), rest];
}

type Schemas = ReturnType<typeof schemasOf>;

/** All parts of the job, each by itself, then the rules between them. */
function checkJob(fields: Fields): { job?: Job; problems: Problem[] } {
  const problems: Problem[] = [];
  const keep = <T extends { readonly problems: readonly Problem[] }>(result: T): T => {
    problems.push(...result.problems);
    return result;
  };
  const units: Units = typeof fields.units === 'string' && /^\s*(in|")/i.test(fields.units) ? 'in' : 'mm';
  const schemas = schemasOf(units);
  const top = keep(check(schemas.top, withoutEmpty(fields), []));
  const shop = keep(checkShop(fields.shop ?? {}, { schemas, units })).shop;
  const sections = keep(checkSections(entriesOf(fields.sections, COUNTS.sections), { schemas, units }));
  const members = keep(
    checkMembers(entriesOf(fields.members, COUNTS.members), {
      schemas,
      units,
      sections: { specs: sections.specs, names: Object.keys(isFields(fields.sections) ? fields.sections : {}) },
    }),
  );
  const joints = keep(
    checkItems(fields.joints, { schema: schemas.joint, name: 'joints', spec: jointSpec, most: COUNTS.joints }),
  );
  const tools = keep(
    checkItems(fields.tools, { schema: schemas.tool, name: 'tools', spec: toolSpec, most: COUNTS.tools }),
  );
  const stock = keep(
    checkStock(entriesOf(fields.stock, COUNTS.sections), { schemas, units, sections: sections.specs }),
  ).specs;
  const keepOut = keep(
    checkNamed(entriesOf(fields['keep-out'], COUNTS.keepOuts), {
      schema: schemas.keepOut,
      table: 'keep-out',
      spec: keepOutSpec,
    }),
  ).specs;
  const plates = keep(
    checkNamed(entriesOf(fields.plates, COUNTS.plates), { schema: schemas.plate, table: 'plates', spec: plateSpec }),
  );
  const openings = keep(
    checkNamed(entriesOf(fields.openings, COUNTS.openings), {
      schema: schemas.opening,
      table: 'openings',
      spec: openingSpec,
    }),
  ).specs;
  problems.push(...sizeProblems(fields));
  problems.push(
    ...referenceProblems({
      sections: Object.keys(isFields(fields.sections) ? fields.sections : {}),
      members: Object.keys(isFields(fields.members) ? fields.members : {}),
      saws: shop?.saws.map((saw) => saw.name),
      memberSpecs: members.specs,
      joints: joints.specs,
      tools: tools.specs,
      plates: plates.specs,
      openings,
      stock,
    }),
  );
  if (!top.value || !shop || hasErrors(problems)) return { problems };
  const { job: name, about, clearance, heat } = top.value;
  const job: Job = {
    name,
    units,
    shop,
    sections: sections.specs,
    members: members.specs,
    joints: joints.specs,
    tools: Array.isArray(fields.tools) ? tools.specs : 'auto',
    ...(Array.isArray(fields.tools) && fields.tools.includes('auto') ? { restAuto: true } : {}),
    plates: plates.specs,
    ...(about === undefined ? {} : { about }),
    ...(keepOut.length > 0 ? { keepOut } : {}),
    ...(openings.length > 0 ? { openings } : {}),
    ...(stock.length > 0 ? { stock } : {}),
    ...(clearance === undefined ? {} : { clearance }),
    ...(heat === undefined ? {} : { heatRise: heat.rise }),
  };
  return { job, problems };
}

interface Checked<T> {
  readonly value?: T;
  readonly problems: readonly Problem[];
}

function check<S extends z.ZodType>(schema: S, data: unknown, path: JobPath): Checked<z.output<S>> {
  // The input is wanted in the report; compiling each schema would take longer than the few values it sees.
  const result = schema.safeParse(data, { reportInput: true, jitless: true });
  return result.success ? { value: result.data, problems: [] } : { problems: issueProblems(result.error.issues, path) };
}

/** A heading with nothing under it is as good as none where the field may be left out. */
const withoutEmpty = (fields: Fields): Fields =>
  Object.fromEntries(
    Object.entries(fields).filter(
      ([key, value]) =>
        value !== null ||
        !['about', 'shop', 'joints', 'tools', 'plates', 'keep-out', 'openings', 'stock'].includes(key),
    ),
  );

interface Context {
  readonly schemas: Schemas;
  readonly units: Units;
}

function checkShop(data: unknown, { schemas, units }: Context): { shop?: Shop; problems: readonly Problem[] } {
  const { value, problems } = check(schemas.shop, data, ['shop']);
  return value ? shopSpec(value, units) : { problems };
}

type Entries = readonly (readonly [string, unknown])[];

const entriesOf = (value: unknown, most: number): Entries =>
  isFields(value) ? Object.entries(value).slice(0, most) : [];

function checkSections(entries: Entries, { schemas, units }: Context): { specs: SectionSpec[]; problems: Problem[] } {
  const specs: SectionSpec[] = [];
  const problems: Problem[] = [];
  for (const [name, written] of entries) {
    const raw = check(schemas.section, written, ['sections', name]);
    problems.push(...raw.problems);
    if (!raw.value) continue;
    const section = sectionSpec({ name, raw: raw.value, units, written });
    problems.push(...section.problems);
    if (!hasErrors(section.problems)) specs.push(section.spec);
  }
  return { specs, problems };
}

function checkMembers(
  entries: Entries,
  context: Context & { sections: SectionsByName },
): { specs: MemberSpec[]; problems: Problem[] } {
  const specs: MemberSpec[] = [];
  const problems: Problem[] = [];
  for (const [name, written] of entries) {
    const raw = check(context.schemas.member, written, ['members', name]);
    problems.push(...raw.problems);
    if (!raw.value) continue;
    const { units, sections } = context;
    const section = sections.specs.find((s) => s.name === raw.value?.section)?.nominal;
    const member = memberSpec({ name, raw: raw.value, units, section, sections });
    problems.push(...member.problems);
    if (member.spec) specs.push(member.spec);
  }
  return { specs, problems };
}

function checkStock(
  entries: Entries,
  { schemas, sections }: Context & { sections: readonly SectionSpec[] },
): { specs: StockSpec[]; problems: Problem[] } {
  const specs: StockSpec[] = [];
  const problems: Problem[] = [];
  for (const [name, written] of entries) {
    const raw = check(schemas.stock, written, ['stock', name]);
    problems.push(...raw.problems);
    if (!raw.value) continue;
    const section = sections.find((s) => s.name === name)?.nominal;
    const stock = stockSpec(name, { raw: raw.value, section });
    problems.push(...stock.problems);
    specs.push(stock.spec);
  }
  return { specs, problems };
}

interface NamedParts<S extends z.ZodType, T> {
  readonly schema: S;
  /** The table they stand in. */
  readonly table: string;
  readonly spec: (name: string, raw: z.output<S>) => T | undefined;
}

function checkNamed<S extends z.ZodType, T>(
  entries: Entries,
  { schema, table, spec }: NamedParts<S, T>,
): { specs: T[]; problems: Problem[] } {
  const checked = entries.map(([name, written]) => ({ name, raw: check(schema, written, [table, name]) }));
  return {
    specs: checked.flatMap(
      ({ name, raw }) => (raw.problems.length === 0 ? spec(name, raw.value as z.output<S>) : undefined) ?? [],
    ),
    problems: checked.flatMap(({ raw }) => raw.problems),
  };
}

interface Items<S extends z.ZodType, T> {
  readonly schema: S;
  readonly name: string;
  readonly spec: (raw: z.output<S>, index: number) => T | undefined;
  readonly most: number;
}

function checkItems<S extends z.ZodType, T extends JointSpec | ToolSpec>(
  data: unknown,
  { schema, name, spec, most }: Items<S, T>,
): { specs: T[]; problems: Problem[] } {
  const specs: T[] = [];
  const problems: Problem[] = [];
  for (const [i, item] of (Array.isArray(data) ? data.slice(0, most) : []).entries()) {
    if (name === 'tools' && item === 'auto') continue;
    const raw = check(schema, item, [name, i]);
    problems.push(...raw.problems);
    const made = raw.problems.length === 0 ? spec(raw.value as z.output<S>, i) : undefined;
    if (made) specs.push(made);
  }
  return { specs, problems };
}

/** Parts by name: how many there are is not a rule of the schema's maps. */
function sizeProblems(fields: Fields): Problem[] {
  const saws = isFields(fields.shop) ? fields.shop.saws : undefined;
  const parts = [
    { path: ['sections'], value: fields.sections, limit: COUNTS.sections },
    { path: ['members'], value: fields.members, limit: COUNTS.members },
    { path: ['shop', 'saws'], value: saws, limit: COUNTS.saws },
    { path: ['plates'], value: fields.plates, limit: COUNTS.plates },
    { path: ['variants'], value: fields.variants, limit: COUNTS.variants },
    { path: ['keep-out'], value: fields['keep-out'], limit: COUNTS.keepOuts },
    { path: ['openings'], value: fields.openings, limit: COUNTS.openings },
    { path: ['stock'], value: fields.stock, limit: COUNTS.sections },
  ];
  return parts.flatMap(({ path, value, limit }): Problem[] => {
    if (!isFields(value)) return [];
    const measured = Object.keys(value).length;
    const name = path.at(-1);
    if (measured === 0) {
      const hint = 'add at least one, by name';
      return [{ code: 'field/missing', severity: 'error', path, message: `${name} is empty`, hint }];
    }
    if (measured <= limit) return [];
    const message = `the job has ${measured} ${name}; it takes at most ${limit}`;
    return [
      { code: 'yaml/too-large', severity: 'error', path, message, hint: 'split it into several jobs', measured, limit },
    ];
  });
}
