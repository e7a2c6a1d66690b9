import { type Alias, isAlias, isMap, isScalar, isSeq, type Node, type Scalar, type YAMLMap } from 'yaml';
import { FILE_LIMITS } from './limits.ts';
import { nameComplaint } from './names.ts';
import type { JobPath, ProblemCode } from './problem.ts';
import { quoted } from './wording.ts';

/** Something wrong with the YAML, at offsets in the text. */
export interface Trouble {
  readonly code: ProblemCode;
  readonly message: string;
  readonly hint?: string;
  readonly path?: JobPath;
  /** Offsets in the text. */
  readonly from: number;
  readonly to?: number;
}

/** What `!!` stands for. */
export const CORE_TAG = 'tag:yaml.org,2002:';

export interface Plain {
  readonly data: unknown;
  readonly aliases: ReadonlyMap<Alias, Node>;
  readonly troubles: readonly Trouble[];
  /** False when a limit ended the reading. */
  readonly complete: boolean;
}

/** Nodes as plain data; aliases are followed, within limits. */
export function plainData(contents: Node | null): Plain {
  const aliases = new Map<Alias, Node>();
  const anchors = new Map<string, Node>();
  const troubles: Trouble[] = [];
  let nodes = 0;
  let stopped = false;

  const report = (node: Node, trouble: Omit<Trouble, 'from' | 'to'>): null => {
    if (troubles.length < FILE_LIMITS.problems)
      troubles.push({ ...trouble, from: node.range?.[0] ?? 0, to: node.range?.[1] ?? 1 });
    return null;
  };
  const stop = (node: Node, trouble: Omit<Trouble, 'from' | 'to'>): null => {
    if (!stopped) report(node, trouble);
    stopped = true;
    return null;
  };

  /** `open` holds the nodes being read, outermost first; `site` the alias that is being followed. */
  const walk = (node: Node | null, path: JobPath, open: readonly Node[], site?: Alias): unknown => {
    if (node === null || stopped) return null;
    nodes += 1;
    const shown = site ?? node;
    if (nodes > FILE_LIMITS.nodes)
      return stop(shown, {
        code: site ? 'yaml/alias' : 'yaml/too-large',
        message: `more than ${FILE_LIMITS.nodes} values${site ? ', counting what aliases repeat' : ''}`,
        path,
      });
    if (open.length > FILE_LIMITS.depth)
      return stop(shown, {
        code: site ? 'yaml/alias' : 'yaml/too-large',
        message: `maps and lists lie more than ${FILE_LIMITS.depth} deep`,
        path,
      });
    if (isAlias(node)) return follow(node, path, open, site);
    if (node.anchor !== undefined && !site) anchors.set(node.anchor, node);
    if (node.tag !== undefined)
      report(shown, {
        code: 'yaml/unreadable',
        message: `the tag ${quoted(node.tag.replace(CORE_TAG, '!!'))} has no meaning in a job`,
        hint: 'take the tag away; put text between quotes',
        path,
      });
    if (isScalar(node)) return scalar(node, path);
    if (isSeq<Node | null>(node)) return node.items.map((item, i) => walk(item, [...path, i], [...open, node], site));
    if (isMap<Node | null, Node | null>(node)) return map(node, path, [...open, node], site);
    throw new Error('internal: a YAML node of unknown kind');
  };

  const follow = (alias: Alias, path: JobPath, open: readonly Node[], site?: Alias): unknown => {
    const target = aliases.get(alias) ?? anchors.get(alias.source);
    if (!target)
      return report(alias, {
        code: 'yaml/unreadable',
        message: `*${alias.source} repeats a value, but no &${alias.source} stands above it`,
        path,
      });
    if (open.includes(target))
      return report(alias, {
        code: 'yaml/alias',
        message: `*${alias.source} stands inside the value it repeats`,
        hint: 'write the value out',
        path,
      });
    aliases.set(alias, target);
    if (aliases.size > FILE_LIMITS.aliases)
      return stop(alias, { code: 'yaml/alias', message: `more than ${FILE_LIMITS.aliases} aliases`, path });
    return walk(target, path, open, site ?? alias);
  };

  const scalar = (node: Scalar, path: JobPath): unknown => {
    const { value, source } = node;
    if (typeof value !== 'number' || source === undefined) return value;
    const plain = { code: 'field/wrong-type', path } as const;
    if (!Number.isFinite(value))
      return report(node, {
        ...plain,
        message: `${quoted(source)} is not a number that can be built`,
        hint: 'write a number',
      });
    if (/^[-+]?0[xo]/.test(source))
      return report(node, {
        ...plain,
        message: `${source} is not a decimal number`,
        hint: `write ${value}, or put text between quotes`,
      });
    if (/^[-+]?0\d+$/.test(source)) {
      return report(node, {
        code: 'unit/ambiguous',
        path,
        message: `${source} begins with a zero: some readers take it for octal`,
        hint: `write ${value}, or put text between quotes`,
      });
    }
    return value;
  };

  const map = (
    node: YAMLMap<Node | null, Node | null>,
    path: JobPath,
    open: readonly Node[],
    site?: Alias,
  ): unknown => {
    const out: Record<string, unknown> = Object.create(null);
    for (const { key, value } of node.items) {
      if (!isScalar(key) || typeof key.value !== 'string') {
        const shown = site ?? key ?? node;
        const told = isScalar(key) ? quoted(key.source ?? String(key.value)) : 'this one';
        report(shown, {
          code: 'field/name',
          message: `a field name must be text; ${told} is not`,
          hint: 'begin names with a letter',
          path,
        });
        continue;
      }
      const name = key.value;
      if (key.tag !== undefined)
        report(site ?? key, {
          code: 'yaml/unreadable',
          message: `the tag ${quoted(key.tag.replace(CORE_TAG, '!!'))} has no meaning in a job`,
          hint: 'take the tag away',
          path,
        });
      if (key.anchor !== undefined && !site) anchors.set(key.anchor, key);
      const refusal = name === '<<' || name === '__proto__' ? nameComplaint(name, 'part') : undefined;
      if (refusal) report(site ?? key, { ...refusal, path: [...path, name] });
      else if (Object.hasOwn(out, name))
        report(site ?? key, {
          code: 'field/name',
          message: `${quoted(name)} stands twice in this map`,
          hint: 'keep one of them',
          path: [...path, name],
        });
      else out[name] = walk(value, [...path, name], open, site);
    }
    return out;
  };

  const data = walk(contents, [], []);
  return { data, aliases, troubles, complete: !stopped };
}
