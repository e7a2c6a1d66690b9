import { unplace, unplaceDirection } from '../geometry/placement.ts';
import { EDGE_DEVIATION, EDGE_GAP } from '../geometry/tolerance.ts';
import { triangleDistance } from '../geometry/triangle.ts';
import {
  along,
  anySquareTo,
  cross,
  distance,
  dot,
  type Mm,
  sub,
  unit,
  type Vec2,
  type Vec3,
} from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import { meshBounds } from '../solid/mesh-check.ts';
import type { Feature } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';
import type { Held } from './held.ts';
import { type Fault, type Measured, OUR_FAULT } from './problem.ts';
import { firstHit, rayTree } from './rays.ts';
import { tubeBody } from './tube.ts';

export type WindowFeature = Extract<Feature, { kind: 'window' }>;

export interface WindowFacts {
  /** Largest distance between where the walls come down on the tube and the edge of the hole, along the tube's outside. */
  readonly deviation: Mm;
  /** Share of the edge that a wall was found on. */
  readonly cover: number;
}

/** Walls are looked for this far from the edge, and stand along the way out within this sine (0.6 deg). */
const SEARCH: Mm = 0.3;
const UPRIGHT = 0.01;
/** A lower facet is a step between slices of the tube's room, no wall of the window. */
const LEAST_HEIGHT: Mm = 0.5;
/** Above the gap between tube and gauge a wall must have begun. */
const BEGUN: Mm = 0.3;
/** Step of the gradient that tells how the tube's outside stands. */
const PROBE: Mm = 1e-3;
/** Least sine of the angle between wall and tube: what a wall is off shows this many times as large at most. */
const LEAST_SINE = 0.1;
/** Places of the edge nearer than this have no direction between them. */
const SAME_CORNER: Mm = 1e-3;
/** Rays through the hole stand this far inside its edge. */
const INSIDE: Mm = 0.1;

/**
 * The window's walls against the edge of the hole, both ways: every corner of a wall from the edge, every place of the edge
 * from a wall, as far as they miss each other on the tube's outside; and whether the hole is open all through.
 */
export function measureWindow(
  facets: Facets,
  { feature, held }: { readonly feature: WindowFeature; readonly held: Held },
): Measured<WindowFacts> {
  const outline = outlineOf(feature, held);
  const walls = wallsNear(facets, feature, outline);
  const off = walls.reduce((most, { deviation }) => Math.max(most, deviation), 0);
  const missed = outline.places.map((place) => {
    const p = along(place.point, feature.out, (held.fit.clearance.most + BEGUN) / Math.max(LEAST_SINE, place.facing));
    return Math.min(...walls.map(({ corners }) => triangleDistance(p, corners))) / place.sine;
  });
  const seen = missed.filter((miss) => miss <= SEARCH);
  const deviation = Math.max(off, ...seen);
  const cover = seen.length / missed.length;
  return {
    value: { deviation, cover },
    faults: [...edgeFaults({ deviation, cover }), ...openFaults(facets, feature, outline)],
  };
}

interface Place {
  readonly point: Vec3;
  /** Seen along the way out. */
  readonly flat: Vec2;
  /** Cosine between the tube's outward normal and the way out. */
  readonly facing: number;
  /** Sine between the wall and the tube's outside. */
  readonly sine: number;
}

interface Outline {
  readonly axes: readonly [Vec3, Vec3];
  readonly places: readonly Place[];
  /** 1 where the flat edge runs counterclockwise. */
  readonly turn: 1 | -1;
}

function outlineOf({ edge: closed, out }: WindowFeature, { tube }: Held): Outline {
  // A sharp corner of the hole is several places of its edge at one.
  const edge = closed.filter((p, i) => distance(p, closed[(i + 1) % closed.length]!) > SAME_CORNER);
  const x = anySquareTo(out);
  const axes = [x, cross(out, x)] as const;
  const flats = edge.map((p): Vec2 => [dot(p, axes[0]), dot(p, axes[1])]);
  const body = tubeBody(tube);
  const places = edge.map((point, i): Place => {
    const gradient = ([0, 1, 2] as const).map((k) => {
      const step = (by: Mm): Vec3 => point.map((c, j) => c + (j === k ? by : 0)) as unknown as Vec3;
      return body.distance(step(PROBE)) - body.distance(step(-PROBE));
    }) as unknown as Vec3;
    const normal = unit(gradient);
    const [p, q] = [flats[(i + flats.length - 1) % flats.length]!, flats[(i + 1) % flats.length]!];
    const long = Math.hypot(q[0] - p[0], q[1] - p[1]);
    const [nx, ny] = [(q[1] - p[1]) / long, (p[0] - q[0]) / long];
    const across = nx * dot(normal, axes[0]) + ny * dot(normal, axes[1]);
    return {
      point,
      flat: flats[i]!,
      facing: dot(normal, out),
      sine: Math.max(LEAST_SINE, Math.sqrt(Math.max(0, 1 - across * across))),
    };
  });
  const area = flats.reduce((sum, p, i) => {
    const q = flats[(i + 1) % flats.length]!;
    return sum + p[0] * q[1] - q[0] * p[1];
  }, 0);
  return { axes, places, turn: area > 0 ? 1 : -1 };
}

interface Wall {
  readonly corners: readonly [Vec3, Vec3, Vec3];
  readonly deviation: Mm;
}

/** Facets that stand along the way out beside the edge, with how far their corners lie from it. */
function wallsNear(facets: Facets, { out }: WindowFeature, { axes, places }: Outline): readonly Wall[] {
  const walls: Wall[] = [];
  for (let t = 0; t < facetCount(facets); t++) {
    if (Math.abs(dot(normalOf(facets, t), out)) > UPRIGHT) continue;
    const corners = [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)] as const;
    const offs = corners.map((p) => offEdge([dot(p, axes[0]), dot(p, axes[1])], places));
    if (!offs.every(({ flat }) => flat <= SEARCH)) continue;
    const heights = corners.map((p) => dot(p, out));
    const tall = Math.max(...heights) - Math.min(...heights) >= LEAST_HEIGHT;
    walls.push({ corners, deviation: tall ? Math.max(...offs.map(({ flat, sine }) => flat / sine)) : 0 });
  }
  return walls;
}

/** Distance of a flat place from the flat edge, and the sine of the wall there. */
function offEdge([x, y]: Vec2, places: readonly Place[]): { readonly flat: Mm; readonly sine: number } {
  let flat = Number.POSITIVE_INFINITY;
  let sine = 1;
  for (let i = 0; i < places.length; i++) {
    const { flat: p } = places[i]!;
    const q = places[(i + 1) % places.length]!.flat;
    const [dx, dy] = [q[0] - p[0], q[1] - p[1]];
    const share = Math.max(0, Math.min(1, ((x - p[0]) * dx + (y - p[1]) * dy) / (dx * dx + dy * dy || 1)));
    const d = Math.hypot(x - p[0] - share * dx, y - p[1] - share * dy);
    if (d < flat) {
      flat = d;
      sine = places[i]!.sine;
    }
  }
  return { flat, sine };
}

function edgeFaults({ deviation, cover }: WindowFacts): readonly Fault[] {
  const faults: Fault[] = [];
  if (!(deviation <= EDGE_DEVIATION)) {
    const message = `the window's walls come down up to ${deviation.toFixed(4)} mm off the edge of the hole, limit ${EDGE_DEVIATION} mm`;
    faults.push({ code: 'proof/edge', message, hint: OUR_FAULT, measured: deviation, limit: EDGE_DEVIATION });
  }
  if (!(cover >= 1 - EDGE_GAP)) {
    const message = `the window has a wall on ${figure(100 * cover)} % of the hole's edge, limit ${figure(100 * (1 - EDGE_GAP))} %`;
    faults.push({ code: 'proof/edge', message, hint: OUR_FAULT, measured: cover, limit: 1 - EDGE_GAP });
  }
  return faults;
}

/** Rays from beyond the outside inward, beside every place of the edge and halfway to the middle: nothing may stand in them. */
function openFaults(facets: Facets, { out }: WindowFeature, { places, axes, turn }: Outline): readonly Fault[] {
  const { mesh, pose } = facets;
  const tree = rayTree(mesh);
  const { min, max } = meshBounds(mesh);
  const far = Math.hypot(max[0] - min[0], max[1] - min[1], max[2] - min[2]);
  const toward = unplaceDirection(pose, [-out[0], -out[1], -out[2]]);
  const middle = places.reduce((sum, { point }) => along(sum, point, 1 / places.length), [0, 0, 0] as Vec3);
  const probes = places.flatMap(({ point, flat }, i) => {
    const next = places[(i + 1) % places.length]!.flat;
    const long = Math.hypot(next[0] - flat[0], next[1] - flat[1]);
    if (!(long > 0)) return [];
    const half = along(point, sub(places[(i + 1) % places.length]!.point, point), 0.5);
    const inward = along(
      along(half, axes[0], (-turn * INSIDE * (next[1] - flat[1])) / long),
      axes[1],
      (turn * INSIDE * (next[0] - flat[0])) / long,
    );
    // In a corner the other side comes nearer than the one it was taken from.
    const clear = offEdge([dot(inward, axes[0]), dot(inward, axes[1])], places).flat > 0.9 * INSIDE;
    return [...(clear ? [inward] : []), along(middle, sub(point, middle), 0.5)];
  });
  const blocked = probes.filter((p) =>
    firstHit(tree, { from: unplace(pose, along(p, out, 2 * far)), toward, beyond: 0 }),
  );
  if (blocked.length === 0) return [];
  const share = (100 * blocked.length) / probes.length;
  const message = `something of the gauge stands in ${figure(share)} % of the hole, limit 0 %`;
  return [{ code: 'proof/edge', message, hint: OUR_FAULT, measured: share, limit: 0 }];
}
