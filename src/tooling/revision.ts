import type { Section } from '../geometry/section.ts';
import { type TubeShape, tapersOf } from '../geometry/tube-shape.ts';
import { figure } from '../job/problem.ts';
import { cutAt } from '../solve/generator.ts';
import type { CutRequest } from './request.ts';
import { VERSION_OF_SHAPES } from './shapes-version.ts';
import type { Datum } from './tool.ts';

/** Letters and digits that are not mistaken for one another on a print. */
const SIGNS = 'ACDEFHJKLMNPRTUVWXY34679';

/**
 * Five signs from everything that shapes the tool, rounded to 0.001 mm: the same geometry gives the same mark in any
 * units and any place; a changed dimension, clearance or saw gives another. (FNV-1a, 64 bit, draft-eastlake-fnv.)
 */
export function revisionOf(
  request: CutRequest,
  shape: { readonly datum: Datum; readonly more: readonly number[] },
): string {
  const { shop, saw, end } = request;
  const numbers = [
    shop.fit.slide,
    shop.wall,
    shop.strap.width,
    shop.strap.thickness,
    shop.chordTolerance,
    saw.kerf,
    saw.blade,
    saw.clearance,
    Math.abs(shape.datum.distance),
    ...sizesOf(end.member.section),
    ...taperNumbers(end.member),
    ...shape.more,
    ...cutDistances(request, shape.datum),
  ];
  return markOf(
    [
      request.kind,
      saw.kind,
      end.member.section.kind,
      ...tapersOf(end.member).map(({ to }) => to.kind),
      shape.datum.kind,
      request.surface,
    ],
    numbers,
  );
}

/** Five signs from words and numbers (mm, deg) that shape a tool: all that shapes it, and nothing else. */
export function markOf(words: readonly string[], numbers: readonly number[]): string {
  const rounded = numbers.map((x) => (Math.round(x * 1000) / 1000 + 0).toFixed(3));
  const text = [VERSION_OF_SHAPES, ...words, ...rounded].join(' ');
  let hash = 0xcbf29ce484222325n;
  for (const c of text) hash = BigInt.asUintN(64, (hash ^ BigInt(c.codePointAt(0)!)) * 0x100000001b3n);
  let mark = '';
  for (let i = 0; i < 5; i++) {
    mark += SIGNS[Number(hash % BigInt(SIGNS.length))];
    hash /= BigInt(SIGNS.length);
  }
  return mark;
}

export const sizesOf = (section: Section): readonly number[] =>
  Object.values(section).filter((x) => typeof x === 'number');

/** What fixes the tapers of a tube. */
export const taperNumbers = (tube: TubeShape): readonly number[] =>
  tapersOf(tube).flatMap(({ s0, length, to, shift }) => [s0, length, ...sizesOf(to), ...shift]);

/** From the datum to the cut on 72 generators. */
function cutDistances(request: CutRequest, datum: Datum): readonly number[] {
  return Array.from({ length: 72 }, (_, i) => {
    const cut = cutAt(request.end, i / 72, request.surface);
    return cut.kind === 'cut' ? Math.abs(cut.s - datum.s) : 0;
  });
}

/** A length as people of the job's units read it. */
export const lengthText = (mm: number, units: 'mm' | 'in'): string =>
  units === 'mm' ? `${figure(Math.round(mm * 100) / 100)} mm` : `${(mm / 25.4).toFixed(3)} in`;

export const angleText = (deg: number): string => `${figure(Math.round(deg * 100) / 100)} deg`;
