import { LETTER_DEPTH } from '../geometry/tolerance.ts';
import type { Placement } from '../geometry/placement.ts';
import type { Mm } from '../geometry/vector.ts';
import type { LabelSolid } from '../solid/expression.ts';
import type { ToolRequest } from './request.ts';
import { angleText, lengthText } from './revision.ts';
import type { Datum } from './tool.ts';

/** What is engraved: end, angle or length, revision mark and the arrow to the kept side. `keepArrow` points that way on the face. */
export function labelLines(request: ToolRequest, about: { readonly revision: string; readonly keepArrow: string; readonly datum: Datum }): readonly string[] {
  const { end } = request;
  const what = end.bend && end.flat
    ? `${angleText(end.bend.intoBendDeg)} in bend`
    : end.flat
      ? end.flat.miterDeg === 0 ? 'square' : `${angleText(end.flat.miterDeg)} miter`
      : end.jointKind;
  const length = `${about.datum.kind} ${lengthText(about.datum.distance, request.solution.job.units)}`;
  const keep = about.keepArrow === '←' ? `${about.keepArrow} keep` : `keep ${about.keepArrow}`;
  return [`${keep} ${about.revision}`, end.id, what, length];
}

/** Letters sunk into a face, sized to the box; shallow enough to leave the wall. */
export const sunkLabel = (lines: readonly string[], face: { readonly at: Placement; readonly box: readonly [Mm, Mm]; readonly letter: Mm }): LabelSolid => ({
  kind: 'label',
  name: 'label',
  lines,
  box: face.box,
  letter: face.letter,
  stroke: 0.8,
  depth: 0.5,
  sink: LETTER_DEPTH,
  at: face.at,
});
