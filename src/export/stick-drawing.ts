import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Stick, StickPart } from '../solve/nesting/nesting.ts';
import type { SheetDrawing } from './sheet-blocks.ts';
import { lengthFigure, type Units } from './sheet-figures.ts';
import { type Mark, sizeToFit, textWidth } from './sheet-paper.ts';

const WIDE: Mm = 172;
const TALL: Mm = 9;
const TEXT: Mm = 3;
const LEAST_TEXT: Mm = 1.8;
const EDGE: Mm = 0.3;
/** Below the bar: lengths of the pieces. */
const BELOW: Mm = 5;

export interface StickDrawing {
  /** Number of each piece in the cut list, by its member. */
  readonly numbers: ReadonlyMap<string, number>;
  /** The longest stick of the plan fills the width: all are drawn to one scale. */
  readonly longest: Mm;
  readonly units: Units;
}

/** A bought length as a bar, to scale along it: each piece with its number, name and length, slants as they are sawn, what is left in gray. */
export function stickDrawing(stick: Stick, { numbers, longest, units }: StickDrawing): SheetDrawing {
  const scale = (WIDE - 2 * EDGE) / longest;
  const at = (x: Mm): Mm => EDGE + x * scale;
  const last = stick.pieces.at(-1)?.to ?? 0;
  const marks: Mark[] = [...gray(at(0), at(stick.pieces[0]?.from ?? 0)), ...gray(at(last), at(stick.length))];
  let previous: Side = 'top';
  for (const part of stick.pieces) {
    const [first, second] = part.ends;
    const side: Side = first.shared ? other(previous) : 'bottom';
    previous = first.reach > 0 && second.reach > 0 && !second.sameSide ? other(side) : side;
    const outline = piecePoints(part, { at, scale, sides: [side, previous] });
    marks.push(
      { kind: 'fill', gray: 255, points: outline },
      { kind: 'line', type: 'outline', points: [...outline, outline[0]!] },
    );
    marks.push(...labels(part, { at, name: `${numbers.get(part.member) ?? ''} ${part.member}`.trim(), units }));
  }
  marks.push(frame(at(0), at(stick.length)));
  if (stick.left > 0) marks.push(...leftLabel(stick, { at, units }));
  return {
    kind: 'drawing',
    description: `stick of ${lengthFigure(stick.length, units)}: ${stick.pieces.map(({ member }) => member).join(', ')}`,
    width: WIDE,
    height: TALL + BELOW + 2 * EDGE,
    marks,
  };
}

type Side = 'top' | 'bottom';
const other = (side: Side): Side => (side === 'top' ? 'bottom' : 'top');

function piecePoints(
  { from, to, ends: [first, second] }: StickPart,
  { at, scale, sides }: { readonly at: (x: Mm) => Mm; readonly scale: number; readonly sides: readonly [Side, Side] },
): readonly Vec2[] {
  const slant = (reach: Mm, side: Side, edge: Side): Mm => (side === edge ? 0 : reach * scale);
  const left = (edge: Side): Mm => at(from) + slant(first.reach, sides[0], edge);
  const right = (edge: Side): Mm => at(to) - slant(second.reach, sides[1], edge);
  return [
    [left('top'), EDGE],
    [right('top'), EDGE],
    [right('bottom'), EDGE + TALL],
    [left('bottom'), EDGE + TALL],
  ];
}

function labels(
  { from, to }: StickPart,
  { at, name, units }: { readonly at: (x: Mm) => Mm; readonly name: string; readonly units: Units },
): readonly Mark[] {
  const middle = (at(from) + at(to)) / 2;
  const room = at(to) - at(from) - 1;
  const put = (text: string, y: Mm): readonly Mark[] => {
    const size = sizeToFit(text, { size: TEXT, width: room });
    return size < LEAST_TEXT ? [] : [{ kind: 'text', at: [middle, y + size * 0.35], text, size, anchor: 'middle' }];
  };
  const whole = put(name, EDGE + TALL / 2);
  const number = name.split(' ')[0] ?? '';
  return [
    ...(whole.length > 0 ? whole : put(number, EDGE + TALL / 2)),
    ...put(lengthFigure(to - from, units), EDGE + TALL + BELOW / 2),
  ];
}

function leftLabel(
  { length, left }: Stick,
  { at, units }: { readonly at: (x: Mm) => Mm; readonly units: Units },
): readonly Mark[] {
  const text = `left ${lengthFigure(left, units)}`;
  if (textWidth(text, TEXT) > at(length) - at(length - left) - 1) return [];
  return [
    {
      kind: 'text',
      at: [(at(length - left) + at(length)) / 2, EDGE + TALL / 2 + TEXT * 0.35],
      text,
      size: TEXT,
      anchor: 'middle',
    },
  ];
}

const box = (x: Mm, to: Mm): readonly Vec2[] => [
  [x, EDGE],
  [to, EDGE],
  [to, EDGE + TALL],
  [x, EDGE + TALL],
];

const gray = (x: Mm, to: Mm): readonly Mark[] => (to > x ? [{ kind: 'fill', gray: 215, points: box(x, to) }] : []);

const frame = (x: Mm, to: Mm): Mark => ({ kind: 'line', type: 'thin', points: [...box(x, to), [x, EDGE]] });
