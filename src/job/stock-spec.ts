import type { Section } from '../geometry/section.ts';
import type { JobPath, Problem } from './problem.ts';
import type { StockBend, StockSpec } from './stock.ts';
import type { RawStock } from './stock-schema.ts';

/** What is bought of a section, with what cannot be read of it. */
export function stockSpec(
  name: string,
  { raw, section }: { readonly raw: RawStock; readonly section: Section | undefined },
): { readonly spec: StockSpec; readonly problems: readonly Problem[] } {
  const path: JobPath = ['stock', name];
  const problems: Problem[] = [];
  if (raw.lengths === undefined && raw.bends === undefined)
    problems.push({
      code: 'field/missing',
      severity: 'error',
      path,
      message: `stock of ${name} needs lengths or bends`,
      hint: 'add lengths: the straight lengths it is bought in',
    });
  const bends = (raw.bends ?? []).map(({ clr, angle, legs }, i): StockBend => {
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
    return { clr: clr.kind === 'length' ? clr.length : clr.bendRatio * od, bendAngleDeg: angle, legs: both, path: at };
  });
  const spec: StockSpec = {
    section: name,
    lengths: raw.lengths === undefined ? [] : Array.isArray(raw.lengths) ? raw.lengths : [raw.lengths],
    bends,
    squareEnd: raw['square-end'],
    trim: raw.trim,
    grip: raw.grip,
    path,
    ...(raw.saw === undefined ? {} : { saw: raw.saw }),
  };
  return { spec, problems };
}
