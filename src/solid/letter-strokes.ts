import { LETTER_THINNING } from '../geometry/tolerance.ts';
import type { Vec2 } from '../geometry/vector.ts';
import { strokeGlyph } from './profile.ts';

/** One stroke of a letter: a polyline, or a loop whose last corner runs on to its first. */
export interface LetterStroke {
  readonly corners: readonly Vec2[];
  readonly closed: boolean;
  /** Whether its first and its last end stand free, or on another stroke. */
  readonly free: readonly [boolean, boolean];
}

/** A letter as a printer can draw it, capitals of height 1 on y = 0, and how far the pen goes on. */
export interface Letter {
  readonly advance: number;
  readonly strokes: readonly LetterStroke[];
}

/** Units of the table below in a capital's height. */
const UNITS = 21;

/**
 * Letters of few corners: how far the pen goes on, then strokes as x,y; `o` before one that closes. Round letters are
 * chamfered. The pen goes on as in the stroke font and letters are a sixth narrower, so that neighbors 2.5 mm high stay
 * apart. What must be told apart differs by more than a chamfer: 0 is narrower than O, D and B have square corners where
 * 0 and 8 have none, 5 has one where S has none, 1 has its flag, 2 its hook, G a square corner and its bar, a comma slants.
 */
const TABLE: Readonly<Record<string, string>> = {
  '0': '20 o 7.5,0 12.5,0 15.5,6 15.5,15 12.5,21 7.5,21 4.5,15 4.5,6',
  '1': '20 6,16 11,21 11,0',
  '2': '20 4.5,17 7.5,21 12.5,21 15.5,17 15.5,13 4.5,0 15.5,0',
  '3': '20 4.5,21 12.5,21 15,18 15,14 12.5,11 7.5,11 / 12.5,11 15.5,8 15.5,3 13.5,0 4.5,0',
  '4': '20 12.5,0 12.5,21 4.5,7 16.5,7',
  '5': '20 15,21 5,21 5,12 12.5,12 15.5,8 15.5,4 12.5,0 4.5,0',
  '6': '20 14,21 9,21 5,15 5,4 7.5,0 13.5,0 15.5,4 15.5,8 13.5,12 5,12',
  '7': '20 4.5,21 15.5,21 7.5,0',
  '8': '20 o 7.5,0 12.5,0 15.5,4 15.5,7 12.5,11 7.5,11 4.5,7 4.5,4 / 7.5,11 5,14 5,18 7.5,21 12.5,21 15,18 15,14 12.5,11',
  '9': '20 6,0 11,0 15,6 15,17 12.5,21 6.5,21 4.5,17 4.5,13 6.5,9 15,9',
  A: '18 2,0 9,21 16,0 / 4.5,7 13.5,7',
  B: '21 5,11 13.5,11 16.5,8 16.5,3 13.5,0 5,0 5,21 12.5,21 16,18 16,14 13.5,11',
  C: '21 16.5,17 13.5,21 8.5,21 4.5,15 4.5,6 8.5,0 13.5,0 16.5,4',
  D: '21 o 5,0 5,21 11.5,21 16.5,15 16.5,6 11.5,0',
  E: '19 15.5,21 5,21 5,0 15.5,0 / 5,11 12.5,11',
  F: '18 15.5,21 5,21 5,0 / 5,11 12.5,11',
  G: '21 16.5,18 14,21 8.5,21 4.5,15 4.5,6 8.5,0 16.5,0 16.5,9 11.5,9',
  H: '22 5.5,0 5.5,21 / 16.5,0 16.5,21 / 5.5,11 16.5,11',
  I: '8 4,0 4,21',
  J: '16 11.5,21 11.5,4 9,0 5.5,0 3,4',
  K: '21 5,0 5,21 / 16.5,21 5,8 / 9.5,12 16.5,0',
  L: '17 5,21 5,0 14.5,0',
  M: '24 5,0 5,21 12,2 19,21 19,0',
  N: '22 5.5,0 5.5,21 16.5,0 16.5,21',
  O: '22 o 8.5,0 13.5,0 17.5,6 17.5,15 13.5,21 8.5,21 4.5,15 4.5,6',
  P: '21 5,0 5,21 13.5,21 16.5,18 16.5,13 13.5,10 5,10',
  Q: '22 o 8.5,0 13.5,0 17.5,6 17.5,15 13.5,21 8.5,21 4.5,15 4.5,6 / 12,6 17.5,-2',
  R: '21 5,0 5,21 13.5,21 16.5,18 16.5,13 13.5,10 5,10 / 10,10 16.5,0',
  S: '20 15.5,17 12.5,21 7.5,21 4.5,17 4.5,15 6.5,11 13.5,10 15.5,6 15.5,4 12.5,0 7.5,0 4.5,4',
  T: '16 8,0 8,21 / 2.5,21 13.5,21',
  U: '22 5.5,21 5.5,5 8.5,0 13.5,0 16.5,5 16.5,21',
  V: '18 2,21 9,0 16,21',
  W: '24 3,21 7.5,0 12,19 16.5,0 21,21',
  X: '20 4,0 16,21 / 16,0 4,21',
  Y: '18 2,21 9,11 16,21 / 9,11 9,0',
  Z: '20 4.5,21 15.5,21 4.5,0 15.5,0',
  '.': '10 5,0 5,1',
  ',': '10 7,2 3,-5',
  ':': '10 5,0 5,1 / 5,13 5,14',
  ';': '10 7,2 3,-5 / 5,13 5,14',
  '!': '10 5,7 5,21 / 5,0 5,0.5',
  "'": '10 5,15 5,21',
  '?': '18 4,18 6.5,21 11.5,21 14,18 14,14 9,11 9,8 / 9,0 9,0.5',
  '=': '26 5,5 21,5 / 5,15 21,15',
  $: '20 15.5,17 12.5,21 7.5,21 4.5,17 4.5,15 6.5,11 13.5,10 15.5,6 15.5,4 12.5,0 7.5,0 4.5,4 / 10,21 10,25 / 10,0 10,-4',
  '→': '31 3,10.5 28,10.5 / 19,18 28,10.5 19,3',
  '←': '31 28,10.5 3,10.5 / 12,18 3,10.5 12,3',
  '↑': '21 10.5,0 10.5,21 / 3,12 10.5,21 18,12',
  '↓': '21 10.5,21 10.5,0 / 3,9 10.5,0 18,9',
};

/** The letter for a character: of the table, or of the stroke font with its curves thinned. */
export function letterOf(character: string): Letter {
  const own = LETTERS.get(character);
  if (own) return own;
  const { advance, strokes } = strokeGlyph(character);
  return { advance, strokes: strokesOf(strokes.map((points) => loopOrLine(thinned(points)))) };
}

/** Characters with letters of their own that are none of the stroke font. */
export const isArrow = (character: string): boolean => character > '~' && LETTERS.has(character);

type Line = Pick<LetterStroke, 'corners' | 'closed'>;

const strokesOf = (lines: readonly Line[]): readonly LetterStroke[] =>
  lines.map((line) => {
    const { corners } = line;
    const free = [0, corners.length - 1].map(
      (i) => !lines.some((other) => passes(other, corners[i]!, line === other ? i : -1)),
    );
    return { ...line, free: free as [boolean, boolean] };
  });

/** Whether a line passes through a place; of the line's own end `except` the side that ends there does not count. */
function passes({ corners, closed }: Line, [x, y]: Vec2, except: number): boolean {
  const own = except === 0 ? 0 : except - 1;
  return corners.some((from, i) => {
    const to = corners[i + 1] ?? (closed ? corners[0] : undefined);
    if (!to || (except >= 0 && i === own)) return false;
    const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
    const part = ((x - from[0]) * dx + (y - from[1]) * dy) / (dx * dx + dy * dy || 1);
    const t = Math.min(1, Math.max(0, part));
    return Math.hypot(from[0] + t * dx - x, from[1] + t * dy - y) < LETTER_THINNING;
  });
}

function loopOrLine(points: readonly Vec2[]): Line {
  const [first, last] = [points[0]!, points.at(-1)!];
  const closed = points.length > 3 && first[0] === last[0] && first[1] === last[1];
  return { closed, corners: closed ? points.slice(0, -1) : points };
}

/** A polyline without the corners that it bends by less than the thinning at, its ends kept. */
function thinned(points: readonly Vec2[]): readonly Vec2[] {
  const [from, to] = [points[0]!, points.at(-1)!];
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const long = Math.hypot(dx, dy);
  const off = points.map(([x, y]) =>
    long > 0 ? Math.abs((x - from[0]) * dy - (y - from[1]) * dx) / long : Math.hypot(x - from[0], y - from[1]),
  );
  const most = Math.max(...off);
  if (points.length < 3 || most < LETTER_THINNING) return points.length < 2 ? points : [from, to];
  const at = off.indexOf(most);
  return [...thinned(points.slice(0, at + 1)), ...thinned(points.slice(at)).slice(1)];
}

const inUnits = (place: string): Vec2 => {
  const [x, y] = place.split(',').map((part) => Number(part) / UNITS) as [number, number];
  return [x, y];
};

function readLine(written: string): Line {
  const closed = written.startsWith('o ');
  return { closed, corners: (closed ? written.slice(2) : written).split(' ').map(inUnits) };
}

function readLetter(written: string): Letter {
  const space = written.indexOf(' ');
  const lines = written.slice(space + 1).split(' / ');
  return { advance: Number(written.slice(0, space)) / UNITS, strokes: strokesOf(lines.map(readLine)) };
}

/** The table as read, once. */
const LETTERS: ReadonlyMap<string, Letter> = new Map(
  Object.entries(TABLE).map(([character, written]) => [character, readLetter(written)]),
);
