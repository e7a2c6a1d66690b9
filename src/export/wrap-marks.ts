import type { Mm, Vec2 } from '../geometry/vector.ts';
import { type Mark, type TextMark, textWidth } from './sheet-paper.ts';

/** The pattern as it is drawn: marks from its own top left corner, and how much room they take. */
export interface WrapDrawing {
  readonly width: Mm;
  readonly height: Mm;
  readonly marks: readonly Mark[];
}

/** Paper that goes under the other edge where the wrap closes. */
export const SEAM_TAB: Mm = 12;

export const line = (type: Extract<Mark, { kind: 'line' }>['type'], points: readonly Vec2[]): Mark => ({
  kind: 'line',
  type,
  points,
});

/** Lines are interrupted behind their names. */
export function onWhite(text: TextMark): readonly Mark[] {
  const width = textWidth(text.text, text.size, text.bold);
  const left = text.at[0] - (text.anchor === 'end' ? width : text.anchor === 'middle' ? width / 2 : 0);
  const [x0, x1] = [left - 0.4, left + width + 0.4];
  const [y0, y1] = [text.at[1] - text.size * 0.78, text.at[1] + text.size * 0.24];
  const points: readonly Vec2[] = [
    [x0, y0],
    [x1, y0],
    [x1, y1],
    [x0, y1],
    [x0, y0],
  ];
  return [{ kind: 'fill', gray: 255, points }, text];
}

/** From one place to another, with its point at the second. */
export function arrow(from: Vec2, to: Vec2): readonly Mark[] {
  const down = to[1] > from[1] ? 1 : -1;
  return [
    line('outline', [from, to]),
    {
      kind: 'fill',
      gray: 0,
      points: [to, [to[0] - 1, to[1] - 3 * down], [to[0] + 1, to[1] - 3 * down], to],
    },
  ];
}
