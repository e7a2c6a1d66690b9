import type { Mm, Vec2 } from '../geometry/vector.ts';
import { type Mark, sizeToFit, textWidth } from './sheet-paper.ts';
import { arrow, line, onWhite, SEAM_TAB, type WrapDrawing } from './wrap-marks.ts';
import { taperDrawing } from './wrap-taper-drawing.ts';
import type { WrapTemplate } from './wrap-template.ts';

/** Paper past the highest line, to hold the waste's name. */
const OVER_TOP: Mm = 12;
const TEXT: Mm = 3;
const SMALL: Mm = 2.5;
const BIG: Mm = 3.5;
/** Height of the witness lines' names over the base line, and of the least arrow. */
const ABOVE_NAMES: Mm = 5.5;
const ARROW: Mm = 4.5;
/** Marks of the ordinates on the base line. */
const TICK: Mm = 2;

/** Pattern coordinates (round the tube, along it toward the member's end) to the page. */
type ToPage = (point: Vec2) => Vec2;

/**
 * The pattern with its seam tab: up the page is toward the member's end, so the kept part lies below for a cut at the
 * end and above for one at the start; seen from outside the tube.
 */
export function wrapDrawing(template: WrapTemplate): WrapDrawing {
  if (template.taper) return taperDrawing(template, template.taper);
  const { around, height } = template;
  const top = height + OVER_TOP;
  const out = template.end === 'end';
  const toPage: ToPage = ([x, y]) => [x, out ? top - y : y];
  return {
    width: around + SEAM_TAB,
    height: top,
    marks: [
      ...outlineMarks(template, top, toPage),
      ...bendMarks(template, top, toPage),
      ...witnessMarks(template, top, toPage),
      ...sideMarks(template, top, toPage),
      // Last, so that no name's white hides any of it.
      ...cutMarks(template, toPage),
    ],
  };
}

/** Edge of the paper, the seam at the full way round and the tab behind it. */
function outlineMarks({ around, end }: WrapTemplate, top: Mm, toPage: ToPage): readonly Mark[] {
  const full = around + SEAM_TAB;
  const corners: readonly Vec2[] = [
    [0, 0],
    [full, 0],
    [full, top],
    [0, top],
    [0, 0],
  ];
  const at = toPage([around + SEAM_TAB / 2 + TEXT / 3, 7]);
  return [
    line('thin', corners.map(toPage)),
    {
      kind: 'text',
      at,
      text: 'tab: goes under',
      size: SMALL,
      turnDeg: 270,
      anchor: end === 'end' ? 'start' : 'end',
    },
  ];
}

function cutMarks({ outer, square, oneLine, around }: WrapTemplate, toPage: ToPage): readonly Mark[] {
  const onTab = (points: readonly Vec2[]): readonly Vec2[] =>
    beginning(points, SEAM_TAB).map(([x, y]) => [x + around, y]);
  return [
    line('outline', outer.points.map(toPage)),
    line('thin', onTab(outer.points).map(toPage)),
    ...(square && !oneLine ? [line('other-position', square.points.map(toPage))] : []),
  ];
}

/** The part of a line up to x, its last point set in between. */
function beginning(points: readonly Vec2[], x: Mm): readonly Vec2[] {
  const after = points.findIndex((point) => point[0] > x);
  if (after <= 0) return points;
  const [p, q] = [points[after - 1]!, points[after]!];
  const share = (x - p[0]) / (q[0] - p[0]);
  return [...points.slice(0, after), [x, p[1] + share * (q[1] - p[1])]];
}

function witnessMarks(template: WrapTemplate, top: Mm, toPage: ToPage): readonly Mark[] {
  const { witness, around, end, ordinates } = template;
  const lines = [...witness, { ...witness[0]!, x: around }];
  const room = around / 4;
  const base = end === 'end' ? -TICK - 0.8 : TICK + 0.4 + TEXT;
  return [
    ...lines.map(({ x }) => line('center', [toPage([x, 0]), toPage([x, top])])),
    ...lines.flatMap(({ x, turnDeg, side }, i): readonly Mark[] => {
      const long = i === lines.length - 1 ? `${turnDeg}` : `${turnDeg} ${side}`;
      const text = textWidth(long, TEXT, true) + 2 < room ? long : `${turnDeg}`;
      const [px, py] = toPage([x, 0]);
      return onWhite({ kind: 'text', at: [px + 1, py + base], text, size: TEXT, bold: true });
    }),
    // Short ticks at the ordinates, on the base line.
    ...ordinates.map(({ around: x }) => line('thin', [toPage([x, 0]), toPage([x, TICK])])),
  ];
}

function bendMarks({ bend, around }: WrapTemplate, top: Mm, toPage: ToPage): readonly Mark[] {
  if (!bend) return [];
  const [x, y] = toPage([around, bend.tangent]);
  return [
    line('thin', [toPage([0, bend.tangent]), toPage([around, bend.tangent])]),
    ...bend.slits.map((slit) => line('dashed', [toPage([slit, bend.tangent]), toPage([slit, top])])),
    ...onWhite({ kind: 'text', at: [x - 1, y - 0.8], text: 'tangent line', size: SMALL, anchor: 'end' }),
  ];
}

/** KEEP with its arrow into the kept part, WASTE over the cut, and the words that lay the paper the right way. */
function sideMarks(template: WrapTemplate, top: Mm, toPage: ToPage): readonly Mark[] {
  const { around, outer, end, id } = template;
  const out = end === 'end';
  const { x, low } = keepPlace(template);
  const arrowTop = Math.min(low - 2, 17);
  const tip = Math.min(ABOVE_NAMES, arrowTop - ARROW);
  const [ax, ay] = toPage([x, arrowTop]);
  const [, by] = toPage([x, Math.max(0, tip)]);
  const wasteX = around * 0.625;
  const wasteLow = highestNear([...outer.points, ...(template.square?.points ?? [])], wasteX, around * 0.1);
  const [wx, wy] = toPage([wasteX, (wasteLow + top) / 2]);
  const [nx, ny] = toPage([around * 0.5 + 1, 0]);
  const down = out ? -1 : 1;
  const text = `${id}  print side out`;
  const name = { kind: 'text', text, size: sizeToFit(text, { size: SMALL, width: around / 2 }) } as const;
  return [
    ...(tip > -1 ? arrow([ax, ay], [ax, by]) : []),
    ...onWhite({ kind: 'text', at: [ax + 2, (ay + by) / 2 + BIG * 0.35], text: 'KEEP', size: BIG, bold: true }),
    ...onWhite({ kind: 'text', at: [wx, wy + BIG * 0.35], text: 'WASTE', size: BIG, bold: true, anchor: 'middle' }),
    ...onWhite({ ...name, at: [nx, ny + down * (TICK + TEXT + 2.4) + (out ? 0 : SMALL * 0.7)] }),
  ];
}

/** Between witness lines, with room for the arrow: the first such place, or where the kept paper is highest. */
function keepPlace({ around, outer }: WrapTemplate): { readonly x: Mm; readonly low: Mm } {
  const places = [0.125, 0.375, 0.625, 0.875].map((share) => ({
    x: share * around,
    low: lowestNear(outer.points, share * around, around * 0.1),
  }));
  const roomy = places.find(({ low }) => low > ABOVE_NAMES + ARROW + 2);
  return roomy ?? places.reduce((best, place) => (place.low > best.low ? place : best));
}

const near = (points: readonly Vec2[], x: Mm, reach: Mm): readonly Mm[] =>
  points.filter((point) => Math.abs(point[0] - x) <= reach).map((point) => point[1]);
const lowestNear = (points: readonly Vec2[], x: Mm, reach: Mm): Mm => Math.min(...near(points, x, reach));
const highestNear = (points: readonly Vec2[], x: Mm, reach: Mm): Mm => Math.max(...near(points, x, reach));
