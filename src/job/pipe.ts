import type { Mm } from '../geometry/vector.ts';

/** Outside diameter and walls of pipe by its nominal size, mm. */
interface PipeSize {
  readonly od: Mm;
  readonly walls: Readonly<Record<string, Mm>>;
}

/**
 * ASME B36.10M (schedules 40 and 80) and B36.19M (10S). Diameters and schedule 40 from 1 to 6 are checked against the
 * printed standard; the others are from memory.
 */
const PIPES: ReadonlyMap<string, PipeSize> = new Map([
  ['1/2', { od: 21.3, walls: { '10': 2.11, '40': 2.77, '80': 3.73 } }],
  ['3/4', { od: 26.7, walls: { '10': 2.11, '40': 2.87, '80': 3.91 } }],
  ['1', { od: 33.4, walls: { '10': 2.77, '40': 3.38, '80': 4.55 } }],
  ['1-1/4', { od: 42.2, walls: { '10': 2.77, '40': 3.56, '80': 4.85 } }],
  ['1-1/2', { od: 48.3, walls: { '10': 2.77, '40': 3.68, '80': 5.08 } }],
  ['2', { od: 60.3, walls: { '10': 2.77, '40': 3.91, '80': 5.54 } }],
  ['2-1/2', { od: 73.0, walls: { '10': 3.05, '40': 5.16, '80': 7.01 } }],
  ['3', { od: 88.9, walls: { '10': 3.05, '40': 5.49, '80': 7.62 } }],
  ['3-1/2', { od: 101.6, walls: { '10': 3.05, '40': 5.74, '80': 8.08 } }],
  ['4', { od: 114.3, walls: { '10': 3.05, '40': 6.02, '80': 8.56 } }],
  ['5', { od: 141.3, walls: { '10': 3.4, '40': 6.55, '80': 9.53 } }],
  ['6', { od: 168.3, walls: { '10': 3.4, '40': 7.11, '80': 10.97 } }],
  ['8', { od: 219.1, walls: { '10': 3.76, '40': 8.18, '80': 12.7 } }],
]);

export const PIPE_SIZES: readonly string[] = [...PIPES.keys()];
export const SCHEDULES: readonly string[] = ['10', '40', '80'];

const PARTS: Readonly<Record<string, string>> = { '.25': '-1/4', '.5': '-1/2', '.75': '-3/4' };

/** The size as the table names it: `1.5`, `1 1/2`, `1-1/2in` and 1.5 are `1-1/2`; undefined where there is no such pipe. */
export function pipeName(nps: string | number): string | undefined {
  const text = String(nps)
    .trim()
    .toLowerCase()
    .replace(/\s*(?:in|inch|"|nps)$/, '')
    .replace(/\s+/g, '-');
  const decimal = /^(\d*)(\.\d+)$/.exec(text);
  const part = decimal && PARTS[decimal[2]!.replace(/0+$/, '')];
  const name =
    decimal && part
      ? `${Number(decimal[1]) > 0 ? decimal[1] : ''}${part}`.replace(/^-/, '')
      : text.replace(/\.0+$/, '');
  return PIPES.has(name) ? name : undefined;
}

/** `40`, `sch 40`, `40S`, `STD` (40 up to size 8) and `XS` (80) as the table names them. */
export function scheduleName(sch: string | number): string | undefined {
  const text = String(sch)
    .trim()
    .toLowerCase()
    .replace(/^sch(?:edule)?\.?\s*/, '')
    .replace(/s$/, '');
  const known: Readonly<Record<string, string>> = { std: '40', x: '80' };
  const name = known[text] ?? text;
  return SCHEDULES.includes(name) ? name : undefined;
}

export const pipeOd = (name: string): Mm => PIPES.get(name)!.od;
export const pipeWall = (name: string, schedule: string): Mm => PIPES.get(name)!.walls[schedule]!;
