import { isTapered } from '../geometry/tube-shape.ts';
import { generatorLength } from '../geometry/tube-surface.ts';
import { cutAt } from '../solve/generator.ts';
import type { CutEnd } from '../solve/solution.ts';
import type { Datum, ToolFact } from './tool.ts';

const SIDES = ['up', 'right', 'down', 'left'] as const;

/** On a taper a tape lies on the slant: from the datum to the cut along the tube's four lines; nothing where no taper is. */
export function slantFacts(end: CutEnd, datum: Datum): readonly ToolFact[] {
  if (!isTapered(end.member)) return [];
  return SIDES.flatMap((side, i): readonly ToolFact[] => {
    const cut = cutAt(end, i / 4, 'outer');
    if (cut.kind !== 'cut') return [];
    const value = Math.abs(generatorLength(end.member, i / 4, { from: datum.s, to: cut.s }));
    return [{ label: `${datum.kind} to cut on the slant, ${side}`, value, unit: 'mm' }];
  });
}
