import type { Placement } from '../geometry/placement.ts';
import { LETTER_DEPTH } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import type { LabelSolid } from '../solid/expression.ts';
import type { CutRequest } from './request.ts';
import { angleText, lengthText } from './revision.ts';
import type { Datum } from './tool.ts';

/** Room one letter and one line take at the least legible size (2.5 mm high, squeezed, with their gaps). */
const LETTER_ROOM: Mm = 2.35;
const LINE_ROOM: Mm = 3.9;

export interface LabelText {
  readonly revision: string;
  /** Points to the kept side, as seen on the face. */
  readonly keepArrow: string;
  readonly datum: Datum;
  /** On the second of two parts: how far the datum is goes before the end and its cut, which the first tells. */
  readonly datumFirst?: boolean;
  /** Lines to say instead of the end, its cut and its datum. */
  readonly says?: readonly Wordings[];
}

/** Letters sunk into a face: arrow to the kept side with the revision mark, the end, angle, length; what fits, in that order. */
export const sunkLabel = (request: CutRequest, text: LabelText, face: LabelFace): LabelSolid =>
  sunkLines(wordings(request, text), face);

/** Where letters stand: on a face, x along the line, y up the page, z out of it. */
export interface LabelFace {
  readonly at: Placement;
  readonly box: readonly [Mm, Mm];
  readonly letter: Mm;
}

/** A line in wordings from full to short, the first that fits is taken; a wording may take several rows. */
export type Wordings = readonly (readonly string[])[];

/** Letters sunk into a face, line by line, most needed first: what does not fit is left out. */
export const sunkLines = (lines: readonly Wordings[], face: LabelFace): LabelSolid => ({
  kind: 'label',
  name: 'label',
  lines: fittingLines(lines, face.box),
  box: face.box,
  letter: face.letter,
  stroke: 0.8,
  depth: 0.5,
  sink: LETTER_DEPTH,
  at: face.at,
});

function wordings(
  request: CutRequest,
  { revision, keepArrow, datum, datumFirst, says }: LabelText,
): readonly Wordings[] {
  const { end } = request;
  const keep =
    keepArrow === '←'
      ? [`${keepArrow} keep ${revision}`, `${keepArrow} ${revision}`]
      : [`keep ${keepArrow} ${revision}`, `${revision} ${keepArrow}`];
  const length = lengthText(datum.distance, request.solution.job.units);
  const names: readonly Wordings[] = [
    [[end.id], [end.member.name, `.${end.end}`], ...wrapped(end.id)],
    cutWords(request).map((line) => [line]),
  ];
  const far: Wordings = [[`${datum.kind} ${length}`], [datum.kind, length], [length]];
  return [keep.map((line) => [line]), ...(says ?? (datumFirst ? [far, ...names] : [...names, far]))];
}

function cutWords({ end }: CutRequest): readonly string[] {
  if (end.flat && end.bend)
    return [`${angleText(end.bend.intoBendDeg)} in bend`, `${angleText(end.bend.intoBendDeg)} in`];
  if (end.flat)
    return end.flat.miterDeg === 0
      ? ['square']
      : [`${angleText(end.flat.miterDeg)} miter`, angleText(end.flat.miterDeg)];
  return [end.jointKind];
}

/** A long name in rows of 16, 12 and 8 letters. */
export const wrapped = (name: string): Wordings =>
  [16, 12, 8].map((long) =>
    Array.from({ length: Math.ceil(name.length / long) }, (_, i) => name.slice(i * long, (i + 1) * long)),
  );

function fittingLines(wanted: readonly Wordings[], [wide, tall]: readonly [Mm, Mm]): readonly string[] {
  const letters = Math.max(1, Math.floor((wide - 0.8) / LETTER_ROOM));
  const rows = Math.max(1, Math.floor((tall - 0.8 - 2.5) / LINE_ROOM) + 1);
  const lines: string[] = [];
  for (const options of wanted) {
    const fits = options.find(
      (option) => option.every((line) => line.length <= letters) && lines.length + option.length <= rows,
    );
    if (fits) lines.push(...fits);
  }
  return lines.length > 0 ? lines : [wanted[0]!.at(-1)!.join(' ')];
}
