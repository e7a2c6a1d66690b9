import type { Mm } from '../geometry/vector.ts';
import { cutAt } from '../solve/generator.ts';
import type { CutEnd, EndName, Piece, Surface } from '../solve/solution.ts';

/** s of a traced end's cut at u. */
export function cutS(end: CutEnd, u: number, surface: Surface = 'outer'): Mm {
  const cut = cutAt(end, u, surface);
  if (cut.kind !== 'cut') throw new Error(`internal: the traced end ${end.id} has no cut at u = ${u}`);
  return cut.s;
}

/** Distance from the long point at the far end of the piece to a place s. */
export const fromDatum = (piece: Piece, end: EndName, s: Mm): Mm => (end === 'end' ? s - piece.from : piece.to - s);
