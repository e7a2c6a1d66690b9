import { unplace, unplaceDirection } from '../geometry/placement.ts';
import { EDGE_DEVIATION } from '../geometry/tolerance.ts';
import { cross, dot, type Mm, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Saw } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import { meshBounds } from '../solid/mesh-check.ts';
import type { CutEnd } from '../solve/solution.ts';
import type { Feature } from '../tooling/tool.ts';
import { type Facets, normalAlong, offsetsFrom } from './facets.ts';
import type { Fault, Measured } from './problem.ts';

export type SlotFeature = Extract<Feature, { kind: 'slot' }>;

export interface SlotFacts {
  readonly deviation: Mm;
  readonly width: Mm;
}

/** Slot faces are looked for this far from where they should be, and are parallel to the cut within this (1 - cosine: 0.08 deg). */
const SEARCH: Mm = 0.5;
const PARALLEL = 1e-6;
/** mm^2. Less of a face guides no blade. */
const LEAST_FACE = 20;
/** Tube this far beyond the cut is cleared too, so that the blade is through. */
const THROUGH: Mm = 1;

/**
 * The slot's two faces against where the cut plane puts them, and whether the blade's way is open: nothing of the tool
 * inside the slot over the whole section of the tube, and from there out to the side (band) or upward (top-down).
 */
export function measureSlot(
  facets: Facets,
  { feature, end, saw }: { readonly feature: SlotFeature; readonly end: CutEnd; readonly saw: Saw },
): Measured<SlotFacts> {
  const offs = offsetsFrom(facets, feature.cut);
  const kept = faceAt(facets, feature, { offs, offset: feature.keptOffset, looks: 1 });
  const waste = faceAt(facets, feature, { offs, offset: feature.keptOffset + feature.width, looks: -1 });
  const tilt = tiltOf(facets, feature);
  const deviation = Math.max(kept.deviation, waste.deviation, tilt);
  const width = waste.middle - kept.middle;
  const faults = [
    ...faceFaults(feature, { kept, waste, deviation, width }),
    ...openFaults(facets, { feature, end, saw }),
  ];
  return { value: { deviation, width }, faults };
}

interface Face {
  readonly area: number;
  readonly middle: Mm;
  readonly deviation: Mm;
}

/** Facets parallel to the cut near an offset from it, looking toward the waste (1) or the body (-1). */
function faceAt(
  facets: Facets,
  { cut }: SlotFeature,
  { offs, offset, looks }: { readonly offs: Float64Array; readonly offset: Mm; readonly looks: 1 | -1 },
): Face {
  const { mesh, areas, longest } = facets;
  let area = 0;
  let sum = 0;
  let deviation = 0;
  for (let t = 0; t < areas.length; t++) {
    if (looks * normalAlong(facets, t, cut.normal) < 1 - PARALLEL) continue;
    const [x, y, z] = [0, 1, 2].map((k) => offs[mesh.triangles[3 * t + k]!]! - offset) as [Mm, Mm, Mm];
    const most = Math.max(Math.abs(x), Math.abs(y), Math.abs(z));
    if (most > SEARCH) continue;
    // A step between slices of the tube's room, some 0.005 mm high, may happen to stand parallel to the cut: it is no face of the slot.
    if ((2 * areas[t]!) / longest[t]! < EDGE_DEVIATION && most > EDGE_DEVIATION) continue;
    area += areas[t]!;
    sum += (areas[t]! * (x + y + z)) / 3;
    deviation = Math.max(deviation, most);
  }
  return { area, middle: offset + (area > 0 ? sum / area : Number.NaN), deviation };
}

/** How far the cut plane leans from square to the table, over the part's height. */
function tiltOf(facets: Facets, { cut }: SlotFeature): Mm {
  const { min, max } = meshBounds(facets.mesh);
  return Math.abs(unplaceDirection(facets.pose, cut.normal)[2]) * (max[2] - min[2]);
}

function faceFaults(
  feature: SlotFeature,
  found: { readonly kept: Face; readonly waste: Face; readonly deviation: Mm; readonly width: Mm },
): readonly Fault[] {
  const faults: Fault[] = [];
  const hint = 'check kerf, blade and clearance of the saw';
  const area = Math.min(found.kept.area, found.waste.area);
  if (!(area >= LEAST_FACE)) {
    const which = found.kept.area < found.waste.area ? 'kept' : 'waste';
    const message = `the slot's face on the ${which} side is not found where the cut puts it: ${figure(area)} mm^2 of it, limit ${LEAST_FACE} mm^2`;
    faults.push({ code: 'proof/slot', message, hint, measured: area, limit: LEAST_FACE });
  }
  if (!(found.deviation <= EDGE_DEVIATION)) {
    const message = `the slot's faces are up to ${found.deviation.toFixed(4)} mm off the cut, limit ${EDGE_DEVIATION} mm`;
    faults.push({ code: 'proof/slot', message, hint, measured: found.deviation, limit: EDGE_DEVIATION });
  }
  if (area > 0 && !(Math.abs(found.width - feature.width) <= EDGE_DEVIATION)) {
    const message = `the slot is ${found.width.toFixed(4)} mm wide, ${figure(feature.width)} mm asked, limit ${EDGE_DEVIATION} mm either way`;
    faults.push({ code: 'proof/slot', message, hint, measured: found.width, limit: feature.width });
  }
  return faults;
}

/** Ranges across the blade, along the cut level with the table, and up, all from the cut's middle, in print pose. */
interface Way {
  readonly name: string;
  readonly ranges: readonly [readonly [Mm, Mm], readonly [Mm, Mm], readonly [Mm, Mm]];
}

function openFaults(
  facets: Facets,
  { feature, end, saw }: { readonly feature: SlotFeature; readonly end: CutEnd; readonly saw: Saw },
): readonly Fault[] {
  const { pose } = facets;
  const origin = unplace(pose, feature.cut.point);
  const across = unplaceDirection(pose, feature.cut.normal);
  const level = unit(cross([0, 0, 1], across));
  const axes = [across, level, [0, 0, 1]] as const;
  const places = end.curves.outer.samples.map(({ point }) => sub(unplace(pose, point), origin));
  const [low, high] = [
    Math.min(...places.map((p) => dot(p, level))) - THROUGH,
    Math.max(...places.map((p) => dot(p, level))) + THROUGH,
  ];
  const under = Math.min(...places.map((p) => p[2])) - THROUGH;
  const { min, max } = meshBounds(facets.mesh);
  const far = Math.hypot(max[0] - min[0], max[1] - min[1]) + Math.hypot(...origin);
  const blade = [feature.keptOffset + EDGE_DEVIATION, feature.keptOffset + feature.width - EDGE_DEVIATION] as const;
  const [bed, top] = [min[2] - origin[2] - 1, max[2] - origin[2] + 1];
  const ways: readonly Way[] =
    saw.kind === 'vertical-band'
      ? [
          { name: 'from the side through base and tube', ranges: [blade, [-far, high], [bed, top]] },
          { name: 'from the side through base and tube', ranges: [blade, [low, far], [bed, top]] },
        ]
      : [{ name: 'from above through the tube', ranges: [blade, [low, high], [under, top]] }];
  const blocked = ways.map(({ ranges }) => areaInside(facets, { origin, axes, ranges }));
  const area = Math.min(...blocked);
  if (!(area > 0)) return [];
  const message = `the slot is not open ${ways[0]!.name}: ${figure(area)} mm^2 of the tool's faces stand in the blade's way`;
  return [
    {
      code: 'proof/slot',
      message,
      hint: 'give another saw, or ask for another kind of tool at this end',
      measured: area,
      limit: 0,
    },
  ];
}

interface Box {
  readonly origin: Vec3;
  readonly axes: readonly [Vec3, Vec3, Vec3];
  readonly ranges: Way['ranges'];
}

/** Area of the print's faces inside a box, mm^2: each facet is cut to the box (Sutherland and Hodgman, 1974). */
function areaInside({ mesh }: Facets, { origin, axes, ranges }: Box): number {
  const { positions: p, triangles } = mesh;
  const offs = Float64Array.from(
    { length: p.length / 3 },
    (_, v) =>
      (p[3 * v]! - origin[0]) * axes[0][0] +
      (p[3 * v + 1]! - origin[1]) * axes[0][1] +
      (p[3 * v + 2]! - origin[2]) * axes[0][2],
  );
  const [near, far] = ranges[0];
  let area = 0;
  for (let i = 0; i < triangles.length; i += 3) {
    const x = offs[triangles[i]!]!;
    const y = offs[triangles[i + 1]!]!;
    const z = offs[triangles[i + 2]!]!;
    if (Math.max(x, y, z) <= near || Math.min(x, y, z) >= far) continue;
    let corners: readonly Vec3[] = [0, 1, 2].map((k): Vec3 => {
      const v = 3 * triangles[i + k]!;
      const from: Vec3 = [p[v]! - origin[0], p[v + 1]! - origin[1], p[v + 2]! - origin[2]];
      return [dot(from, axes[0]), dot(from, axes[1]), dot(from, axes[2])];
    });
    for (const axis of [0, 1, 2] as const) {
      const [low, high] = ranges[axis];
      if (corners.every((c) => c[axis] <= low) || corners.every((c) => c[axis] >= high)) corners = [];
      corners = clip(clip(corners, { axis, at: low, keep: 1 }), { axis, at: high, keep: -1 });
      if (corners.length < 3) break;
    }
    area += polygonArea(corners);
  }
  return area;
}

function clip(
  corners: readonly Vec3[],
  { axis, at, keep }: { readonly axis: 0 | 1 | 2; readonly at: Mm; readonly keep: 1 | -1 },
): readonly Vec3[] {
  const depth = (c: Vec3): Mm => keep * (c[axis] - at);
  if (corners.every((c) => depth(c) >= 0)) return corners;
  return corners.flatMap((c, i) => {
    const next = corners[(i + 1) % corners.length]!;
    const [d, e] = [depth(c), depth(next)];
    const kept = d >= 0 ? [c] : [];
    if (d >= 0 === e >= 0) return kept;
    const k = d / (d - e);
    return [...kept, [c[0] + k * (next[0] - c[0]), c[1] + k * (next[1] - c[1]), c[2] + k * (next[2] - c[2])] as Vec3];
  });
}

function polygonArea(corners: readonly Vec3[]): number {
  let area = 0;
  for (let i = 1; i + 1 < corners.length; i++) {
    const n = cross(sub(corners[i]!, corners[0]!), sub(corners[i + 1]!, corners[0]!));
    area += Math.hypot(...n) / 2;
  }
  return area;
}
