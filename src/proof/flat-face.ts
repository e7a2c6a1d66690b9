import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { dot, type Mm, sub } from '../geometry/vector.ts';
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
}

/** The flat face that looks along a plane's normal and lies on it; the side of a letter that happens to lie there is none. */
export function faceOn(facets: Facets, { point, normal }: Plane): FlatFace {
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
  const found = [...lies.keys()].filter((t) => lies[t] === 1 && areas[patches.of[t]!]! >= LEAST_FACE);
  return {
    facets: found,
    area: found.reduce((sum, t) => sum + facets.areas[t]!, 0),
    deviation: found.reduce((most, t) => Math.max(most, off(t)), 0),
  };
}

/** Largest distance of a face that is laid against a table, a fence or a square from its plane; it must have the area claimed. */
export function measureFace(facets: Facets, feature: Extract<Feature, { kind: 'face' }>): Measured<Mm> {
  const { area, deviation } = faceOn(facets, feature.plane);
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
