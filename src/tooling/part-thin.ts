import { LEAST_WALL, SPLIT_GAP } from '../geometry/tolerance.ts';
import type { Mm } from '../geometry/vector.ts';
import { between, type Columns, type Stretches } from './columns.ts';
import type { Level } from './part-keys.ts';
import { type Border, bordersOf } from './split.ts';

/** A wall this much thicker than the least is one still when lines through the part miss its sides. */
const ENOUGH: Mm = LEAST_WALL + 0.6;
/** Lines beside each other that show the same thin rest: fewer are the tip of a wedge, which prints. */
const RUN = 4;
/** Shorter rests are the corner of a slope. */
const LEAST_REST: Mm = 3;
/** Neighbors whose rests differ by less are of one wall. */
const EVEN: Mm = 0.25;

/** Whether a plane between pieces leaves a thin wall of either: it passes close beside a step, a slot's side or a floor. */
export const leavesThinWalls = (columns: Columns, levels: readonly Level[]): boolean =>
  levels.some((level, l) => {
    if (bordersOf(level.cells).some((border) => thinBeside(columns, border, level))) return true;
    const ends = [...(l > 0 ? ['foot' as const] : []), ...(l + 1 < levels.length ? ['top' as const] : [])];
    return ends.some((end) => thinUnder(columns, level, end));
  });

function thinBeside(columns: Columns, { axis, at, shared }: Border, level: Level): boolean {
  const { pitch } = columns;
  return ([-1, 1] as const).some((side) => {
    let run = 0;
    for (let a = shared.low; a <= shared.high; a += pitch) {
      const lineAt = (off: Mm): Stretches =>
        between(lineNear(columns, axis === 0 ? [at + side * off, a] : [a, at + side * off]), level.foot, level.top);
      const first = lineAt(pitch / 2);
      const rests = first.length > 0 && longest(without(first, through(lineAt, pitch))) > LEAST_REST;
      run = rests ? run + 1 : 0;
      if (run >= RUN) return true;
    }
    return false;
  });
}

/** Stretches that go through from the plane to where a wall is thick enough. */
function through(lineAt: (off: Mm) => Stretches, pitch: Mm): Stretches {
  let common = lineAt(pitch / 2);
  for (let off = 1.5 * pitch; off < ENOUGH + pitch / 2 && common.length > 0; off += pitch) {
    const line = lineAt(off);
    const out: Mm[] = [];
    for (let i = 0; i < common.length; i += 2) out.push(...between(line, common[i]!, common[i + 1]!));
    common = out;
  }
  return common;
}

/** Of stretches what others, which lie within them, leave. */
function without(all: Stretches, others: Stretches): Stretches {
  return [...all, ...others].sort((p, q) => p - q);
}

const longest = (line: Stretches): Mm =>
  line.reduce((most, low, i) => (i % 2 === 0 ? Math.max(most, line[i + 1]! - low) : most), 0);

/** Whether a level's cut-off end leaves a floor or a roof too thin: the same over lines beside each other both ways. */
function thinUnder({ lines, nx, ny }: Columns, { foot, top }: Level, end: 'foot' | 'top'): boolean {
  const [low, high] = [foot + SPLIT_GAP / 2, top - SPLIT_GAP / 2];
  const rests = lines.map((line) => {
    const inside = between(line, low, high);
    const rest =
      end === 'foot' ? (inside[0] === low ? inside[1]! - low : 0) : inside.at(-1) === high ? high - inside.at(-2)! : 0;
    return rest > 0 && rest < ENOUGH ? rest : 0;
  });
  const same = (k: number, other: number): boolean =>
    rests[other] !== undefined && rests[other] > 0 && Math.abs(rests[k]! - rests[other]!) < EVEN;
  return rests.some((rest, k) => {
    if (rest === 0 || k % nx >= nx - RUN || Math.floor(k / nx) >= ny - RUN) return false;
    const alongX = Array.from({ length: RUN }, (_, i) => k + i + 1).every((other) => same(k, other));
    return alongX && Array.from({ length: RUN }, (_, i) => k + (i + 1) * nx).every((other) => same(k, other));
  });
}

function lineNear({ x0, y0, pitch, nx, ny, lines }: Columns, [x, y]: readonly [Mm, Mm]): Stretches {
  const [i, j] = [Math.round((x - x0) / pitch), Math.round((y - y0) / pitch)];
  return i < 0 || j < 0 || i >= nx || j >= ny ? [] : lines[j * nx + i]!;
}
