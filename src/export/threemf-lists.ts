/** What a model part's mesh is made of: numbers row by row, three to a row. */
export interface PlainList {
  readonly name: 'vertices' | 'triangles';
  readonly numbers: readonly number[];
}

const ROWS = {
  vertices: ['<vertex x="', '" y="', '" z="'],
  triangles: ['<triangle v1="', '" v2="', '" v3="'],
} as const;

const codes = (text: string): readonly number[] => Array.from(text, (c) => c.charCodeAt(0));
const ROW_END = codes('"/>\n');
const [MINUS, POINT, ZERO, NINE] = codes('-.09') as [number, number, number, number];
/** Digits that a double holds exactly, so that a number is read as rightly as by the language itself. */
const MOST_DIGITS = 15;

/**
 * Takes the long lists out of a model part where all of them stand exactly as this program writes them, one row a line:
 * nearly all of a file, read byte by byte. Undefined where a list stands any other way: then all of it is read as XML.
 */
export function takePlainLists(
  model: Uint8Array,
): { readonly rest: Uint8Array; readonly lists: readonly PlainList[] } | undefined {
  const bytes = Buffer.from(model.buffer, model.byteOffset, model.length);
  const lists: PlainList[] = [];
  const kept: Uint8Array[] = [];
  let from = 0;
  for (let next = nextList(bytes, from); next; next = nextList(bytes, from)) {
    const { name, at } = next;
    const list = readRows(bytes, at, ROWS[name].map(codes));
    if (
      !list ||
      !bytes
        .subarray(list.end)
        .toString('latin1', 0, name.length + 3)
        .startsWith(`</${name}>`)
    )
      return undefined;
    lists.push({ name, numbers: list.numbers });
    kept.push(bytes.subarray(from, at));
    from = list.end;
  }
  kept.push(bytes.subarray(from));
  return { rest: Buffer.concat(kept), lists };
}

/** The next list and where its first row begins. */
function nextList(bytes: Buffer, from: number): { readonly name: PlainList['name']; readonly at: number } | undefined {
  const places = (['vertices', 'triangles'] as const)
    .map((name) => ({ name, at: bytes.indexOf(`<${name}>\n`, from) }))
    .filter(({ at }) => at >= 0)
    .sort((p, q) => p.at - q.at);
  const [first] = places;
  return first && { name: first.name, at: first.at + first.name.length + 3 };
}

/** Rows as long as there are any; undefined where a row begins like one and goes on in another way. */
function readRows(
  bytes: Uint8Array,
  start: number,
  before: readonly (readonly number[])[],
): { readonly numbers: readonly number[]; readonly end: number } | undefined {
  const numbers: number[] = [];
  let at = start;
  while (isAt(bytes, at, before[0]!)) {
    for (const words of before) {
      if (!isAt(bytes, at, words)) return undefined;
      at += words.length;
      const minus = bytes[at] === MINUS;
      if (minus) at++;
      let whole = 0;
      let divisor = 0;
      let digits = 0;
      for (; ; at++) {
        const code = bytes[at]!;
        if (code >= ZERO && code <= NINE) {
          whole = 10 * whole + code - ZERO;
          divisor *= 10;
          digits++;
        } else if (code === POINT && divisor === 0 && digits > 0) divisor = 1;
        else break;
      }
      if (digits === 0 || digits > MOST_DIGITS || divisor === 1) return undefined;
      const value = divisor > 1 ? whole / divisor : whole;
      numbers.push(minus ? -value : value);
    }
    if (!isAt(bytes, at, ROW_END)) return undefined;
    at += ROW_END.length;
  }
  return { numbers, end: at };
}

function isAt(bytes: Uint8Array, at: number, codes: readonly number[]): boolean {
  for (let i = 0; i < codes.length; i++) if (bytes[at + i] !== codes[i]) return false;
  return true;
}
