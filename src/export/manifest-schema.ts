import { PROBLEM_CODES } from '../job/problem.ts';
import type { JoinedProof, PartProof } from '../proof/facts.ts';
import {
  area,
  count,
  DRAFT,
  fields,
  gap,
  hash,
  type JsonSchema,
  list,
  mm,
  names,
  oneOf,
  orNull,
  size,
  text,
  whole,
  yes,
} from './json-schema.ts';
import { MANIFEST_FORMAT, MANIFEST_VERSION } from './manifest.ts';

/** JSON Schema (draft 2020-12) of a job folder's `manifest.json`. */
export const manifestSchema = (): JsonSchema => ({
  $schema: DRAFT,
  title: 'What stands in a job folder, what it was made from and what was measured on it',
  ...fields({
    format: { const: MANIFEST_FORMAT },
    version: { const: MANIFEST_VERSION },
    madeBy: text('name and version of the program'),
    program: hash("SHA-256 of the program's own code"),
    job: text('name of the job'),
    input: fields({
      sha256: hash('SHA-256 of the job text and the values put over it'),
      sets: names('path=value texts put over the job'),
    }),
    settings: fields(
      { formats: names('file formats'), plate: yes('whether all parts were laid out too'), only: names('patterns') },
      { sourceDateEpoch: whole('seconds since 1970 that files are dated with') },
    ),
    warnings: list(warning(), 'what the job was warned of'),
    files: list(file(), 'files by name'),
    tools: list(tool(), 'tools by name'),
  }),
  $defs: { proof: proofSchema() },
});

/** What every account of a problem has. */
export const problemFields = () => ({
  code: oneOf('which problem', Object.keys(PROBLEM_CODES)),
  severity: oneOf('an error stops the job', ['error', 'warning']),
  path: {
    type: 'array',
    items: { type: ['string', 'integer'] },
    description: 'keys that lead to the value in the job',
  } satisfies JsonSchema,
  message: text('what is wrong, with the number and its unit'),
});

const warning = (): JsonSchema =>
  fields(problemFields(), {
    at: fields(
      { line: count('of the file, from 1'), col: count('from 1') },
      { width: count('columns that the value takes') },
    ),
    hint: text('what cures it'),
    measured: { type: 'number', description: 'what was found' },
    limit: { type: 'number', description: 'what it is held against' },
  });

const file = (): JsonSchema =>
  fields(
    {
      name: text('of the file'),
      format: text('of the file'),
      sha256: hash('SHA-256 of its bytes'),
      bytes: whole('how many'),
      parts: names('printed parts in it'),
    },
    { tool: text('the tool it is of'), revision: text('of that tool') },
  );

const tool = (): JsonSchema =>
  fields(
    {
      name: text('of the tool'),
      kind: text('of tool'),
      title: text('of the tool'),
      for: text('what it is for'),
      revision: text('mark that is on the part'),
      proofs: list({ $ref: '#/$defs/proof' }, 'what was measured on each part'),
    },
    {
      madeFrom: hash('SHA-256 over everything it depends on'),
      shape: hash('SHA-256 over the tool as it was shaped'),
      dimensions: list(
        fields(
          { label: text('what is measured'), value: numberOrText('how much') },
          { unit: oneOf('of a number', ['mm', 'deg']) },
        ),
        'numbers it is known by',
      ),
      joined: joinedSchema(),
    },
  );

export const numberOrText = (description: string): JsonSchema => ({ type: ['number', 'string'], description });

/** Numbers measured on the bytes of one part. */
export const proofSchema = (): JsonSchema => {
  const inPlace = inPlaceNumbers();
  return fields(
    {
      part: text('name of the part'),
      triangles: count('of the mesh'),
      vertices: count('of the mesh'),
      closed: yes('whether the mesh is a closed surface'),
      shells: count('separate bodies'),
      volume: { type: 'number', exclusiveMinimum: 0, description: 'of plastic, solid, mm^3' },
      volumeDifference: {
        type: 'number',
        minimum: 0,
        description: 'largest between the files and what was built, mm^3',
      },
      fileDifference: gap('largest distance of a corner in the STL from the same in the 3MF'),
      size: {
        type: 'array',
        items: size('along one side'),
        minItems: 3,
        maxItems: 3,
        description: 'on the bed: x, y and height, mm',
      },
      bedArea: area('that lies on the bed'),
      thinnestWall: gap('found'),
      overhangArea: area('that overhangs by more than 45 degrees'),
      widestOverhang: gap('of them'),
    } satisfies ProofKeys<'must'>,
    {
      ...inPlace,
      skinDeviation: gap("largest distance of a stand-in's outside and ends from the tube's"),
      skinCover: share('least share of that outside that was found'),
    } satisfies ProofKeys<'may'>,
  );
};

/** Every number of a proof is in its schema: the compiler misses one that is not. */
type ProofKeys<K extends 'must' | 'may'> = {
  readonly [P in keyof Required<PartProof> as undefined extends PartProof[P]
    ? K extends 'may'
      ? P
      : never
    : K extends 'must'
      ? P
      : never]: JsonSchema;
};

const share = (description: string): JsonSchema => ({ type: 'number', minimum: 0, maximum: 1, description });

const inPlaceNumbers = () => ({
  overlap: {
    type: 'number',
    minimum: 0,
    description: 'with the tubes in place and on their way in, mm^3',
  } satisfies JsonSchema,
  clearance: fields({
    least: mm('anywhere round the tube'),
    most: mm('in the fitted bore'),
    cover: share("share of the tube's outline that is held"),
  }),
  edgeDeviation: gap('largest distance of the working edge from the solved curve'),
  edgeCover: share('share of the turn it was found on'),
  slotDeviation: gap("largest distance of the slot's faces from where they should be"),
  slotWidth: size('measured'),
  keptSideOverlap: {
    type: 'number',
    minimum: 0,
    description: "of the kept tube with the blade's sweep, mm^3",
  } satisfies JsonSchema,
  datumDeviation: gap('largest distance of the datum face from its plane'),
  faceDeviation: gap('largest distance of a face that is laid against something from its plane'),
  boreDeviation: gap('largest distance of a hole from its axis and radius'),
  seamDistance: gap('least distance from any seam'),
});

/** What was measured on all parts of a tool at once, as they stand together in use. */
export const joinedSchema = (): JsonSchema =>
  fields({ partsOverlap: { type: 'number', minimum: 0, description: 'that parts share where they stand, mm^3' } }, {
    ...inPlaceNumbers(),
    keyPlay: gap('farthest any two keyed parts move against each other'),
  } satisfies Readonly<Record<Exclude<keyof JoinedProof, 'partsOverlap'>, JsonSchema>>);

/** A problem as `--json` tells it, always with the same keys. */
export const toldProblem = (): JsonSchema => {
  const known = problemFields();
  return fields({
    ...known,
    line: orNull(count('of the file, from 1')),
    col: orNull(count('from 1')),
    hint: orNull(text('what cures it')),
    measured: orNull({ type: 'number', description: 'what was found' }),
    limit: orNull({ type: 'number', description: 'what it is held against' }),
  });
};
