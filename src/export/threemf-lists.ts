import { type Ink, LONGEST_NUMBER, putCoordinate, putWhole } from './number-bytes.ts';

/** What a model part's mesh is made of: numbers row by row, three to a row. */
export interface PlainList {
  readonly name: 'vertices' | 'triangles';
  readonly numbers: Float64Array;
}

const codes = (text: string): Uint8Array => Uint8Array.from(text, (c) => c.charCodeAt(0));

/** What stands before each number of a row. */
const ROWS = {
  vertices: ['<vertex x="', '" y="', '" z="'].map(codes),
  triangles: ['<triangle v1="', '" v2="', '" v3="'].map(codes),
} as const;
const ROW_END = codes('"/>\n');

/** Bytes of a row but for its numbers. */
const bareRow = (name: PlainList['name']): number =>
  ROWS[name].reduce((sum, words) => sum + words.length, ROW_END.length);

/** The rows of a list, each on a line. */
export function listBytes(name: PlainList['name'], numbers: Float64Array | Uint32Array): Uint8Array {
  const rows = numbers.length / 3;
  const ink: Ink = { bytes: Buffer.allocUnsafe(rows * (bareRow(name) + 3 * LONGEST_NUMBER)), at: 0 };
  const put = name === 'vertices' ? putCoordinate : putWhole;
  for (let row = 0; row < rows; row++) {
    for (let k = 0; k < 3; k++) {
      putCodes(ink, ROWS[name][k]!);
      put(ink, numbers[3 * row + k]!);
    }
    putCodes(ink, ROW_END);
  }
  return ink.bytes.subarray(0, ink.at);
}

function putCodes(ink: Ink, of: Uint8Array): void {
  for (let i = 0; i < of.length; i++) ink.bytes[ink.at + i] = of[i]!;
  ink.at += of.length;
}

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
    const end = bytes.indexOf(`</${name}>`, at);
    const list = end < 0 ? undefined : readRows(bytes, { name, at, end });
    if (!list) return undefined;
    lists.push(list);
    kept.push(bytes.subarray(from, at));
    from = end;
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

/** All rows up to an end; undefined where anything else stands among them. */
function readRows(
  bytes: Uint8Array,
  { name, at, end }: { readonly name: PlainList['name']; readonly at: number; readonly end: number },
): PlainList | undefined {
  const words = ROWS[name];
  // No number is shorter than a digit.
  const numbers = new Float64Array(3 * Math.floor((end - at) / (bareRow(name) + 3)));
  const reading: Reading = { bytes, at, value: 0 };
  let count = 0;
  while (reading.at < end) {
    for (let k = 0; k < 3; k++) {
      if (!takeCodes(reading, words[k]!) || !takeNumber(reading)) return undefined;
      numbers[count++] = reading.value;
    }
    if (!takeCodes(reading, ROW_END)) return undefined;
  }
  return { name, numbers: numbers.slice(0, count) };
}

interface Reading {
  readonly bytes: Uint8Array;
  at: number;
  /** The number read last. */
  value: number;
}

function takeCodes(reading: Reading, of: Uint8Array): boolean {
  const { bytes, at } = reading;
  for (let i = 0; i < of.length; i++) if (bytes[at + i] !== of[i]) return false;
  reading.at = at + of.length;
  return true;
}

const MINUS = 0x2d;
const POINT = 0x2e;
const ZERO = 0x30;
/** Digits that a double holds exactly, so that a number is read as rightly as by the language itself. */
const MOST_DIGITS = 15;

function takeNumber(reading: Reading): boolean {
  const { bytes } = reading;
  let { at } = reading;
  const minus = bytes[at] === MINUS;
  if (minus) at++;
  let whole = 0;
  let divisor = 0;
  let digits = 0;
  for (; ; at++) {
    const digit = bytes[at]! - ZERO;
    if (digit >= 0 && digit <= 9) {
      whole = 10 * whole + digit;
      divisor *= 10;
      digits++;
    } else if (digit === POINT - ZERO && divisor === 0 && digits > 0) divisor = 1;
    else break;
  }
  if (digits === 0 || digits > MOST_DIGITS || divisor === 1) return false;
  const size = divisor > 1 ? whole / divisor : whole;
  reading.at = at;
  reading.value = minus ? -size : size;
  return true;
}
