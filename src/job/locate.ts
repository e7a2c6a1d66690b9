import { type Alias, isAlias, isCollection, isMap, isScalar, isSeq, type LineCounter, type Node } from 'yaml';
import type { JobPath, Problem, ProblemCode } from './problem.ts';
import type { Units } from './units.ts';

/** A job's text and how to find places in it; made by `loadJob`, handed to `locateProblem`. */
export interface JobSource {
  readonly fileName?: string;
  readonly text: string;
  readonly lines: LineCounter;
  readonly contents: Node | null;
  /** What the job's own numbers are in, once it is read without errors. */
  readonly units?: Units;
  readonly aliases: ReadonlyMap<Alias, Node>;
  /** Values put over the file's by --set. */
  readonly sets: readonly SetNote[];
  /** Paths that a variant's values were put at. */
  readonly varied: readonly JobPath[];
}

export interface SetNote {
  readonly path: JobPath;
  /** As given: path=value. */
  readonly text: string;
}

type Place = NonNullable<Problem['at']>;

/** Line, column and width (all on one line) of a stretch of the text. */
export function spanAt({ text, lines }: Pick<JobSource, 'text' | 'lines'>, from: number, to: number): Place {
  const start = Math.min(from, text.length);
  const { line, col } = lines.linePos(start);
  const newline = text.indexOf('\n', start);
  const lineEnd = newline < 0 ? text.length : newline;
  const end = Math.min(to, lineEnd);
  const width = text.slice(start, end).trimEnd().length;
  return { line: Math.max(1, line), col: Math.max(1, col), width: Math.max(1, width) };
}

interface Found {
  readonly key?: Node;
  readonly value: Node | null;
  /** False when the path goes on where the file does not. */
  readonly complete: boolean;
}

/** The node a path leads to, or the last one on the way. */
function follow(source: JobSource, path: JobPath): Found {
  let key: Node | undefined;
  let value: Node | null = source.contents;
  for (const step of path) {
    const node: Node | null | undefined = isAlias(value) ? source.aliases.get(value) : value;
    const next = node ? stepInto(node, step) : undefined;
    if (!next) return { ...(key ? { key } : {}), value, complete: false };
    key = next.key;
    value = next.value;
  }
  return { ...(key ? { key } : {}), value, complete: true };
}

function stepInto(node: Node, step: string | number): { key?: Node; value: Node | null } | undefined {
  if (isMap<Node, Node | null>(node)) {
    const pair = node.items.find(({ key }) => isScalar(key) && key.value === String(step));
    return pair && { key: pair.key, value: pair.value };
  }
  if (isSeq<Node | null>(node)) {
    const item = node.items[Number(step)];
    return item === undefined ? undefined : { value: item };
  }
  return undefined;
}

const ABOUT_THE_KEY: ReadonlySet<ProblemCode> = new Set(['field/unknown', 'field/conflict', 'field/unsupported']);

const isKeyName = (path: JobPath): boolean =>
  (path.length === 2 &&
    (path[0] === 'sections' || path[0] === 'members' || path[0] === 'keep-out' || path[0] === 'openings')) ||
  (path.length === 3 && path[0] === 'shop' && path[1] === 'saws');

/**
 * Adds line and column to a problem that has only a path, and says so when --set gave the value. A field that is missing
 * points at the map it is missing from; a field that should not be there points at its own name.
 */
export function locateProblem(problem: Problem, source: JobSource): Problem {
  if (problem.at) return problem;
  const found = follow(source, problem.path);
  const onKey = ABOUT_THE_KEY.has(problem.code) || (problem.code === 'field/name' && isKeyName(problem.path));
  const node = shownNode(found, onKey) ?? source.contents;
  const [from, to] = node?.range ?? [0, 1];
  const at = spanAt(source, from, to);
  const set = source.sets.findLast((note) => note.path.every((step, i) => problem.path[i] === step));
  return { ...problem, at, ...(set ? { message: `${problem.message} (from --set ${set.text})` } : {}) };
}

function shownNode({ key, value, complete }: Found, onKey: boolean): Node | undefined {
  if (key && (onKey || !complete)) return key;
  if (value === null) return key;
  if (isScalar(value) && value.value === null) return key ?? value;
  if (isCollection(value) && !value.flow) return key ?? firstKey(value);
  return value;
}

/** First field of a map in a list: the rest of the map follows on other lines. */
function firstKey(node: Node): Node {
  const key = isMap<Node>(node) ? node.items[0]?.key : undefined;
  return key ?? node;
}

/** By line, then column; problems without a place come last. The order of the stages is kept within one place. */
export function byPlace(p: Problem, q: Problem): number {
  const end = Number.POSITIVE_INFINITY;
  const [pl, ql] = [p.at?.line ?? end, q.at?.line ?? end];
  if (pl !== ql) return pl < ql ? -1 : 1;
  return (p.at?.col ?? 0) - (q.at?.col ?? 0);
}
