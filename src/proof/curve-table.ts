import { besideAt } from '../geometry/centerline.ts';
import { outlineAt, outlineU, perimeter, type Section, sectionDistance } from '../geometry/section.ts';
import { TRACE_ROOT } from '../geometry/tolerance.ts';
import { generatorOf, isTapered, meanPerimeter, outlineOn, sectionAt, type TubeShape } from '../geometry/tube-shape.ts';
import { surfacePlace } from '../geometry/tube-surface.ts';
import type { Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import { outward, stopDistance } from '../solve/generator.ts';
import type { CutCurve, EndDefinition } from '../solve/solution.ts';
import { besideTube, type Tube } from './tube.ts';

/** A solved curve for looking up where it should pass a point of the mesh. */
export interface CurveTable {
  readonly curve: CutCurve;
  readonly member: TubeShape;
  readonly tapered: boolean;
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
  const { member } = end;
  const us = Float64Array.from(curve.samples, ({ u }) => u);
  const tapered = isTapered(member);
  const turned = tapered || member.section.kind === 'ellipse';
  const turns = turned ? Float64Array.from(curve.samples, ({ u, s }) => turnOf(...outlineOn(member, s, u).point)) : us;
  return { curve, member, tapered, us, turns, outline: outlineLength(end) };
}

/** A taper's outline changes: the longer of its mean and its own at the cut, so that no deviation is told too small. */
const outlineLength = ({ member, near }: EndDefinition): Mm =>
  Math.max(meanPerimeter(member), ...(near === undefined ? [] : [perimeter(sectionAt(member, near))]));

/** A point of the mesh beside the tube: its s, and the solved curve at the place of the tube's side beneath it. */
export interface BesideCurve {
  readonly s: Mm;
  readonly beside: Vec2;
  readonly solved: CurvePlace;
}

/** Along a taper the place beneath lies square to the side; elsewhere that is square to the axis. */
export function besideCurve(table: CurveTable, tube: Tube, p: Vec3): BesideCurve {
  const { s, a, b } = besideTube(tube, p);
  if (!table.tapered) return { s, beside: [a, b], solved: onCurve(table, a, b) };
  const place = surfacePlace(table.member, p);
  return { s: place.s, beside: [a, b], solved: onCurveAt(table, place.u) };
}

/** Turn of a point, 0 to 1: u, or on a taper, where flats may shrink to nothing, the turn round the axis. */
export const turnBeside = (table: CurveTable, { beside, solved }: BesideCurve): number =>
  table.tapered ? turnOf(...beside) : solved.u;

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
export function onCurve(table: CurveTable, a: Mm, b: Mm): CurvePlace {
  const { section } = table.member;
  return section.kind === 'ellipse'
    ? placeIn(table, intervalOf(table.turns, turnOf(a, b)))
    : onCurveAt(table, outlineU(section, a, b));
}

const onCurveAt = (table: CurveTable, u: number): CurvePlace => placeIn(table, intervalOf(table.us, u));

function placeIn(
  { curve: { samples }, outline }: CurveTable,
  { first, share }: { readonly first: number; readonly share: number },
): CurvePlace {
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

interface Foot {
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
export function retrace(end: EndDefinition, curve: CutCurve, foot: Foot): Mm | undefined {
  const { section } = end.member;
  const t = outward(end, foot.near.s);
  const crossing = (depth: Mm): Mm | undefined => crossingNear(end, lineBelow(end, foot, depth), t);
  if (curve.surface === 'outer') return backToS(end, crossing(0));
  if (curve.surface === 'inner') return backToS(end, crossing(section.wall));
  return backToS(end, longestOverWall(section.wall, foot.near.depth, crossing));
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

/** The line of the tube through a foot, `depth` below the outside. */
function lineBelow({ member }: EndDefinition, foot: Foot, depth: Mm): (s: Mm) => Vec3 {
  if (isTapered(member)) return generatorOf(member, foot.u, depth).pointAt;
  const [a, b] = pointBelow(member.section, foot, depth);
  return (s) => besideAt(member.centerline, s, a, b);
}

/** The section's own rule for depths past a sharp inside corner; an ellipse has none. */
const pointBelow = (section: Section, { point, normal }: Foot, depth: Mm): Vec2 => {
  if (depth === 0) return point;
  if (section.kind === 'ellipse') return [point[0] - depth * normal[0], point[1] - depth * normal[1]];
  return outlineAt(section, outlineU(section, point[0], point[1]), depth).point;
};

/** Crossing of the nearest stop's surface on one generator, from outside to inside, by a bracketed secant (Illinois). */
function crossingNear(end: EndDefinition, lineAt: (s: Mm) => Vec3, t: Mm): Mm | undefined {
  const at = (x: Mm): Mm => {
    const p = lineAt(outward(end, x));
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
