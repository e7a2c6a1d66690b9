import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import type { Feature } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';
import { patchesOf } from './patches.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';

/** Facets of a face are looked for this far from its plane, and face along it within this cosine (2.5 deg). */
export const FACE_SEARCH: Mm = 0.05;
const FACES = 0.999;
/** mm^2. Less of a flat face sets no line. */
export const LEAST_FACE = 5;

export interface FlatFace {
  /** The facets that make it up. */
  readonly facets: readonly number[];
  readonly area: number;
  /** Largest distance of a corner from the plane. */
  readonly deviation: Mm;
  /** Of its parts that hang together, those that lie on the plane as near as they must. */
  readonly exact: { readonly area: number; readonly deviation: Mm };
}

/**
 * The flat face that looks along a plane's normal and lies on it; the side of a letter that happens to lie there is none, nor
 * are faces of which no corner is one that `belongs`, where there are others.
 */
export function faceOn(facets: Facets, { point, normal }: Plane, belongs?: (corner: Vec3) => boolean): FlatFace {
  const off = (t: number): Mm =>
    Math.max(...[0, 1, 2].map((k) => Math.abs(dot(sub(cornerOf(facets, t, k), point), normal))));
  const lies = Uint8Array.from({ length: facetCount(facets) }, (_, t) =>
    dot(normalOf(facets, t), normal) > FACES && off(t) <= FACE_SEARCH ? 1 : 0,
  );
  const patches = patchesOf(facets, { takes: (t) => lies[t] === 1, joins: () => true });
  const areas = new Float64Array(patches.count);
  patches.of.forEach((patch, t) => {
    if (patch >= 0) areas[patch]! += facets.areas[t]!;
  });
  const large = [...lies.keys()].filter((t) => lies[t] === 1 && areas[patches.of[t]!]! >= LEAST_FACE);
  const own = new Set(
    large.filter((t) => belongs && [0, 1, 2].some((k) => belongs(cornerOf(facets, t, k)))).map((t) => patches.of[t]!),
  );
  const found = own.size > 0 ? large.filter((t) => own.has(patches.of[t]!)) : large;
  return {
    facets: found,
    area: found.reduce((sum, t) => sum + facets.areas[t]!, 0),
    deviation: found.reduce((most, t) => Math.max(most, off(t)), 0),
    ...onPlane(found, { areas: facets.areas, off, patchOf: (t) => patches.of[t]! }),
  };
}

/** Of faces found, what those that lie wholly on the plane come to: others may lie near it by chance. */
function onPlane(
  found: readonly number[],
  of: { readonly areas: Float64Array; readonly off: (t: number) => Mm; readonly patchOf: (t: number) => number },
): Pick<FlatFace, 'exact'> {
  const astray = new Set(found.filter((t) => of.off(t) > EDGE_DEVIATION).map(of.patchOf));
  const exact = found.filter((t) => !astray.has(of.patchOf(t)));
  return {
    exact: {
      area: exact.reduce((sum, t) => sum + of.areas[t]!, 0),
      deviation: exact.reduce((most, t) => Math.max(most, of.off(t)), 0),
    },
  };
}

/** Largest distance of a face that is laid against a table, a fence or a square from its plane; it must have the area claimed. */
export function measureFace(facets: Facets, feature: Extract<Feature, { kind: 'face' }>): Measured<Mm> {
  const face = faceOn(facets, feature.plane);
  // Where all that is claimed lies on the plane, what lies near it is another face.
  const { area, deviation } = face.exact.area >= feature.area ? face.exact : face;
  const faults: Fault[] = [];
  if (!(area >= feature.area)) {
    const message = `a flat face has ${figure(area)} mm^2 on its plane, limit ${figure(feature.area)} mm^2`;
    faults.push({ code: 'proof/datum', message, hint: OUR_FAULT, measured: area, limit: feature.area });
  }
  if (!(deviation <= EDGE_DEVIATION)) {
    const message = `a flat face is up to ${deviation.toFixed(4)} mm off its plane, limit ${EDGE_DEVIATION} mm`;
    faults.push({ code: 'proof/datum', message, hint: OUR_FAULT, measured: deviation, limit: EDGE_DEVIATION });
  }
  return { value: deviation, faults };
}
