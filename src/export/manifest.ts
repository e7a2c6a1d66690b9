import { createHash } from 'node:crypto';
import { PROBLEM_CODES, type Problem } from '../job/problem.ts';
import type { JoinedProof, PartProof } from '../proof/facts.ts';

export const MANIFEST_NAME = 'manifest.json';
export const MANIFEST_FORMAT = 'kerfwright-manifest';
/** Goes up when a reader of the old shape would misread the new one. */
export const MANIFEST_VERSION = 2;

/** What stands in a job's folder, what it was made from and what was measured on it. No clock, no host, no path. */
export interface Manifest {
  readonly madeBy: string;
  /** SHA-256 of this program's own code: what another build of it made is made again. */
  readonly program: string;
  readonly job: string;
  readonly input: { readonly sha256: string; readonly sets: readonly string[] };
  readonly settings: ManifestSettings;
  /** What the job was warned of: told again when nothing has changed. */
  readonly warnings: readonly Problem[];
  readonly files: readonly ManifestFile[];
  readonly tools: readonly ManifestTool[];
}

export interface ManifestSettings {
  readonly formats: readonly string[];
  readonly plate: boolean;
  readonly only: readonly string[];
  /** Seconds since 1970 put into the files; absent when they carry no date. */
  readonly sourceDateEpoch?: number;
}

export interface ManifestFile {
  readonly name: string;
  readonly format: string;
  readonly sha256: string;
  readonly bytes: number;
  /** The tool it is of; absent for a plate of several. */
  readonly tool?: string;
  readonly revision?: string;
  /** Printed parts that are in it. */
  readonly parts: readonly string[];
}

export interface ManifestTool {
  readonly name: string;
  readonly kind: string;
  readonly title: string;
  /** What it is for, as people name it. */
  readonly for: string;
  readonly revision: string;
  /** SHA-256 over everything the tool and its files depend on; absent where it must be made anew each time. */
  readonly madeFrom?: string;
  /** SHA-256 over the tool as it was shaped: it may be the same though something it could have depended on has changed. */
  readonly shape?: string;
  /** Numbers a person knows the tool by: what moved between two revisions is told from them. */
  readonly dimensions?: readonly ManifestDimension[];
  /** Numbers measured on each part; lengths mm, areas mm^2, volumes mm^3. */
  readonly proofs: readonly PartProof[];
  /** Numbers measured on all parts together, where they stand together in use. */
  readonly joined?: JoinedProof;
}

export interface ManifestDimension {
  readonly label: string;
  readonly value: number | string;
  readonly unit?: 'mm' | 'deg';
}

/** SHA-256 of bytes or of text as UTF-8, in hexadecimal. */
export const sha256 = (data: string | Uint8Array): string => createHash('sha256').update(data).digest('hex');

/**
 * SHA-256 of a job as it was given: the text, then each --set on a line of its own, kept apart by a byte neither can hold.
 */
export const inputHash = (text: string, sets: readonly string[]): string => sha256([text, ...sets].join('\0'));

/** The manifest as UTF-8 text: keys in this order, files and tools by name, numbers to six decimals. */
export function manifestText(manifest: Manifest): string {
  const ordered = {
    format: MANIFEST_FORMAT,
    version: MANIFEST_VERSION,
    madeBy: manifest.madeBy,
    program: manifest.program,
    job: manifest.job,
    input: { sha256: manifest.input.sha256, sets: manifest.input.sets },
    settings: {
      formats: manifest.settings.formats,
      plate: manifest.settings.plate,
      only: manifest.settings.only,
      ...(manifest.settings.sourceDateEpoch === undefined
        ? {}
        : { sourceDateEpoch: manifest.settings.sourceDateEpoch }),
    },
    warnings: manifest.warnings.map(warningFields),
    files: [...manifest.files].sort(byName).map(({ name, format, sha256: hash, bytes, tool, revision, parts }) => ({
      name,
      format,
      sha256: hash,
      bytes,
      ...(tool === undefined ? {} : { tool }),
      ...(revision === undefined ? {} : { revision }),
      parts,
    })),
    tools: [...manifest.tools]
      .sort(byName)
      .map(({ name, kind, title, for: whatFor, revision, madeFrom, shape, dimensions, proofs, joined }) => ({
        name,
        kind,
        title,
        for: whatFor,
        revision,
        ...(madeFrom === undefined ? {} : { madeFrom }),
        ...(shape === undefined ? {} : { shape }),
        ...(dimensions === undefined ? {} : { dimensions }),
        proofs: proofs.map(proofNumbers),
        ...(joined === undefined ? {} : { joined: proofNumbers(joined) }),
      })),
  };
  return `${JSON.stringify(ordered, (_, value) => (typeof value === 'number' ? Math.round(value * 1e6) / 1e6 + 0 : value), 2)}\n`;
}

const warningFields = ({ code, severity, path, at, message, hint, measured, limit }: Problem): object => ({
  code,
  severity,
  path,
  ...(at ? { at: { line: at.line, col: at.col, ...(at.width === undefined ? {} : { width: at.width }) } } : {}),
  message,
  ...(hint === undefined ? {} : { hint }),
  ...(measured === undefined ? {} : { measured }),
  ...(limit === undefined ? {} : { limit }),
});

/** By code units, which no locale changes. */
const byName = (p: { readonly name: string }, q: { readonly name: string }): number =>
  p.name < q.name ? -1 : p.name > q.name ? 1 : 0;

/** Order of the numbers of a proof; any that is not named here follows by name. */
const PROOF_ORDER = [
  'part',
  'triangles',
  'vertices',
  'closed',
  'shells',
  'volume',
  'volumeDifference',
  'fileDifference',
  'size',
  'bedArea',
  'overlap',
  'clearance',
  'edgeDeviation',
  'edgeCover',
  'slotDeviation',
  'slotWidth',
  'datumDeviation',
  'faceDeviation',
  'boreDeviation',
  'skinDeviation',
  'skinCover',
  'seamDistance',
  'partsOverlap',
  'keyPlay',
  'keptSideOverlap',
  'thinnestWall',
  'overhangArea',
  'widestOverhang',
];

/** What was measured on a part or on several, always in the same order, with what was not measured left out. */
export function proofNumbers(proof: PartProof | JoinedProof): Readonly<Record<string, unknown>> {
  const named = new Map<string, unknown>(Object.entries(proof));
  const rest = [...named.keys()].filter((key) => !PROOF_ORDER.includes(key)).sort();
  const keys = [...PROOF_ORDER, ...rest].filter((key) => named.get(key) !== undefined);
  return Object.fromEntries(keys.map((key) => [key, named.get(key)]));
}

/** A manifest read back; undefined when the text is none of ours, or was changed out of shape. */
export function readManifest(text: string): Manifest | undefined {
  const found = parsed(text);
  if (!isMap(found) || found.format !== MANIFEST_FORMAT || found.version !== MANIFEST_VERSION) return undefined;
  return isManifest(found) ? found : undefined;
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

type Fields = Readonly<Record<string, unknown>>;

const isMap = (value: unknown): value is Fields => typeof value === 'object' && value !== null && !Array.isArray(value);
const isText = (value: unknown): value is string => typeof value === 'string';
const isTexts = (value: unknown): boolean => Array.isArray(value) && value.every(isText);
const isMissingOrText = (value: unknown): boolean => value === undefined || isText(value);

const isManifest = (found: Fields): found is Fields & Manifest =>
  isText(found.madeBy) &&
  isText(found.program) &&
  Array.isArray(found.warnings) &&
  found.warnings.every(isWarning) &&
  isText(found.job) &&
  isMap(found.input) &&
  isText(found.input.sha256) &&
  isTexts(found.input.sets) &&
  isMap(found.settings) &&
  isTexts(found.settings.formats) &&
  typeof found.settings.plate === 'boolean' &&
  isTexts(found.settings.only) &&
  ['number', 'undefined'].includes(typeof found.settings.sourceDateEpoch) &&
  Array.isArray(found.files) &&
  found.files.every(isFile) &&
  Array.isArray(found.tools) &&
  found.tools.every(isTool);

const isMissingOrNumber = (value: unknown): boolean => value === undefined || typeof value === 'number';

const isWarning = (warning: unknown): boolean =>
  isMap(warning) &&
  isText(warning.code) &&
  Object.hasOwn(PROBLEM_CODES, warning.code) &&
  warning.severity === 'warning' &&
  Array.isArray(warning.path) &&
  warning.path.every((step) => isText(step) || typeof step === 'number') &&
  isText(warning.message) &&
  isMissingOrText(warning.hint) &&
  isMissingOrNumber(warning.measured) &&
  isMissingOrNumber(warning.limit) &&
  (warning.at === undefined ||
    (isMap(warning.at) &&
      typeof warning.at.line === 'number' &&
      typeof warning.at.col === 'number' &&
      isMissingOrNumber(warning.at.width)));

const isFile = (file: unknown): boolean =>
  isMap(file) &&
  isText(file.name) &&
  isText(file.format) &&
  isText(file.sha256) &&
  /^[0-9a-f]{64}$/.test(file.sha256) &&
  typeof file.bytes === 'number' &&
  isMissingOrText(file.tool) &&
  isMissingOrText(file.revision) &&
  isTexts(file.parts);

const isTool = (tool: unknown): boolean =>
  isMap(tool) &&
  [tool.name, tool.kind, tool.title, tool.for, tool.revision].every(isText) &&
  isMissingOrText(tool.madeFrom) &&
  isMissingOrText(tool.shape) &&
  (tool.dimensions === undefined || (Array.isArray(tool.dimensions) && tool.dimensions.every(isDimension))) &&
  (tool.joined === undefined || (isMap(tool.joined) && typeof tool.joined.partsOverlap === 'number')) &&
  Array.isArray(tool.proofs) &&
  tool.proofs.every(isProof);

const isDimension = (dimension: unknown): boolean =>
  isMap(dimension) &&
  isText(dimension.label) &&
  (isText(dimension.value) || typeof dimension.value === 'number') &&
  isMissingOrText(dimension.unit);

const NUMBERS = ['triangles', 'vertices', 'shells', 'volume', 'volumeDifference', 'thinnestWall'] as const;

const isProof = (proof: unknown): boolean =>
  isMap(proof) &&
  isText(proof.part) &&
  NUMBERS.every((key) => typeof proof[key] === 'number') &&
  Array.isArray(proof.size) &&
  isMissingOrNumber(proof.overlap) &&
  (proof.clearance === undefined ||
    (isMap(proof.clearance) && typeof proof.clearance.least === 'number' && typeof proof.clearance.most === 'number'));
