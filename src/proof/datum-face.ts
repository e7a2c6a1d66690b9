import { frameAt } from '../geometry/centerline.ts';
import { outlineAt } from '../geometry/section.ts';
import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { along, cross, dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { CutEnd } from '../solve/solution.ts';
import type { Datum, Feature } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';
import { patchesOf } from './patches.ts';
import type { Fault, Measured } from './problem.ts';

export type DatumFeature = Extract<Feature, { kind: 'datum' }>;

/** Datum facets are looked for this far from the plane, and face along it within this cosine (2.5 deg). */
const SEARCH: Mm = 0.05;
const FACES = 0.999;
/** Places round the tube's wall that a stop is looked for behind, and the share of them it must be at. */
const PLACES = 24;
const LEAST_STOP = 0.25;
/** mm^2. Less of a flat face sets no line. */
const LEAST_FACE = 5;

/**
 * Largest distance of the datum face from its plane. A stop faces the tube and stands behind its wall; the face for a
 * scribed mark faces the other way, and lies beside the tube.
 */
export function measureDatum(
  facets: Facets,
  { feature, datum, end }: { readonly feature: DatumFeature; readonly datum: Datum; readonly end: CutEnd },
): Measured<Mm> {
  const faces = datum.kind === 'mark' ? -1 : 1;
  const off = (t: number): Mm =>
    Math.max(
      ...[0, 1, 2].map((k) => Math.abs(dot(sub(cornerOf(facets, t, k), feature.plane.point), feature.plane.normal))),
    );
  const lies = Uint8Array.from({ length: facetCount(facets) }, (_, t) =>
    faces * dot(normalOf(facets, t), feature.plane.normal) > FACES && off(t) <= SEARCH ? 1 : 0,
  );
  const patches = patchesOf(facets, { takes: (t) => lies[t] === 1, joins: () => true });
  const areas = new Float64Array(patches.count);
  patches.of.forEach((patch, t) => {
    if (patch >= 0) areas[patch]! += facets.areas[t]!;
  });
  // The side of a letter that happens to lie here is no datum face.
  const found = [...lies.keys()].filter((t) => lies[t] === 1 && areas[patches.of[t]!]! >= LEAST_FACE);
  const area = found.reduce((sum, t) => sum + facets.areas[t]!, 0);
  const deviation = found.reduce((most, t) => Math.max(most, off(t)), 0);
  const stop = datum.kind === 'mark' ? 1 : stopShare(facets, { found, feature, end });
  return { value: deviation, faults: datumFaults({ deviation, area, stop }) };
}

/** Share of the places round the middle of the tube's wall that stand on the face. */
function stopShare(
  facets: Facets,
  { found, feature, end }: { readonly found: readonly number[]; readonly feature: DatumFeature; readonly end: CutEnd },
): number {
  const { section, centerline } = end.member;
  const { origin, right, up } = frameAt(centerline, feature.s);
  let on = 0;
  for (let i = 0; i < PLACES; i++) {
    const [a, b] = outlineAt(section, (i + 0.5) / PLACES, section.wall / 2).point;
    const p = along(along(origin, right, a), up, b);
    if (found.some((t) => holds(facets, t, { p, normal: feature.plane.normal }))) on++;
  }
  return on / PLACES;
}

/** Whether a point lies over a facet, seen along a normal. */
function holds(facets: Facets, t: number, { p, normal }: { readonly p: Vec3; readonly normal: Vec3 }): boolean {
  const corners = [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)] as const;
  const sides = corners.map((c, k) => dot(cross(sub(corners[(k + 1) % 3]!, c), sub(p, c)), normal));
  return sides.every((side) => side >= 0) || sides.every((side) => side <= 0);
}

function datumFaults({
  deviation,
  area,
  stop,
}: {
  readonly deviation: Mm;
  readonly area: number;
  readonly stop: number;
}): readonly Fault[] {
  const faults: Fault[] = [];
  const hint = 'ask for another `datum`';
  if (!(area >= LEAST_FACE)) {
    const message = `no datum face is found on its plane: ${figure(area)} mm^2 within ${SEARCH} mm, limit ${LEAST_FACE} mm^2`;
    faults.push({ code: 'proof/datum', message, hint, measured: area, limit: LEAST_FACE });
  }
  if (!(deviation <= EDGE_DEVIATION)) {
    const message = `the datum face is up to ${deviation.toFixed(4)} mm off its plane, limit ${EDGE_DEVIATION} mm`;
    faults.push({ code: 'proof/datum', message, hint, measured: deviation, limit: EDGE_DEVIATION });
  }
  if (!(stop >= LEAST_STOP)) {
    const message = `the stop stands behind ${Math.round(100 * stop)} % of the tube's wall, limit ${Math.round(100 * LEAST_STOP)} %`;
    faults.push({ code: 'proof/datum', message, hint, measured: stop, limit: LEAST_STOP });
  }
  return faults;
}
