import type { Section } from '../geometry/section.ts';
import type { Mm } from '../geometry/vector.ts';
import type { JobPath, Problem } from './problem.ts';
import type { StockBend, StockOnHand, StockSpec } from './stock.ts';
import type { RawStock } from './stock-schema.ts';

/** What is bought of a section, with what cannot be read of it. */
export function stockSpec(
  name: string,
  { raw, section }: { readonly raw: RawStock; readonly section: Section | undefined },
): { readonly spec: StockSpec; readonly problems: readonly Problem[] } {
  const path: JobPath = ['stock', name];
  const problems: Problem[] = [];
  const lengths = raw.lengths === undefined ? [] : Array.isArray(raw.lengths) ? raw.lengths : [raw.lengths];
  const rack = raw['on-hand'];
  if (typeof rack === 'number' && lengths.length !== 1)
    problems.push({
      code: 'field/conflict',
      severity: 'error',
      path: [...path, 'on-hand'],
      message: `on-hand: ${rack} counts the one bought length, and stock of ${name} has ${lengths.length}`,
      hint: 'write which: on-hand: [{ length: 6000mm, count: 3 }]',
    });
  if (raw.lengths === undefined && raw.bends === undefined && !Array.isArray(rack))
    problems.push({
      code: 'field/missing',
      severity: 'error',
      path,
      message: `stock of ${name} needs lengths, bends or a list on-hand`,
      hint: 'add lengths: the straight lengths it is bought in',
    });
  const bends = (raw.bends ?? []).map(({ clr, angle, legs, 'on-hand': onHand }, i): StockBend => {
    const at: JobPath = [...path, 'bends', i];
    if (clr.kind === 'ratio' && section && section.kind !== 'round')
      problems.push({
        code: 'unit/ambiguous',
        severity: 'error',
        path: [...at, 'clr'],
        message: `${name} is not round, so D could be its width or its height`,
        hint: 'write clr as a length',
      });
    const od = section?.kind === 'round' ? section.od : 0;
    const both = Array.isArray(legs) ? ([legs[0]!, legs[1]!] as const) : ([legs, legs] as const);
    return {
      clr: clr.kind === 'length' ? clr.length : clr.bendRatio * od,
      bendAngleDeg: angle,
      legs: both,
      path: at,
      ...(onHand === undefined ? {} : { onHand }),
    };
  });
  const spec: StockSpec = {
    section: name,
    lengths,
    ...(rack === undefined ? {} : { onHand: onHandOf(rack, lengths) }),
    bends,
    squareEnd: raw['square-end'],
    trim: raw.trim,
    path,
    ...(raw.grip === undefined ? {} : { grip: raw.grip }),
    ...(raw.saw === undefined ? {} : { saw: raw.saw }),
  };
  return { spec, problems };
}

/** A bare count is of the one bought length; rows of one length are one. */
function onHandOf(rack: NonNullable<RawStock['on-hand']>, lengths: readonly Mm[]): readonly StockOnHand[] {
  const rows = typeof rack === 'number' ? lengths.slice(0, 1).map((length) => ({ length, count: rack })) : rack;
  const counts = new Map<Mm, number>();
  for (const { length, count } of rows) counts.set(length, (counts.get(length) ?? 0) + count);
  return [...counts].map(([length, count]) => ({ length, count }));
}
