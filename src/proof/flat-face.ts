import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import type { Feature } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount, normalAlong, offsetsFrom } from './facets.ts';
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
export function faceOn(facets: Facets, plane: Plane, belongs?: (corner: Vec3) => boolean): FlatFace {
  const { triangles } = facets.mesh;
  const offsets = offsetsFrom(facets, plane);
  const off = (t: number): Mm =>
    Math.max(
      Math.abs(offsets[triangles[3 * t]!]!),
      Math.abs(offsets[triangles[3 * t + 1]!]!),
      Math.abs(offsets[triangles[3 * t + 2]!]!),
    );
  const lies = new Uint8Array(facetCount(facets));
  for (let t = 0; t < lies.length; t++)
    if (normalAlong(facets, t, plane.normal) > FACES && off(t) <= FACE_SEARCH) lies[t] = 1;
  const patches = patchesOf(facets, { among: lies });
  const areas = new Float64Array(patches.count);
  const large: number[] = [];
  for (let t = 0; t < lies.length; t++) if (lies[t] === 1) areas[patches.of[t]!]! += facets.areas[t]!;
  for (let t = 0; t < lies.length; t++) if (lies[t] === 1 && areas[patches.of[t]!]! >= LEAST_FACE) large.push(t);
  const own = new Set<number>();
  for (const t of large) {
    const patch = patches.of[t]!;
    if (belongs && !own.has(patch) && [0, 1, 2].some((k) => belongs(cornerOf(facets, t, k)))) own.add(patch);
  }
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
