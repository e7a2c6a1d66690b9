import { besideCenterline, type SweptSolid, solidDistance } from '../geometry/distance.ts';
import { perimeter } from '../geometry/section.ts';
import { CLEARANCE_ROUNDING, EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { generatorOf, isTapered, sectionAt } from '../geometry/tube-shape.ts';
import { cross, distance, dot, length, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import type { CutCurve } from '../solve/solution.ts';
import type { Feature } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount } from './facets.ts';
import { facesAt, middleOf, vertexDistances } from './nearest.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';
import { clipped } from './tube.ts';

type SkinFeature = Extract<Feature, { kind: 'skin' }>;

export interface Skin {
  /** Largest distance of the outside from the tube's, and of an end's rim from its curve. */
  readonly deviation: Mm;
  /** Share of the tube's outside that was found; the rest is marks, letters and chamfers. */
  readonly cover: number;
}

/** Facets whose corners all lie this near the outside of the tube are looked at as its skin. */
const SEARCH: Mm = 0.1;
/** Cosine of how squarely such a facet looks out. */
const OUTWARD = -0.9;
/** Share of the tube's outside that must be there. */
const LEAST_SKIN = 0.7;
/** How far the tube is carried on past its ends, so that rims lie beside it. */
const PAST: Mm = 30;
/** A rim is not looked for this near the seam of two halves, which is chamfered. */
const SEAM: Mm = 1;

/**
 * The outside of a stand-in against the tube it stands in for: no corner of the part may stand proud of the tube, its
 * skin may bow inward by the chord tolerance, must be all there, and must end on the cut curves.
 */
export function measureSkin(facets: Facets, feature: SkinFeature): Measured<Skin> {
  const { member, bow } = feature;
  const tube: SweptSolid = {
    section: sectionAt(member, feature.from - PAST),
    centerline: clipped(member.centerline, feature.from - PAST, feature.to + PAST),
  };
  const body = { distance: (p: Vec3) => solidDistance(tube, p), counts: () => true };
  const distances = vertexDistances(facets, body);
  const { triangles } = facets.mesh;
  const skin = new Set<number>();
  let area = 0;
  let off: Mm = 0;
  for (let t = 0; t < facetCount(facets); t++) {
    const ds = [0, 1, 2].map((k) => distances[triangles[3 * t + k]!]!);
    if (ds.some((d) => Math.abs(d) > SEARCH)) continue;
    const p = middleOf(facets, t);
    const d = body.distance(p);
    if (facesAt(facets, t, { body, p, d }) > OUTWARD) continue;
    skin.add(t);
    area += facets.areas[t]!;
    off = Math.max(off, ...[...ds, d].map(Math.abs));
  }
  const proud = distances.reduce((most, d) => Math.max(most, d), 0);
  const cover = area / trueArea(feature);
  const rims = feature.ends.map((curve) => rimDeviation(facets, { skin, curve, feature }));
  const deviation = Math.max(off, proud, ...rims);
  return {
    value: { deviation, cover },
    faults: skinFaults({ off: Math.max(off, proud), rim: Math.max(0, ...rims), cover, bow }),
  };
}

/**
 * Area of the tube's outside between its ends: the mean line round a section that is the same both ways is as long as the
 * centerline. Along tapers it is added up of strips between rulings.
 */
function trueArea({ member, from, to, ends, side }: SkinFeature): number {
  const means = ends.map((curve) => meanS(curve, (point) => !side || heightOver(member, point, side) > 0));
  const middle = (from + to) / 2;
  const low = means.find((s) => s < middle) ?? from;
  const high = means.find((s) => s >= middle) ?? to;
  const whole = isTapered(member) ? stripArea(member, low, high) : perimeter(member.section) * (high - low);
  return whole * (side ? 0.5 : 1);
}

/** Strips round a tube with tapers, and steps along it. */
const STRIPS = 64;
const STEPS = 32;

function stripArea(member: SkinFeature['member'], low: Mm, high: Mm): number {
  const lines = Array.from({ length: STRIPS }, (_, i) => generatorOf(member, i / STRIPS));
  const rings = Array.from({ length: STEPS + 1 }, (_, k) =>
    lines.map((line) => line.pointAt(low + ((high - low) * k) / STEPS)),
  );
  const half = (p: Vec3, q: Vec3, r: Vec3): number => length(cross(sub(q, p), sub(r, p))) / 2;
  return rings.slice(1).reduce(
    (sum, ring, k) =>
      ring.reduce((more, p, i) => {
        const j = (i + 1) % STRIPS;
        const [before, beforeNext] = [rings[k]![i]!, rings[k]![j]!];
        return more + half(before, beforeNext, p) + half(beforeNext, ring[j]!, p);
      }, sum),
    0,
  );
}

/** Mean s of a curve over the places that count, each for its share of the turn. */
function meanS({ samples }: CutCurve, counts: (point: Vec3) => boolean): Mm {
  let [sum, turn] = [0, 0];
  samples.forEach((sample, i) => {
    const next = samples[i + 1] ?? { ...samples[0]!, u: samples[0]!.u + 1 };
    if (!counts(sample.point) || !counts(next.point)) return;
    sum += ((sample.s + next.s) / 2) * (next.u - sample.u);
    turn += next.u - sample.u;
  });
  return sum / turn;
}

/** Largest distance of a curve's places from the rim where the skin ends. */
function rimDeviation(
  facets: Facets,
  {
    skin,
    curve,
    feature,
  }: { readonly skin: ReadonlySet<number>; readonly curve: CutCurve; readonly feature: SkinFeature },
): Mm {
  const { member, side } = feature;
  const rim: (readonly [Vec3, Vec3])[] = [];
  for (const t of skin) {
    for (let k = 0; k < 3; k++) {
      const other = facets.neighbors[3 * t + k]!;
      if (!skin.has(other)) rim.push([cornerOf(facets, t, k), cornerOf(facets, t, (k + 1) % 3)]);
    }
  }
  return curve.samples.reduce((most, { point, s }) => {
    if (side && heightOver(member, point, side) < SEAM) return most;
    const within = (edge: readonly [Vec3, Vec3]): boolean =>
      Math.min(distance(edge[0], point), distance(edge[1], point)) < 10;
    const near = rim.filter(within);
    const least = near.reduce((d, edge) => Math.min(d, toEdge(point, edge)), Number.POSITIVE_INFINITY);
    return Number.isFinite(s) ? Math.max(most, least) : most;
  }, 0);
}

/** How far a place lies from the plane of the centerline, on a side of it. */
function heightOver({ centerline, section }: SkinFeature['member'], p: Vec3, side: Vec3): Mm {
  const { s } = besideCenterline(centerline, section, p);
  const line = clipped(centerline, s, s + 1);
  return dot(sub(p, line.segments[0]!.start.origin), side);
}

function toEdge(p: Vec3, [a, b]: readonly [Vec3, Vec3]): Mm {
  const along = sub(b, a);
  const square = dot(along, along);
  const k = square > 0 ? Math.max(0, Math.min(1, dot(sub(p, a), along) / square)) : 0;
  return distance(p, [a[0] + k * along[0], a[1] + k * along[1], a[2] + k * along[2]]);
}

function skinFaults(found: {
  readonly off: Mm;
  readonly rim: Mm;
  readonly cover: number;
  readonly bow: Mm;
}): readonly Fault[] {
  const faults: Fault[] = [];
  const fault = (message: string, measured: number, limit: number): void => {
    faults.push({ code: 'proof/skin', message, hint: OUR_FAULT, measured, limit });
  };
  const limit = found.bow + CLEARANCE_ROUNDING;
  if (!(found.off <= limit))
    fault(`the outside is up to ${found.off.toFixed(4)} mm off the tube's, limit ${limit} mm`, found.off, limit);
  if (!(found.rim <= EDGE_DEVIATION))
    fault(
      `an end is up to ${found.rim.toFixed(4)} mm off its cut, limit ${EDGE_DEVIATION} mm`,
      found.rim,
      EDGE_DEVIATION,
    );
  if (!(found.cover >= LEAST_SKIN)) {
    const [is, least] = [found.cover, LEAST_SKIN].map((x) => Math.round(100 * x));
    fault(`${is} % of the tube's outside is there, limit ${least} %`, found.cover, LEAST_SKIN);
  }
  return faults;
}
