import { frameAt } from '../geometry/centerline.ts';
import { unplace } from '../geometry/placement.ts';
import { perimeter } from '../geometry/section.ts';
import { EDGE_DEVIATION, OVERLAP_VOLUME } from '../geometry/tolerance.ts';
import { generatorOf, sectionAt, tubeReach } from '../geometry/tube-shape.ts';
import { dot, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import { type Bounds, meshBounds } from '../solid/mesh-check.ts';
import type { CutEnd } from '../solve/solution.ts';
import type { Facets } from './facets.ts';
import type { Measured } from './problem.ts';
import type { SlotFeature } from './slot.ts';

/** Generators of the kept tube that are followed. */
const GENERATORS = 48;

/**
 * Kept tube inside the blade's sweep, mm^3: the wall on the body side of the cut, followed from the member's other end to
 * the cut in steps of half a kerf, where it lies between the cut plane and the far side of the kerf within the guide.
 */
export function measureKeptSide(
  facets: Facets,
  { feature, end }: { readonly feature: SlotFeature; readonly end: CutEnd },
): Measured<number> {
  const { centerline } = end.member;
  const section = sectionAt(end.member, end.longPoint);
  const dir = end.end === 'end' ? 1 : -1;
  const { cut, kerf } = feature;
  const bounds = meshBounds(facets.mesh);
  const reach = tubeReach(end.member);
  const samples = end.curves.outer.samples;
  const generators = Array.from({ length: Math.min(GENERATORS, samples.length) }, (_, i) => {
    const { u, s } = samples[Math.floor((i * samples.length) / Math.min(GENERATORS, samples.length))]!;
    return { pointAt: generatorOf(end.member, u).pointAt, t: dir * s };
  });
  const step = Math.max(0.25, kerf / 2);
  const cell = (perimeter(section) / generators.length) * section.wall * step;
  const last = Math.max(...generators.map(({ t }) => t));
  let volume = 0;
  for (let t = dir > 0 ? 0 : -centerline.length; t < last; t += step) {
    const frame = frameAt(centerline, dir * t);
    const off = dot(sub(frame.origin, cut.point), cut.normal);
    if (off < -reach || off > kerf + reach || !insideBy(bounds, unplace(facets.pose, frame.origin), reach)) continue;
    for (const generator of generators) {
      if (t > generator.t - EDGE_DEVIATION) continue;
      const p = generator.pointAt(dir * t);
      const beyond = dot(sub(p, cut.point), cut.normal);
      if (beyond > 0 && beyond < kerf && insideBy(bounds, unplace(facets.pose, p), 0)) volume += cell;
    }
  }
  if (volume <= OVERLAP_VOLUME) return { value: volume, faults: [] };
  const message = `the blade would take about ${figure(volume)} mm^3 off the kept side of the tube, limit 0 mm^3`;
  return {
    value: volume,
    faults: [
      {
        code: 'proof/kept-side',
        message,
        hint: 'the tube comes back through the plane of the cut: cut it before bending, or by hand',
        measured: volume,
        limit: 0,
      },
    ],
  };
}

const insideBy = ({ min, max }: Bounds, p: Vec3, more: Mm): boolean =>
  ([0, 1, 2] as const).every((k) => p[k] >= min[k] - more && p[k] <= max[k] + more);
