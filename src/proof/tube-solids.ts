import { type Centerline, frameAt } from '../geometry/centerline.ts';
import { type Placement, place, placementFrom, unplace, unplaceDirection } from '../geometry/placement.ts';
import { facetsFor } from '../geometry/section.ts';
import { ON_BED, PROOF_FACET, PROOF_INSET } from '../geometry/tolerance.ts';
import { generatorOf, outlineOn, type TubeShape, tubeKinks, tubeReach } from '../geometry/tube-shape.ts';
import { along, cross, dot, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import type { Solid } from '../solid/expression.ts';
import type { Mesh } from '../solid/mesh.ts';
import { type Bounds, meshBounds } from '../solid/mesh-check.ts';
import { outward } from '../tooling/sweep.ts';
import type { Facets } from './facets.ts';
import { clipped, type Tube } from './tube.ts';

/** Everything the tube passes through on its straight way out, as one solid in print pose; undefined when none of it comes near the part. */
export function liftedTube(facets: Facets, tube: Tube, out: Vec3): Solid | undefined {
  const { pose } = facets;
  const bounds = meshBounds(facets.mesh);
  const line = eased(tube);
  const shape: TubeShape = { section: tube.section, centerline: line };
  const stations = stationsOf(shape);
  const rings = ringsAt(shape, stations).map((ring) => ring.map((p) => unplace(pose, p)));
  const level = stations.map((s) => Math.abs(dot(frameAt(line, s).heading, out)) < 1e-9);
  const diagonal = Math.hypot(
    bounds.max[0] - bounds.min[0],
    bounds.max[1] - bounds.min[1],
    bounds.max[2] - bounds.min[2],
  );
  const lift = scale(unplaceDirection(pose, out), 2 * diagonal + 2 * tubeReach(shape));
  const solids: Solid[] = [];
  let run: (readonly Vec3[])[] = [];
  const close = (): void => {
    if (run.length > 1) solids.push({ kind: 'mesh', name: 'tube lifted out', mesh: liftedMesh(run, lift) });
    run = [];
  };
  for (let i = 0; i + 1 < rings.length; i++) {
    const [here, next] = [rings[i]!, rings[i + 1]!];
    const points = [...here, ...next].flatMap((p) => [p, along(p, lift, 1)]);
    const [far, isLevel] = [apart(points, bounds), level[i]! && level[i + 1]!];
    if (far || !isLevel) close();
    if (far) continue;
    if (!isLevel) solids.push({ kind: 'hull', name: `tube lifted out ${i + 1}`, points });
    else run.push(...(run.length === 0 ? [here, next] : [next]));
  }
  close();
  const whole: Solid | undefined =
    solids.length > 1 ? { kind: 'union', name: 'tube lifted out', of: solids } : solids[0];
  if (!whole || tube.ends.length === 0) return whole;
  return { kind: 'subtract', name: 'tube lifted out', from: whole, cuts: tube.ends.map((end) => beyond(end, pose)) };
}

/** Everything beyond the plane an end is cut on, from a hair inside it: the end stands on a datum face, measured on its own. */
function beyond({ point, normal }: Plane, pose: Placement): Solid {
  const at = placementFrom(unplace(pose, along(point, normal, -ON_BED)), unplaceDirection(pose, normal), SOME_WAY);
  const [far, ways] = [BEYOND, [-BEYOND, BEYOND] as const];
  const points = ways.flatMap((x) => ways.flatMap((y) => [0, far].map((z) => place(at, [x, y, z]))));
  return { kind: 'hull', name: 'beyond the end', points };
}

/** mm. More than any tool is long. */
const BEYOND: Mm = 2000;
/** A way to lay a box by; ends that lie across the way in stand upright in print pose, never square to it. */
const SOME_WAY: Vec3 = [0.36, 0.48, 0.8];

/** Rings of one level path, each widened to its shadow along the way out: lower half, then the upper half lifted. */
function liftedMesh(rings: readonly (readonly Vec3[])[], lift: Vec3): Mesh {
  const profiles = rings.map((ring, i) => {
    const heading =
      i + 1 < rings.length ? along(rings[i + 1]![0]!, ring[0]!, -1) : along(ring[0]!, rings[i - 1]![0]!, -1);
    return shadow(ring, cross(lift, heading), lift);
  });
  return tubeMesh(profiles);
}

/** Outline from its one extreme across to the other, the part toward `lift` moved by it. */
function shadow(ring: readonly Vec3[], across: Vec3, lift: Vec3): readonly Vec3[] {
  const sides = ring.map((p) => dot(p, across));
  // Along a flat many are extreme; the same one of them in every ring, whatever rounding says.
  const [most, least] = [Math.max(...sides), Math.min(...sides)];
  const hair = (most - least) * 1e-9;
  const right = sides.findIndex((side) => side >= most - hair);
  const left = sides.findIndex((side) => side <= least + hair);
  const walk = (from: number, to: number): readonly Vec3[] => {
    const points: Vec3[] = [];
    for (let i = from; ; i = (i + 1) % ring.length) {
      points.push(ring[i]!);
      if (i === to) return points;
    }
  };
  const [first, second] = [walk(right, left), walk(left, right)];
  const mean = (points: readonly Vec3[]): number => points.reduce((sum, p) => sum + dot(p, lift), 0) / points.length;
  const upper = (points: readonly Vec3[]): readonly Vec3[] => points.map((p) => along(p, lift, 1));
  return mean(first) > mean(second) ? [...upper(first), ...second] : [...first, ...upper(second)];
}

/** A tube along a path, as a solid in print pose. */
export function tubeAlong(shape: TubeShape, pose: Placement): Solid {
  const rings = ringsAt(shape, stationsOf(shape)).map((ring) => ring.map((p) => unplace(pose, p)));
  return { kind: 'mesh', name: 'tube slid along', mesh: tubeMesh(rings) };
}

/** The tube with its ends a hair short: they stand on datum faces, which are measured on their own. */
export const eased = (tube: Tube): Centerline => clipped(tube.line, ON_BED, tube.line.length - ON_BED);

/** u all round: kinks and equal steps between, so that facets lie inside the tube by no more than the proof's bow. */
function proofUs(shape: TubeShape): readonly number[] {
  const kinks = tubeKinks(shape);
  const around = facetsFor(tubeReach(shape), PROOF_FACET);
  return kinks.flatMap((from, i) => {
    const to = kinks[i + 1] ?? kinks[0]! + 1;
    const p = outlineOn(shape, 0, from + (to - from) * 1e-6).normal;
    const q = outlineOn(shape, 0, to - (to - from) * 1e-6).normal;
    const turn = Math.acos(Math.max(-1, Math.min(1, p[0] * q[0] + p[1] * q[1]))) / (2 * Math.PI);
    const steps = Math.max(1, Math.ceil(turn * around));
    return Array.from({ length: steps }, (_, k) => (from + ((to - from) * k) / steps) % 1);
  });
}

/** s of the rings: ends, tangent points, and in bends steps that bow by no more than the proof's bow. */
function stationsOf(shape: TubeShape): readonly Mm[] {
  const line = shape.centerline;
  const stations = line.segments.flatMap((segment) => {
    if (segment.kind !== 'bend') return [segment.s0];
    const around = facetsFor(segment.clr + tubeReach(shape), PROOF_FACET);
    const steps = Math.max(1, Math.ceil((segment.bendAngleDeg / 360) * around));
    return Array.from({ length: steps }, (_, k) => segment.s0 + (segment.length * k) / steps);
  });
  return [...stations, line.length];
}

function ringsAt(shape: TubeShape, stations: readonly Mm[]): readonly (readonly Vec3[])[] {
  const generators = proofUs(shape).map((u) => generatorOf(shape, u, PROOF_INSET));
  return stations.map((s) => generators.map((generator) => generator.pointAt(s)));
}

/** Closed mesh through rings, first and last closed by fans. */
function tubeMesh(rings: readonly (readonly Vec3[])[]): Mesh {
  const around = rings[0]!.length;
  const triangles: number[] = [];
  for (let r = 0; r + 1 < rings.length; r++) {
    for (let i = 0; i < around; i++) {
      const [a, b] = [r * around + i, r * around + ((i + 1) % around)];
      triangles.push(a, b, b + around, a, b + around, a + around);
    }
  }
  const last = (rings.length - 1) * around;
  for (let i = 1; i + 1 < around; i++) triangles.push(0, i + 1, i, last, last + i, last + i + 1);
  return outward({ positions: Float64Array.from(rings.flat(2)), triangles: Uint32Array.from(triangles) });
}

/** Whether a box round the points misses the part's. */
const apart = (points: readonly Vec3[], { min, max }: Bounds): boolean =>
  ([0, 1, 2] as const).some((k) => points.every((p) => p[k] < min[k]) || points.every((p) => p[k] > max[k]));
