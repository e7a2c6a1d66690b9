import type { Mm, Vec2 } from '../geometry/vector.ts';
import { type Mark, sizeToFit, textWidth } from './sheet-paper.ts';
import { arrow, line, onWhite, SEAM_TAB, type WrapDrawing } from './wrap-marks.ts';
import type { WrapTaper } from './wrap-taper.ts';
import type { WrapTemplate } from './wrap-template.ts';

const TEXT: Mm = 3;
const SMALL: Mm = 2.5;
const BIG: Mm = 3.5;
/** Room round the pattern, so that no line falls on the edge. */
const EDGE: Mm = 1;

/**
 * A taper's pattern unrolled, with its seam tab: a bow of paper between base line and top edge, its witness lines the
 * taper's own rulings. Up the page is toward the member's end, seen from outside, as on a straight tube.
 */
export function taperDrawing(template: WrapTemplate, taper: WrapTaper): WrapDrawing {
  const [foot, head] = taper.witness[4]!;
  const way = unit([head[0] - foot[0], head[1] - foot[1]]);
  // To the right of the last line, where the tab goes on.
  const across: Vec2 = [way[1], -way[0]];
  const tab = [foot, head].map(([x, y]): Vec2 => [x + across[0] * SEAM_TAB, y + across[1] * SEAM_TAB]) as [Vec2, Vec2];
  const all = [...taper.base, ...taper.top, ...tab];
  const [left, right] = [Math.min(...all.map(([x]) => x)) - EDGE, Math.max(...all.map(([x]) => x)) + EDGE];
  const [low, high] = [Math.min(...all.map(([, y]) => y)) - EDGE, Math.max(...all.map(([, y]) => y)) + EDGE];
  const out = template.end === 'end';
  const toPage = ([x, y]: Vec2): Vec2 => [x - left, out ? high - y : y - low];
  return {
    width: right - left,
    height: high - low,
    marks: [
      ...paperMarks(taper, tab, toPage),
      ...witnessMarks(template, taper, toPage),
      ...wordMarks(template, taper, toPage),
      // Last, so that no name's white hides any of it.
      ...cutMarks(template, taper, toPage),
    ],
  };
}

type ToPage = (point: Vec2) => Vec2;

const unit = ([x, y]: Vec2): Vec2 => [x / Math.hypot(x, y), y / Math.hypot(x, y)];
const between = ([a, b]: Vec2, [c, d]: Vec2, k: number): Vec2 => [a + (c - a) * k, b + (d - b) * k];

/** Edge of the paper round pattern and tab, and the seam between them. */
function paperMarks(taper: WrapTaper, tab: readonly [Vec2, Vec2], toPage: ToPage): readonly Mark[] {
  const edge = [...taper.base, tab[0], tab[1], ...[...taper.top].reverse(), taper.base[0]!];
  const [foot, head] = taper.witness[4]!;
  const [at, to] = [toPage(between(foot, tab[0], 0.6)), toPage(between(head, tab[1], 0.6))];
  const text = 'tab: goes under';
  const long = Math.hypot(to[0] - at[0], to[1] - at[1]);
  const turnDeg = (Math.atan2(to[1] - at[1], to[0] - at[0]) * 180) / Math.PI;
  return [
    line('thin', edge.map(toPage)),
    ...(textWidth(text, SMALL) < long - 4
      ? [{ kind: 'text', at: between(at, to, 2 / long), text, size: SMALL, turnDeg } as const]
      : []),
  ];
}

function cutMarks({ oneLine }: WrapTemplate, taper: WrapTaper, toPage: ToPage): readonly Mark[] {
  return [
    line('outline', taper.outer.map(toPage)),
    ...(taper.square && !oneLine ? [line('other-position', taper.square.map(toPage))] : []),
  ];
}

function witnessMarks({ witness, end }: WrapTemplate, taper: WrapTaper, toPage: ToPage): readonly Mark[] {
  const names = [...witness.map(({ turnDeg, side }) => `${turnDeg} ${side}`), '0'];
  const up = end === 'end' ? -1 : 1;
  return [
    ...taper.witness.map((ends) => line('center', ends.map(toPage))),
    ...taper.witness.flatMap(([foot, head], i): readonly Mark[] => {
      const [x, y] = toPage(between(foot, head, TEXT / Math.hypot(head[0] - foot[0], head[1] - foot[1])));
      const last = i === names.length - 1;
      return onWhite({
        kind: 'text',
        at: [x + (last ? -1 : 1), y + up * 0.6 + (up > 0 ? TEXT * 0.7 : 0)],
        text: names[i]!,
        size: TEXT,
        bold: true,
        ...(last ? { anchor: 'end' } : {}),
      });
    }),
    ...taper.ticks.map((ends) => line('thin', ends.map(toPage))),
  ];
}

/** KEEP with its arrow toward the base line, WASTE past the cut, and the words that lay the paper the right way. */
function wordMarks({ id, around }: WrapTemplate, taper: WrapTaper, toPage: ToPage): readonly Mark[] {
  const at = (share: number, of: readonly Vec2[]): Vec2 => of[Math.round(share * (of.length - 1))]!;
  const [foot, cut, top] = [
    at(0.375, taper.base),
    nearestTo(at(0.375, taper.base), at(0.375, taper.top), taper.outer),
    at(0.375, taper.top),
  ];
  const [from, to] = [toPage(between(foot, cut, 0.75)), toPage(between(foot, cut, 0.35))];
  const [wx, wy] = toPage(between(cut, top, 0.5));
  const text = `${id}  print side out`;
  const [nx, ny] = toPage(between(at(0.53, taper.base), at(0.53, taper.top), 0.22));
  return [
    ...arrow(from, to),
    ...onWhite({
      kind: 'text',
      at: [to[0] + 2, (from[1] + to[1]) / 2 + BIG * 0.35],
      text: 'KEEP',
      size: BIG,
      bold: true,
    }),
    ...onWhite({ kind: 'text', at: [wx, wy + SMALL * 0.35], text: 'WASTE', size: SMALL, bold: true, anchor: 'middle' }),
    ...onWhite({ kind: 'text', at: [nx, ny], text, size: sizeToFit(text, { size: SMALL, width: around / 3 }) }),
  ];
}

/** Of a line's points, the one that lies nearest to the way between two places. */
function nearestTo(p: Vec2, q: Vec2, line: readonly Vec2[]): Vec2 {
  const way = unit([q[0] - p[0], q[1] - p[1]]);
  const off = ([x, y]: Vec2): Mm => Math.abs((x - p[0]) * way[1] - (y - p[1]) * way[0]);
  return line.reduce((best, point) => (off(point) < off(best) ? point : best));
}
