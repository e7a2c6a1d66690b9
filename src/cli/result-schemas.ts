import {
  area,
  count,
  DRAFT,
  deg,
  fields,
  gap,
  type JsonSchema,
  list,
  mm,
  names,
  oneOf,
  orNull,
  type Properties,
  ref,
  size,
  text,
  whole,
  yes,
} from '../export/json-schema.ts';
import { joinedSchema, numberOrText, proofSchema, toldProblem } from '../export/manifest-schema.ts';
import { cutListSchema } from '../export/sheet-cut-list-schema.ts';

/** What any command tells of a job file, and what only of one that got so far. */
interface Told {
  readonly title: string;
  readonly format: string;
  readonly head?: Properties;
  readonly job: Properties;
  /** Keys that come together or not at all, beside `job`. */
  readonly together: readonly string[];
  readonly $defs: Properties;
}

const toldAlways = (): Properties => ({
  file: text('as it was given'),
  ok: yes('whether nothing is wrong with it'),
  problems: list({ $ref: '#/$defs/problem' }, 'what is wrong, or was warned of'),
});

const toldSometimes = (): Properties => ({
  variant: text("which of the file's variants"),
  failure: text('why there was no job to read'),
});

/** A document of `--json`: one object for each job file, in the order they were given. */
const document = ({ title, format, head = {}, job, together, $defs }: Told): JsonSchema => ({
  $schema: DRAFT,
  title,
  ...fields({
    format: { const: format },
    version: { const: 1 },
    ...head,
    jobs: list(
      {
        ...fields(toldAlways(), { ...toldSometimes(), ...job }),
        dependentRequired: { job: together },
      },
      'job files',
    ),
  }),
  $defs: { problem: toldProblem(), ...$defs },
});

const cutListParts = (): { readonly rows: Properties; readonly defs: Properties } => {
  const { properties, $defs } = cutListSchema() as {
    readonly properties: Properties;
    readonly $defs: Properties;
  };
  const { format: _format, version: _version, madeBy: _madeBy, ...rows } = properties;
  return { rows, defs: $defs };
};

/** JSON Schema of what `kerfwright solve --json` prints. */
export function solveSchema(): JsonSchema {
  const { rows, defs } = cutListParts();
  const { job: _job, ...others } = rows;
  return document({
    title: 'Solved jobs: lengths mm, angles degrees, areas mm^2',
    format: 'kerfwright-solve',
    job: rows,
    together: Object.keys(others),
    $defs: defs,
  });
}

/** JSON Schema of what `kerfwright check --json` prints. */
export function checkSchema(): JsonSchema {
  const { rows, defs } = cutListParts();
  return document({
    title: 'Checked jobs: problems, settings, layout and tools; lengths mm, angles degrees',
    format: 'kerfwright-check',
    job: {
      job: text('name of the job'),
      units: rows.units!,
      shop: list(shopRow(), 'every setting of the shop'),
      members: list(member(), 'in the order of the file'),
      ends: list(end(), 'cut ends'),
      sections: list(
        fields({
          name: text('of the section'),
          section: ref('section'),
          material: orNull(text('by the name we know it by, else as given')),
          kgPerMeter: orNull({ type: 'number', description: 'kg of a meter' }),
          boreArea: area('of the bore'),
          hydraulicDiameter: mm('four times the area of the bore over its perimeter'),
          equivalentDiameter: orNull(mm('of a round duct of the same friction')),
        }),
        'in the order of the file',
      ),
      flow: list(
        fields({
          joint: text('the merge'),
          legArea: area('bores of the legs together'),
          trunkArea: area('bore of the trunk'),
          ratio: { type: 'number', description: 'trunk over legs' },
        }),
        'flow areas of merges',
      ),
      mass: fields({
        total: { type: 'number', description: 'kg of all pieces whose density is known' },
        unknown: list(text('section'), 'sections whose density is not known'),
      }),
      heat: list(
        fields({ member: text('that grows'), growth: mm('by the rise in temperature that the job names') }),
        'growth with heat, where the job asks',
      ),
      stock: list(
        fields({
          section: text('of the stock'),
          lengths: list(size('bought length'), 'to buy, one entry for each'),
          bends: list(deg('of a bought bend'), 'to buy, one entry for each'),
        }),
        'what the job takes of each section whose stock it names',
      ),
      keepOut: list(
        fields({
          name: text('of the keep-out'),
          wanted: mm('clearance asked for'),
          nearest: text('member that comes nearest'),
          distance: mm('how near; less than 0 inside'),
        }),
        'rooms to be left free',
      ),
      tools: list(checkedTool(), 'that would be made'),
    },
    together: ['units', 'shop'],
    $defs: { section: defs.section!, solving: defs.solving! },
  });
}

const shopRow = (): JsonSchema =>
  fields(
    {
      field: text('as the file names it'),
      value: {
        type: ['number', 'string', 'boolean', 'array'],
        items: { type: 'number' },
        description: 'of the setting',
      },
      from: oneOf('where the value comes from', ['file', 'set', 'default']),
    },
    { unit: { const: 'mm' } },
  );

const member = (): JsonSchema =>
  fields(
    {
      name: text('of the member'),
      mirrorOf: orNull(text('the member that it mirrors')),
      section: { $ref: '#/$defs/section' },
      bends: whole('bends'),
      straights: whole('straights'),
      tapers: whole('tapers'),
      centerline: gap('length, work point to work point'),
      solved: list(
        fields({
          what: text('was solved'),
          value: { type: 'number', description: 'mm or degrees' },
          unit: oneOf('of the value', ['mm', 'deg']),
        }),
        'values that the job left to solve',
      ),
    },
    { solving: { $ref: '#/$defs/solving' } },
  );

const end = (): JsonSchema =>
  fields({
    end: text('member.start or member.end'),
    joint: text('name of the joint'),
    kind: text('of joint'),
    cut: oneOf('by a saw or coped', ['flat', 'curved']),
    miterDeg: orNull({ type: 'number', description: 'from square, degrees; of a flat cut' }),
    bend: orNull(count('that the cut lies in, from 1')),
  });

const checkedTool = (): JsonSchema =>
  fields({
    name: text('of the tool'),
    kind: text('of tool'),
    for: text('what it is for'),
    saw: orNull(text('name of the saw')),
    revision: text('mark that is on the part'),
    parts: names('printed parts'),
  });

/** JSON Schema of what `kerfwright build --json` prints. */
export const buildSchema = (): JsonSchema =>
  document({
    title: 'Built jobs: files, what to print again, what was measured; lengths mm',
    format: 'kerfwright-build',
    head: { dryRun: yes('whether nothing was written') },
    ...builtJob(),
    $defs: { proof: proofSchema() },
  });

const builtJob = (): Pick<Told, 'job' | 'together'> => ({
  job: {
    job: text('name of the job'),
    folder: text('that its files are in'),
    written: names('files written, or with --dry-run to be written'),
    unchanged: names('files that were the same already'),
    removed: names('files of tools no longer made'),
    left: names('files no longer made, changed since and so left'),
    kept: names('tools that nothing they depend on has changed for'),
    printAgain: list(changedTool(), 'tools whose prints are out of date'),
    outdated: names('files of an older revision, not made this time'),
    tools: list(
      fields(
        {
          name: text('of the tool'),
          kind: text('of tool'),
          for: text('what it is for'),
          revision: text('mark that is on the part'),
          proofs: list({ $ref: '#/$defs/proof' }, 'what was measured on each part'),
        },
        { joined: joinedSchema() },
      ),
      'made or kept',
    ),
  },
  together: ['folder', 'written', 'unchanged', 'removed', 'left', 'kept', 'printAgain', 'outdated', 'tools'],
});

/** JSON Schema of each line that `kerfwright watch --json` prints. */
export function watchSchema(): JsonSchema {
  const { job, together } = builtJob();
  const head = { format: { const: 'kerfwright-watch' }, version: { const: 1 } };
  const event = (name: string, required: Properties, optional: Properties = {}): JsonSchema =>
    fields({ ...head, event: { const: name }, ...required }, optional);
  return {
    $schema: DRAFT,
    title: 'One event of a watch, one line; lengths mm',
    oneOf: [
      event('watching', { places: names('files, folders and patterns that are watched; everything there is built') }),
      {
        ...event('job', toldAlways(), {
          ...toldSometimes(),
          ...job,
          lastGood: text('folder in which the last good files stay'),
        }),
        dependentRequired: { job: together },
      },
      event('gone', {
        file: text('job file that went away'),
        folders: names('in which its files stay'),
      }),
      event('stopped', {}),
    ],
    $defs: { problem: toldProblem(), proof: proofSchema() },
  };
}

const changedTool = (): JsonSchema =>
  fields(
    {
      name: text('of the tool'),
      to: text('revision it has now'),
      moved: list(
        fields(
          { label: text('of the dimension'), from: numberOrText('before'), to: numberOrText('now') },
          { unit: oneOf('of numbers', ['mm', 'deg']) },
        ),
        'dimensions that changed',
      ),
    },
    { from: text('revision on the old print; none where there was none') },
  );
