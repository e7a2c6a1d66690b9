import { SAME_PLACE } from '../geometry/tolerance.ts';
import type { OpeningShape, OpeningSpec } from './job.ts';
import type { RawOpening } from './opening-schema.ts';

/** A hole asked for, field by field; undefined where the file gave no shape, which is told already. */
export function openingSpec(name: string, raw: RawOpening): OpeningSpec | undefined {
  const shape = shapeOf(raw);
  if (!shape) return undefined;
  const path = ['openings', name];
  return { name, path, on: raw.on, at: raw.at, towardDeg: raw.toward, leanDeg: raw.lean ?? 0, shape };
}

function shapeOf({ round, slot, rectangle, corner }: RawOpening): OpeningShape | undefined {
  if (round !== undefined) return { kind: 'round', od: round };
  if (rectangle) return { kind: 'rectangle', along: rectangle[0], around: rectangle[1], cornerRadius: corner ?? 0 };
  if (!slot) return undefined;
  const [along, around] = slot;
  return Math.abs(along - around) < SAME_PLACE ? { kind: 'round', od: along } : { kind: 'slot', along, around };
}
