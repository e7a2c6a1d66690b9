import { besideAt } from '../geometry/centerline.ts';
import { outlineAt, outlineU, perimeter, type Section, sectionDistance } from '../geometry/section.ts';
import { TRACE_ROOT } from '../geometry/tolerance.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import { outward, stopDistance } from '../solve/generator.ts';
import type { CutCurve, EndDefinition } from '../solve/solution.ts';

/** A solved curve for looking up where it should pass a point of the mesh. */
export interface CurveTable {
  readonly curve: CutCurve;
  readonly section: Section;
  readonly us: Float64Array;
  /** Turn of each sample round the axis, 0 to 1, increasing with u: an ellipse's u is looked up by it, its arc length being no formula. */
  readonly turns: Float64Array;
  /** Length round the outside, mm. */
  readonly outline: Mm;
}

export interface CurvePlace {
  readonly u: number;
  readonly s: Mm;
  /** Depth below the outside that decides there. */
  readonly depth: Mm;
  /** mm along the tube for each mm round it. */
  readonly slope: number;
}

const turnOf = (a: Mm, b: Mm): number => (Math.atan2(a, b) / (2 * Math.PI) + 1) % 1;

export function curveTable(end: EndDefinition, curve: CutCurve): CurveTable {
  const { section } = end.member;
  const us = Float64Array.from(curve.samples, ({ u }) => u);
  const turns = section.kind === 'ellipse' ? Float64Array.from(us, (u) => turnOf(...outlineAt(section, u).point)) : us;
  return { curve, section, us, turns, outline: perimeter(section) };
}

/** Number of the sample at or before a value, and the share of the way to the next; before the first lies past the last. */
function intervalOf(values: Float64Array, value: number): { readonly first: number; readonly share: number } {
  let low = 0;
  let high = values.length;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (values[middle]! <= value) low = middle;
    else high = middle;
  }
  if (values[low]! > value) low = values.length - 1;
  const wide = round(values[(low + 1) % values.length]! - values[low]!);
  return { first: low, share: wide > 0 ? round(value - values[low]!) / wide : 0 };
}

const round = (x: number): number => (x < 0 ? x + 1 : x);

/** The solved curve over the place (a, b) in the section, straight between samples (they bow by 0.002 mm at most). */
export function onCurve({ curve, section, us, turns, outline }: CurveTable, a: Mm, b: Mm): CurvePlace {
  const { samples } = curve;
  const ellipse = section.kind === 'ellipse';
  const { first, share } = intervalOf(ellipse ? turns : us, ellipse ? turnOf(a, b) : outlineU(section, a, b));
  const [p, q] = [samples[first]!, samples[(first + 1) % samples.length]!];
  const du = round(q.u - p.u);
  return {
    u: (p.u + share * du) % 1,
    s: p.s + share * (q.s - p.s),
    depth: p.depth + share * (q.depth - p.depth),
    slope: du > 0 ? (q.s - p.s) / (du * outline) : 0,
  };
}

/** Distance from a place (u, s) to the solved curve on the unrolled tube, mm: also where the curve stands up like a cliff. */
export function awayFromCurve(
  { curve, us, outline }: CurveTable,
  { u, s, speed }: { readonly u: number; readonly s: Mm; readonly speed: number },
): Mm {
  const { samples } = curve;
  const { first } = intervalOf(us, u);
  const count = samples.length;
  let least = Number.POSITIVE_INFINITY;
  for (const way of [1, -1]) {
    for (let i = 0; i < count; i++) {
      const at = (((first + (way > 0 ? i : -1 - i)) % count) + count) % count;
      const [p, q] = [samples[at]!, samples[(at + 1) % count]!];
      const [x, wide] = [signed(p.u - u) * outline, round(q.u - p.u) * outline];
      const [y, high] = [(p.s - s) * speed, (q.s - p.s) * speed];
      const square = wide * wide + high * high;
      const k = square > 0 ? Math.max(0, Math.min(1, -(x * wide + y * high) / square)) : 0;
      least = Math.min(least, Math.hypot(x + k * wide, y + k * high));
      if ((way > 0 ? x + wide : -x) > least) break;
    }
  }
  return least;
}

/** A difference of two u, the short way round. */
const signed = (du: number): number => ((du + 1.5) % 1) - 0.5;

/** Point of the tube's outline nearest to a place beside it, and the normal there. */
export function footOnTube(section: Section, a: Mm, b: Mm): { readonly point: Vec2; readonly normal: Vec2 } {
  const h = 1e-4;
  const x = sectionDistance(section, a + h, b) - sectionDistance(section, a - h, b);
  const y = sectionDistance(section, a, b + h) - sectionDistance(section, a, b - h);
  const n = Math.hypot(x, y);
  const normal: Vec2 = n > 0 ? [x / n, y / n] : [0, 1];
  const d = sectionDistance(section, a, b);
  return { point: [a - d * normal[0], b - d * normal[1]], normal };
}

interface Generator {
  readonly u: number;
  readonly point: Vec2;
  readonly normal: Vec2;
  readonly near: CurvePlace;
}

const GOLDEN = (Math.sqrt(5) - 1) / 2;

/**
 * s at which the generator through a point of the outline meets its stops, found anew near where the curve passes;
 * undefined where it only touches a stop and no crossing brackets it.
 */
export function retrace(end: EndDefinition, curve: CutCurve, generator: Generator): Mm | undefined {
  const { section } = end.member;
  const t = outward(end, generator.near.s);
  const crossing = (depth: Mm): Mm | undefined => crossingNear(end, pointBelow(section, generator, depth), t);
  if (curve.surface === 'outer') return backToS(end, crossing(0));
  if (curve.surface === 'inner') return backToS(end, crossing(section.wall));
  return backToS(end, longestOverWall(section.wall, generator.near.depth, crossing));
}

/** Farthest crossing over the depth of the wall: at a face of it, at the depth the solve found, or beside that. */
function longestOverWall(wall: Mm, solved: Mm, crossing: (depth: Mm) => Mm | undefined): Mm | undefined {
  const reach = (depth: Mm): Mm => crossing(depth) ?? Number.NEGATIVE_INFINITY;
  const depths = [0, wall / 2, wall, solved];
  const reaches = depths.map(reach);
  const most = Math.max(...reaches);
  if (!Number.isFinite(most)) return undefined;
  const best = depths[reaches.indexOf(most)]!;
  if (best === 0 || best === wall) return most;
  let low = Math.max(0, best - wall / 4);
  let high = Math.min(wall, best + wall / 4);
  while (high - low > wall / 200) {
    const [p, q] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    if (reach(p) > reach(q)) high = q;
    else low = p;
  }
  return Math.max(most, reach((low + high) / 2));
}

const backToS = (end: EndDefinition, t: Mm | undefined): Mm | undefined =>
  t === undefined ? undefined : outward(end, t);

/** The section's own rule for depths past a sharp inside corner; an ellipse has none. */
const pointBelow = (section: Section, { point, normal }: Generator, depth: Mm): Vec2 => {
  if (depth === 0) return point;
  if (section.kind === 'ellipse') return [point[0] - depth * normal[0], point[1] - depth * normal[1]];
  return outlineAt(section, outlineU(section, point[0], point[1]), depth).point;
};

/** Crossing of the nearest stop's surface on one generator, from outside to inside, by a bracketed secant (Illinois). */
function crossingNear(end: EndDefinition, [a, b]: Vec2, t: Mm): Mm | undefined {
  const { centerline } = end.member;
  const at = (x: Mm): Mm => {
    const p = besideAt(centerline, outward(end, x), a, b);
    return Math.min(...end.stops.map((stop) => stopDistance(stop, p)));
  };
  for (const half of [0.02, 0.3, 3]) {
    let [low, high] = [t - half, t + half];
    let [lowD, highD] = [at(low), at(high)];
    if (!(lowD > 0 && highD <= 0)) continue;
    for (let i = 0; i < 80 && high - low > TRACE_ROOT; i++) {
      const secant = i % 3 === 2 ? (low + high) / 2 : low + (lowD / (lowD - highD)) * (high - low);
      const d = at(secant);
      if (Math.abs(d) < TRACE_ROOT) return secant;
      if (d > 0) [low, lowD, highD] = [secant, d, highD / 2];
      else [high, highD, lowD] = [secant, d, lowD / 2];
    }
    return (low + high) / 2;
  }
  return undefined;
}
