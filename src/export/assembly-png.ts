import type { Mm } from '../geometry/vector.ts';
import type { AssemblyPicture } from './assembly-picture.ts';
import { drawingOverPicture } from './drawing-png.ts';
import { pngBytes } from './png.ts';
import type { Units } from './sheet-figures.ts';
import { type Mark, textWidth } from './sheet-paper.ts';

const TEXT: Mm = 4.8;
const LINE: Mm = 7;
const MARGIN: Mm = 4;
/** Between one name and the next. */
const APART: Mm = 8;

/** The assembly as a picture of its own: numbers, overall size and a key of names below; no font, no GPU, no clock. */
export function assemblyPng(
  assembly: AssemblyPicture,
  { names, units }: { readonly names: readonly string[]; readonly units: Units },
): Uint8Array {
  const texts = [...names.map((name, i) => `${i + 1} ${name}`), `sizes in ${units === 'mm' ? 'mm' : 'inches'}`];
  const key = keyMarks(texts, { width: assembly.width, top: assembly.height + MARGIN });
  return pngBytes(
    drawingOverPicture({
      ...assembly,
      height: assembly.height + 2 * MARGIN + key.height,
      marks: [...assembly.marks, ...key.marks],
    }),
  );
}

/** `1 front   2 right   sizes in mm`, in lines as wide as the picture. */
function keyMarks(
  texts: readonly string[],
  { width, top }: { readonly width: Mm; readonly top: Mm },
): { readonly marks: readonly Mark[]; readonly height: Mm } {
  let [x, line] = [MARGIN, 1];
  const marks = texts.map((text): Mark => {
    const wide = textWidth(text, TEXT);
    if (x > MARGIN && x + wide > width - MARGIN) [x, line] = [MARGIN, line + 1];
    const at = [x, top + (line - 1) * LINE + TEXT] as const;
    x += wide + APART;
    return { kind: 'text', at, text, size: Math.min(TEXT, (TEXT * (width - 2 * MARGIN)) / wide) };
  });
  return { marks, height: line * LINE };
}
