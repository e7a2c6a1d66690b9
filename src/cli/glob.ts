/**
 * Whether a name matches a pattern of `*` (any run of characters), `?` (one character), `[abc]`, `[a-z]`, `[!a]` (one of a
 * set) and `{one,two}` (either); a bracket or brace that is never closed stands for itself. Case counts. Walks both texts
 * once with one place to fall back to, so that a hostile pattern costs no more than pattern times name.
 */
export function globMatches(pattern: string, name: string): boolean {
  return alternatives(pattern).some((plain) => matches(plain, [...name]));
}

/** Most patterns a brace may unfold into; more is a slip or an attack. */
const MOST_ALTERNATIVES = 1000;

/** `a{b,c}d` as abd and acd; braces may stand in braces. */
function alternatives(pattern: string): readonly string[] {
  const done: string[] = [];
  const open = [pattern];
  while (open.length > 0 && done.length + open.length <= MOST_ALTERNATIVES) {
    const next = open.shift()!;
    const brace = firstBrace(next);
    if (!brace) done.push(next);
    else open.unshift(...brace.choices.map((choice) => brace.before + choice + brace.after));
  }
  return done;
}

interface Brace {
  readonly before: string;
  readonly choices: readonly string[];
  readonly after: string;
}

/** The first brace that closes and holds a comma. */
function firstBrace(pattern: string): Brace | undefined {
  for (let from = pattern.indexOf('{'); from >= 0; from = pattern.indexOf('{', from + 1)) {
    const choices: string[] = [];
    let depth = 0;
    let start = from + 1;
    for (let i = from; i < pattern.length; i++) {
      const c = pattern[i];
      if (c === '{') depth++;
      if (c === ',' && depth === 1) {
        choices.push(pattern.slice(start, i));
        start = i + 1;
      }
      if (c !== '}' || --depth > 0) continue;
      if (choices.length === 0) break;
      choices.push(pattern.slice(start, i));
      return { before: pattern.slice(0, from), choices, after: pattern.slice(i + 1) };
    }
  }
  return undefined;
}

type Piece = '*' | ((c: string) => boolean);

function matches(pattern: string, name: readonly string[]): boolean {
  const pieces = piecesOf([...pattern]);
  let [p, n] = [0, 0];
  let [star, tried] = [-1, 0];
  while (n < name.length) {
    const piece = pieces[p];
    if (piece === '*') {
      star = p++;
      tried = n;
    } else if (piece?.(name[n]!)) {
      p++;
      n++;
    } else if (star >= 0) {
      p = star + 1;
      n = ++tried;
    } else return false;
  }
  while (pieces[p] === '*') p++;
  return p === pieces.length;
}

function piecesOf(pattern: readonly string[]): readonly Piece[] {
  const pieces: Piece[] = [];
  for (let i = 0; i < pattern.length; i++) {
    const c = pattern[i]!;
    // The first character of a set may be the closing bracket itself.
    const close = c === '[' ? pattern.indexOf(']', i + (pattern[i + 1] === '!' ? 3 : 2)) : -1;
    if (c === '*') pieces.push('*');
    else if (c === '?') pieces.push(() => true);
    else if (close > 0) {
      pieces.push(oneOf(pattern.slice(i + 1, close)));
      i = close;
    } else pieces.push((other) => other === c);
  }
  return pieces;
}

function oneOf(set: readonly string[]): (c: string) => boolean {
  const not = set[0] === '!';
  const members = not ? set.slice(1) : set;
  const within = (c: string): boolean => {
    for (let i = 0; i < members.length; i++) {
      if (members[i + 1] === '-' && i + 2 < members.length) {
        if (c >= members[i]! && c <= members[i + 2]!) return true;
        i += 2;
      } else if (c === members[i]) return true;
    }
    return false;
  };
  return (c) => within(c) !== not;
}
