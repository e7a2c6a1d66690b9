import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { along, cross, dot, length, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { Feature } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';

type BoreFeature = Extract<Feature, { kind: 'bore' }>;

/** Facets are looked for this far from the hole's radius, and stand along its axis within this sine (3 deg). */
const SEARCH: Mm = 0.4;
const ALONG = 0.05;
/** A blind hole's wall lies between its ends within this; beyond may be another's. */
const PAST_END: Mm = 1;
/** Bins that the turn round the axis is counted in, fewer than a small hole has facets, and the share of them that must be there. */
const BINS = 10;
const LEAST_TURN = 0.95;

/**
 * Largest distance of a hole's wall from where its axis and radius put it. Each facet's plane must touch the round hole: a
 * shifted or leaning axis shows on the facets to one side as too near and to the other as too far. The wall must go all
 * round and be as long as claimed.
 */
export function measureBore(facets: Facets, feature: BoreFeature): Measured<Mm> {
  const { point, axis, radius } = feature;
  const side = sideways(axis);
  const bins = new Uint8Array(BINS);
  let deviation: Mm = 0;
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let t = 0; t < facetCount(facets); t++) {
    const normal = normalOf(facets, t);
    if (Math.abs(dot(normal, axis)) > ALONG) continue;
    const corners = [0, 1, 2].map((k) => cornerOf(facets, t, k));
    const places = corners.map((p) => {
      const along_ = dot(sub(p, point), axis);
      const foot = along(point, axis, along_);
      // How far from the axis the facet's plane stands at this corner, looking inward.
      return { along: along_, apart: dot(sub(foot, p), normal), p, foot };
    });
    if (
      places.some(
        ({ apart, p, foot }) => Math.abs(apart - radius) > SEARCH || length(sub(p, foot)) > radius + 2 * SEARCH,
      )
    )
      continue;
    if (feature.blind && places.some(({ along: a }) => a < -PAST_END || a > feature.length + PAST_END)) continue;
    deviation = Math.max(deviation, ...places.map(({ apart }) => Math.abs(apart - radius)));
    for (const { along: a, p, foot } of places) {
      [low, high] = [Math.min(low, a), Math.max(high, a)];
      const out = sub(p, foot);
      const turn = Math.atan2(dot(out, cross(axis, side)), dot(out, side)) / (2 * Math.PI) + 1;
      bins[Math.floor(turn * BINS) % BINS] = 1;
    }
  }
  const turned = bins.reduce((sum, bin) => sum + bin, 0) / BINS;
  return { value: deviation, faults: boreFaults({ deviation, turned, long: high - low }, feature) };
}

const sideways = (axis: Vec3): Vec3 => {
  const wish: Vec3 = Math.abs(axis[0]) < 0.8 ? [1, 0, 0] : [0, 1, 0];
  const square = cross(axis, wish);
  return [square[0] / length(square), square[1] / length(square), square[2] / length(square)];
};

function boreFaults(
  { deviation, turned, long }: { readonly deviation: Mm; readonly turned: number; readonly long: Mm },
  feature: BoreFeature,
): readonly Fault[] {
  const faults: Fault[] = [];
  const fault = (message: string, measured: number, limit: number): void => {
    faults.push({ code: 'proof/bore', message, hint: OUR_FAULT, measured, limit });
  };
  if (!(deviation <= EDGE_DEVIATION))
    fault(
      `the hole is up to ${deviation.toFixed(4)} mm off its axis and radius, limit ${EDGE_DEVIATION} mm`,
      deviation,
      EDGE_DEVIATION,
    );
  if (!(turned >= LEAST_TURN))
    fault(
      `the wall of the hole is found on ${Math.round(100 * turned)} % of the turn, limit ${100 * LEAST_TURN} %`,
      turned,
      LEAST_TURN,
    );
  if (!(long >= feature.length))
    fault(`the hole guides over ${figure(long)} mm, limit ${figure(feature.length)} mm`, long, feature.length);
  return faults;
}
