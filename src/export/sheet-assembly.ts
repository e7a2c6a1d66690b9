import type { AssemblyPicture } from './assembly-picture.ts';
import { pngBytes } from './png.ts';
import type { SheetDrawing } from './sheet-blocks.ts';

/** The assembly picture as a drawing of the job sheet. */
export function assemblyDrawing({ rgba, width, height, image, marks }: AssemblyPicture, pieces: number): SheetDrawing {
  return {
    kind: 'drawing',
    description: `assembly of ${pieces} ${pieces === 1 ? 'piece' : 'pieces'}, numbered as in the cut list, with its overall size`,
    width,
    height,
    marks: [{ kind: 'image', ...image, png: pngBytes(rgba) }, ...marks],
  };
}
