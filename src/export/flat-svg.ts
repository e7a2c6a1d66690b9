import { arcOf, boundsOfLoops, type FlatLoop } from '../geometry/flat-path.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { FlatDrawing } from './flat-drawing.ts';
import { plainDecimal } from './number-format.ts';
import { xmlText } from './xml.ts';

const n = (x: number): string => plainDecimal(x, 4);
/** Paper left round the part, and the width of its lines. */
const EDGE: Mm = 1;
const LINE: Mm = 0.1;

/** SVG of a flat part 1:1, width and height in mm, one unit a millimeter; cut lines and score lines in a group each. */
export function flatSvg({ outline, holes, marks }: FlatDrawing, title: string): string {
  const { min, max } = boundsOfLoops([outline, ...marks.map(markLoop)]);
  const [width, height] = [max[0] - min[0] + 2 * EDGE, max[1] - min[1] + 2 * EDGE];
  // Down the page is against the plate's own y.
  const moved = ([x, y]: Vec2): Vec2 => [x - min[0] + EDGE, max[1] - y + EDGE];
  const paths = [...holes, outline].map((loop) => `<path d="${pathOf(loop, moved)}"/>`);
  const lines = marks.map(([p, q]) => `<path d="M${both(moved(p))}L${both(moved(q))}"/>`);
  const group = (id: string, color: string, of: readonly string[]): readonly string[] =>
    of.length === 0 ? [] : [`<g id="${id}" fill="none" stroke="${color}" stroke-width="${n(LINE)}">`, ...of, '</g>'];
  return [
    '<?xml version="1.0" encoding="UTF-8"?>',
    `<svg xmlns="http://www.w3.org/2000/svg" width="${n(width)}mm" height="${n(height)}mm" viewBox="0 0 ${n(width)} ${n(height)}">`,
    `<title>${xmlText(title)}</title>`,
    ...group('cut', '#000000', paths),
    ...group('mark', '#c00000', lines),
    '</svg>',
    '',
  ].join('\n');
}

/** A scored line as an outline without area, for its bounds. */
const markLoop = ([p, q]: FlatDrawing['marks'][number]): FlatLoop => ({
  kind: 'path',
  corners: [
    { at: p, bulge: 0 },
    { at: q, bulge: 0 },
  ],
});

const both = ([x, y]: Vec2): string => `${n(x)} ${n(y)}`;

function pathOf(loop: FlatLoop, moved: (p: Vec2) => Vec2): string {
  if (loop.kind === 'circle') {
    const [x, y] = moved(loop.center);
    const r = n(loop.radius);
    const arc = (to: number): string => `A${r} ${r} 0 0 0 ${both([to, y])}`;
    return `M${both([x + loop.radius, y])}${arc(x - loop.radius)}${arc(x + loop.radius)}Z`;
  }
  const { corners } = loop;
  const steps = corners.map(({ at, bulge }, i) => {
    const to = corners[(i + 1) % corners.length]!.at;
    if (bulge === 0) return `L${both(moved(to))}`;
    const { radius, turn } = arcOf(at, to, bulge);
    // A turn to the left in the plate is one against the clock on the page.
    return `A${n(radius)} ${n(radius)} 0 ${Math.abs(turn) > Math.PI ? 1 : 0} ${turn > 0 ? 0 : 1} ${both(moved(to))}`;
  });
  return `M${both(moved(corners[0]!.at))}${steps.join('')}Z`;
}
