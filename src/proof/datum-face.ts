import { frameAt } from '../geometry/centerline.ts';
import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { generatorOf } from '../geometry/tube-shape.ts';
import { along, dot, type Mm, scale, sub, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { Feature } from '../tooling/tool.ts';
import type { Facets } from './facets.ts';
import { FACE_SEARCH, faceOn, LEAST_FACE } from './flat-face.ts';
import type { Fault, Measured } from './problem.ts';
import { type Tube, tubeBody } from './tube.ts';

export type DatumFeature = Extract<Feature, { kind: 'datum' }>;

/** Places round the tube's wall that a stop is looked for behind, and the share of them it must be at. */
const PLACES = 24;
const LEAST_STOP = 0.25;
/** mm. A datum face comes this near its tube, lead-in and clearance counted; a face of another post that lies in line does not. */
const BESIDE_TUBE: Mm = 2.5;

/**
 * Largest distance of the datum face from its plane. A stop faces the tube and stands behind its wall; the face for a
 * scribed mark faces the other way, and lies beside the tube.
 */
export function measureDatum(
  facets: Facets,
  { feature, tube }: { readonly feature: DatumFeature; readonly tube: Tube },
): Measured<Mm> {
  const { plane, by } = feature;
  const looks = by === 'mark' ? { ...plane, normal: scale(plane.normal, -1) } : plane;
  const body = tubeBody(tube);
  const face = faceOn(facets, looks, (p) => body.distance(p) < BESIDE_TUBE);
  const stop = by === 'mark' ? 1 : stopShare(facets, { found: face.facets, feature, tube });
  return { value: face.deviation, faults: datumFaults({ ...face, stop }) };
}

/** Share of the places round the middle of the tube's wall that stand on the face. */
function stopShare(
  facets: Facets,
  { found, feature, tube }: { readonly found: readonly number[]; readonly feature: DatumFeature; readonly tube: Tube },
): number {
  const { section } = tube.member;
  const { plane } = feature;
  const { heading } = frameAt(tube.member.centerline, feature.s);
  let on = 0;
  for (let i = 0; i < PLACES; i++) {
    const beside = generatorOf(tube.member, (i + 0.5) / PLACES, section.wall / 2).pointAt(feature.s);
    // Along the tube's own line onto the plane, which may stand at a miter to it.
    const p = along(beside, heading, dot(sub(plane.point, beside), plane.normal) / dot(heading, plane.normal));
    if (found.some((t) => holds(facets, t, { p, normal: plane.normal }))) on++;
  }
  return on / PLACES;
}

/** Whether a point lies over a facet, seen along a normal: on the same side of its three edges. */
function holds(
  { mesh, positions }: Facets,
  t: number,
  { p, normal }: { readonly p: Vec3; readonly normal: Vec3 },
): boolean {
  let left = true;
  let right = true;
  for (let k = 0; k < 3 && (left || right); k++) {
    const a = 3 * mesh.triangles[3 * t + k]!;
    const b = 3 * mesh.triangles[3 * t + ((k + 1) % 3)]!;
    const ex = positions[b]! - positions[a]!;
    const ey = positions[b + 1]! - positions[a + 1]!;
    const ez = positions[b + 2]! - positions[a + 2]!;
    const x = p[0] - positions[a]!;
    const y = p[1] - positions[a + 1]!;
    const z = p[2] - positions[a + 2]!;
    const side = (ey * z - ez * y) * normal[0] + (ez * x - ex * z) * normal[1] + (ex * y - ey * x) * normal[2];
    if (!(side >= 0)) left = false;
    if (!(side <= 0)) right = false;
  }
  return left || right;
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
    const message = `no datum face is found on its plane: ${figure(area)} mm^2 within ${FACE_SEARCH} mm, limit ${LEAST_FACE} mm^2`;
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
