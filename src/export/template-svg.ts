import type { Vec2 } from '../geometry/vector.ts';
import { plainDecimal } from './number-format.ts';
import { LINE_STYLES, type Mark, type Page } from './sheet-paper.ts';
import { xmlText } from './xml.ts';

/** A ten-thousandth of a millimeter: a hundred times finer than a printed dot. */
const DECIMALS = 4;
const n = (x: number): string => plainDecimal(x, DECIMALS);

/** SVG of a page, width and height in mm and one unit of its viewBox a millimeter. Same page, same bytes. */
export function svgText(page: Page, title: string): string {
  const size = `width="${n(page.width)}mm" height="${n(page.height)}mm" `;
  const ground = `<rect width="${n(page.width)}" height="${n(page.height)}" fill="#ffffff"/>`;
  return `<?xml version="1.0" encoding="UTF-8"?>\n${svgElement(page, { title, size, ground })}\n`;
}

/** The same to stand in a page of HTML, as wide as its place there. */
export const svgInline = (page: Page, title: string): string =>
  svgElement(page, { title, size: 'role="img" ', ground: '' });

function svgElement(
  { width, height, marks }: Page,
  { title, size, ground }: { readonly title: string; readonly size: string; readonly ground: string },
): string {
  const ids = { next: 0 };
  return [
    `<svg xmlns="http://www.w3.org/2000/svg" ${size}viewBox="0 0 ${n(width)} ${n(height)}" font-family="Helvetica, Arial, 'Liberation Sans', 'Nimbus Sans', sans-serif">`,
    `<title>${xmlText(title)}</title>`,
    ...(ground === '' ? [] : [ground]),
    ...marks.flatMap((mark) => markLines(mark, ids)),
    '</svg>',
  ].join('\n');
}

function markLines(mark: Mark, ids: { next: number }): readonly string[] {
  switch (mark.kind) {
    case 'line': {
      const { width, dashes } = LINE_STYLES[mark.type];
      const dash = dashes.length > 0 ? ` stroke-dasharray="${dashes.map(n).join(' ')}"` : '';
      return [
        `<path d="${pathOf(mark.points)}" fill="none" stroke="#000000" stroke-width="${n(width)}" stroke-linejoin="round"${dash}/>`,
      ];
    }
    case 'fill':
      return [`<path d="${pathOf(mark.points)}" fill="rgb(${mark.gray},${mark.gray},${mark.gray})"/>`];
    case 'text': {
      const [x, y] = mark.at;
      const anchor = mark.anchor && mark.anchor !== 'start' ? ` text-anchor="${mark.anchor}"` : '';
      const bold = mark.bold ? ' font-weight="bold"' : '';
      const turn = mark.turnDeg ? ` transform="rotate(${n(mark.turnDeg)} ${n(x)} ${n(y)})"` : '';
      return [
        `<text x="${n(x)}" y="${n(y)}" font-size="${n(mark.size)}"${anchor}${bold}${turn}>${xmlText(mark.text)}</text>`,
      ];
    }
    case 'image': {
      const data = Buffer.from(mark.png).toString('base64');
      return [
        `<image x="${n(mark.at[0])}" y="${n(mark.at[1])}" width="${n(mark.width)}" height="${n(mark.height)}" href="data:image/png;base64,${data}"/>`,
      ];
    }
    case 'window': {
      const { x, y, width, height } = mark.box;
      const id = `window-${++ids.next}`;
      return [
        `<clipPath id="${id}"><rect x="${n(x)}" y="${n(y)}" width="${n(width)}" height="${n(height)}"/></clipPath>`,
        `<g clip-path="url(#${id})">`,
        ...mark.marks.flatMap((inner) => markLines(inner, ids)),
        '</g>',
      ];
    }
  }
}

function pathOf(points: readonly Vec2[]): string {
  const [first, last] = [points[0], points.at(-1)];
  const closed = points.length > 2 && first && last && first[0] === last[0] && first[1] === last[1];
  const corners = (closed ? points.slice(0, -1) : points).map(([x, y], i) => `${i === 0 ? 'M' : 'L'}${n(x)} ${n(y)}`);
  return `${corners.join('')}${closed ? 'Z' : ''}`;
}
