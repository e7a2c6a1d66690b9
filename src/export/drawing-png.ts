import { cosd, sind } from '../geometry/angle.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import { strokeGlyph } from '../solid/profile.ts';
import type { Rgba } from './png.ts';
import { LINE_STYLES, type Mark, type TextMark, textWidth } from './sheet-paper.ts';

/** A picture with what is drawn over it, in mm from the top left corner. */
export interface DrawingOverPicture {
  readonly rgba: Rgba;
  readonly width: Mm;
  readonly height: Mm;
  readonly image: { readonly at: Vec2; readonly width: Mm };
  readonly marks: readonly Mark[];
}

/** Thinner lines vanish when the picture is shown small. */
const LEAST_PEN = 2;
/** Capitals in the size of the type body, as in Helvetica, and the pen that writes them. */
const CAPITAL = 0.72;
const PEN = 0.1;
const PEN_BOLD = 0.14;

/**
 * Lines, areas and letters drawn over a picture, white beside it, as many pixels to a mm as the picture has. Letters are
 * pen strokes: no font of the machine has a say, and the same drawing is the same bytes. Errors: a mark that is a picture
 * itself, or a letter that is not ASCII, is a bug of the caller.
 */
export function drawingOverPicture({ rgba, width, height, image, marks }: DrawingOverPicture): Rgba {
  const scale = rgba.width / image.width;
  const canvas: Canvas = {
    width: Math.round(width * scale),
    height: Math.round(height * scale),
    pixels: new Uint8Array(4 * Math.round(width * scale) * Math.round(height * scale)).fill(255),
  };
  const [left, top] = [Math.round(image.at[0] * scale), Math.round(image.at[1] * scale)];
  for (let y = 0; y < Math.min(rgba.height, canvas.height - top); y++) {
    const row = rgba.pixels.subarray(4 * y * rgba.width, 4 * (y + 1) * rgba.width);
    canvas.pixels.set(row, 4 * ((y + top) * canvas.width + left));
  }
  for (const mark of marks) drawMark(canvas, mark, scale);
  return canvas;
}

interface Canvas extends Rgba {
  readonly pixels: Uint8Array;
}

function drawMark(canvas: Canvas, mark: Mark, scale: number): void {
  const onCanvas = ([x, y]: Vec2): Vec2 => [x * scale, y * scale];
  if (mark.kind === 'line') {
    const pen = Math.max(LEAST_PEN, LINE_STYLES[mark.type].width * scale);
    drawStroke(canvas, mark.points.map(onCanvas), pen);
  } else if (mark.kind === 'fill') fillLoop(canvas, mark.points.map(onCanvas), mark.gray);
  else if (mark.kind === 'text') {
    const pen = (mark.bold ? PEN_BOLD : PEN) * CAPITAL * mark.size * scale;
    for (const stroke of textStrokes(mark)) drawStroke(canvas, stroke.map(onCanvas), pen);
  } else throw new Error(`internal: a ${mark.kind} cannot be drawn over a picture`);
}

/** Pen strokes of a text where it stands on paper. */
function textStrokes(mark: TextMark): readonly (readonly Vec2[])[] {
  const { at, text, size, anchor = 'start', turnDeg = 0 } = mark;
  const capital = CAPITAL * size;
  let along = 0;
  const strokes = [...text].flatMap((letter) => {
    const { advance, strokes: of } = strokeGlyph(letter);
    const from = along;
    along += advance;
    return of.map((stroke) => stroke.map(([x, y]): Vec2 => [from + x, y]));
  });
  const back = anchor === 'middle' ? along / 2 : anchor === 'end' ? along : 0;
  // Pressed to the width that the printed page's letters have, so that what fits there fits here.
  const wide = along > 0 ? textWidth(text, size, mark.bold) / along : 0;
  const [cos, sin] = [cosd(turnDeg), sind(turnDeg)];
  return strokes.map((stroke) =>
    stroke.map(([x, y]): Vec2 => {
      const [right, down] = [(x - back) * wide, -y * capital];
      return [at[0] + right * cos - down * sin, at[1] + right * sin + down * cos];
    }),
  );
}

/** A line of round pen strokes; a pixel is as dark as the pen covers it. */
function drawStroke(canvas: Canvas, points: readonly Vec2[], pen: number): void {
  const cover = new Map<number, number>();
  points.forEach((p, i) => {
    const q = points[i + 1] ?? (points.length === 1 ? p : undefined);
    if (!q) return;
    const [left, right] = [Math.min(p[0], q[0]) - pen, Math.max(p[0], q[0]) + pen];
    const [top, bottom] = [Math.min(p[1], q[1]) - pen, Math.max(p[1], q[1]) + pen];
    for (let y = Math.max(0, Math.floor(top)); y <= Math.min(canvas.height - 1, bottom); y++) {
      for (let x = Math.max(0, Math.floor(left)); x <= Math.min(canvas.width - 1, right); x++) {
        const share = Math.min(1, pen / 2 + 0.5 - distanceTo([x + 0.5, y + 0.5], p, q));
        const at = y * canvas.width + x;
        if (share > (cover.get(at) ?? 0)) cover.set(at, share);
      }
    }
  });
  for (const [at, share] of cover) shade(canvas, at, { gray: 0, share });
}

function distanceTo([x, y]: Vec2, p: Vec2, q: Vec2): number {
  const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
  const square = dx * dx + dy * dy;
  const t = square > 0 ? Math.max(0, Math.min(1, ((x - p[0]) * dx + (y - p[1]) * dy) / square)) : 0;
  return Math.hypot(p[0] + t * dx - x, p[1] + t * dy - y);
}

/** Samples of a pixel, each way, that decide how much of it an area covers. */
const SAMPLES = 4;

function fillLoop(canvas: Canvas, loop: readonly Vec2[], gray: number): void {
  const xs = loop.map(([x]) => x);
  const ys = loop.map(([, y]) => y);
  for (let y = Math.max(0, Math.floor(Math.min(...ys))); y <= Math.min(canvas.height - 1, Math.max(...ys)); y++) {
    for (let x = Math.max(0, Math.floor(Math.min(...xs))); x <= Math.min(canvas.width - 1, Math.max(...xs)); x++) {
      let inside = 0;
      for (let k = 0; k < SAMPLES * SAMPLES; k++) {
        const at: Vec2 = [x + ((k % SAMPLES) + 0.5) / SAMPLES, y + (Math.floor(k / SAMPLES) + 0.5) / SAMPLES];
        if (isInside(at, loop)) inside++;
      }
      shade(canvas, y * canvas.width + x, { gray, share: inside / SAMPLES ** 2 });
    }
  }
}

/** Even-odd: whether a ray to the right crosses the loop an odd number of times. */
function isInside([x, y]: Vec2, loop: readonly Vec2[]): boolean {
  let inside = false;
  loop.forEach((p, i) => {
    const q = loop[(i + 1) % loop.length]!;
    if (p[1] > y !== q[1] > y && x < p[0] + ((q[0] - p[0]) * (y - p[1])) / (q[1] - p[1])) inside = !inside;
  });
  return inside;
}

function shade(
  { pixels }: Canvas,
  at: number,
  { gray, share }: { readonly gray: number; readonly share: number },
): void {
  for (let k = 4 * at; k < 4 * at + 3; k++) pixels[k] = Math.round(share * gray + (1 - share) * pixels[k]!);
}
