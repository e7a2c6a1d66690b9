import { frameAt } from '../geometry/centerline.ts';
import { EDGE_DEVIATION, EDGE_GAP, SPLIT_GAP, TRACE_ROOT } from '../geometry/tolerance.ts';
import { generatorOf } from '../geometry/tube-shape.ts';
import { dot, lerp, type Mm, sub, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import { figure } from '../job/problem.ts';
import { cutAt } from '../solve/generator.ts';
import type { CutEnd } from '../solve/solution.ts';
import type { Feature } from '../tooling/tool.ts';
import {
  awayFromCurve,
  besideCurve,
  type CurveTable,
  curveTable,
  footOnTube,
  retrace,
  turnBeside,
} from './curve-table.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';
import type { Fit } from './fit.ts';
import type { Fault, Measured } from './problem.ts';
import type { Tube } from './tube.ts';

export type EdgeFeature = Extract<Feature, { kind: 'cut-edge' }>;

export interface EdgeFacts {
  readonly deviation: Mm;
  readonly cover: number;
}

/** How far from the solved curve, along the tube, a rim is looked for. */
const SEARCH: Mm = 1;
/** A rim's face looks along the tube at least this much (as a cosine); the faces two parts meet on do not at all. */
const LOOKS_ALONG = 0.02;
/** Cosine. A joint's face lies along its plane to within 2.5 deg. */
const ON_JOINT = 0.999;
/** Generators of the solved curve that are traced anew, from the far end of the tube to the cut. */
const RETRACED = { outer: 16, inner: 16, square: 4 } as const;

/** Distance of the bore's rim from the cut, traced anew for every corner and edge middle found on the mesh. */
export function measureEdge(
  facets: Facets,
  {
    feature,
    end,
    tube,
    fit,
  }: { readonly feature: EdgeFeature; readonly end: CutEnd; readonly tube: Tube; readonly fit: Fit },
): Measured<EdgeFacts> {
  const table = curveTable(end, feature.curve);
  const found: Found = { deviation: 0, spans: [] };
  for (const [p, q] of rimEdges(facets, { table, tube, fit, joints: feature.joints ?? [] })) {
    // The far corner is the next edge's first.
    const shares = Math.hypot(q[0] - p[0], q[1] - p[1], q[2] - p[2]) > LONG_EDGE ? [0, 0.25, 0.5, 0.75] : [0, 0.5];
    for (const k of shares) {
      const point = lerp(p, q, k);
      if (feature.plane) found.deviation = Math.max(found.deviation, offPlane(feature.plane, point));
      else look(found, { end, table, tube, point });
    }
    const [from, to] = [p, q].map((corner) => turnBeside(table, besideCurve(table, tube, corner))) as [number, number];
    found.spans.push(shortWay(from, to));
  }
  const { cover, gap } = coverOf(found.spans, feature);
  const traced = curveOff(end, feature);
  const value = { deviation: Math.max(found.deviation, traced), cover };
  return { value, faults: edgeFaults(value, gap) };
}

const offPlane = ({ point, normal }: Plane, p: Vec3): Mm => Math.abs(dot(sub(p, point), normal));

/** Edges longer than this are looked at in their quarters too. */
const LONG_EDGE: Mm = 1;

interface Found {
  deviation: Mm;
  readonly spans: (readonly [number, number])[];
}

/** Edges of the mesh between the bore and a face that looks along the tube, near the solved curve. */
function rimEdges(
  facets: Facets,
  {
    table,
    tube,
    fit,
    joints,
  }: { readonly table: CurveTable; readonly tube: Tube; readonly fit: Fit; readonly joints: readonly Plane[] },
): readonly (readonly [Vec3, Vec3])[] {
  const edges: (readonly [Vec3, Vec3])[] = [];
  const line = tube.line;
  for (let t = 0; t < facetCount(facets); t++) {
    if (fit.facing[t] === 0) continue;
    for (let k = 0; k < 3; k++) {
      const other = facets.neighbors[3 * t + k]!;
      if (other < 0 || fit.facing[other] === 1) continue;
      const [p, q] = [cornerOf(facets, t, k), cornerOf(facets, t, (k + 1) % 3)];
      const middle = besideCurve(table, tube, lerp(p, q, 0.5));
      if (Math.abs(middle.s - middle.solved.s) > SEARCH) continue;
      const { heading } = frameAt(line, middle.s - tube.from);
      if (Math.abs(dot(normalOf(facets, other), heading)) <= LOOKS_ALONG) continue;
      if (!joints.some((joint) => liesOn(facets, other, joint))) edges.push([p, q]);
    }
  }
  return edges;
}

/** Whether a facet is of one of the two faces that pieces meet with on a plane. */
const liesOn = (facets: Facets, t: number, joint: Plane): boolean =>
  Math.abs(dot(normalOf(facets, t), joint.normal)) > ON_JOINT &&
  [0, 1, 2].every((k) => offPlane(joint, cornerOf(facets, t, k)) < SPLIT_GAP);

interface Look {
  readonly end: CutEnd;
  readonly table: CurveTable;
  readonly tube: Tube;
  readonly point: Vec3;
}

/** Measures one point of the rim. */
function look(found: Found, { end, table, tube, point }: Look): void {
  const { s, beside, solved } = besideCurve(table, tube, point);
  const foot = footOnTube(end.member.section, ...beside);
  const exact = retrace(end, table.curve, { ...foot, u: solved.u, near: solved }) ?? solved.s;
  const speed = generatorOf(end.member, solved.u).speedAt(s);
  // On the unrolled tube a steep curve is nearer than it is along the generator; a cliff is nearer than any slope tells.
  const off = (Math.abs(s - exact) * speed) / Math.hypot(1, solved.slope * speed);
  const far = off > EDGE_DEVIATION ? awayFromCurve(table, { u: solved.u, s, speed }) : off;
  found.deviation = Math.max(found.deviation, Math.min(off, far));
}

/** The span between two u, the short way round; it may reach past 1. */
const shortWay = (p: number, q: number): readonly [number, number] => {
  const [low, high] = p < q ? [p, q] : [q, p];
  return high - low <= 0.5 ? [low, high] : [high, low + 1];
};

/** Share of the feature's turn that the spans cover, and the longest stretch of it that they leave. */
function coverOf(
  spans: readonly (readonly [number, number])[],
  feature: EdgeFeature,
): { readonly cover: number; readonly gap: number } {
  const { from, to } = feature;
  const whole = to - from;
  const inside = spans
    .flatMap(([low, high]) => [-2, -1, 0, 1, 2].map((k) => [Math.max(from, low + k), Math.min(to, high + k)] as const))
    .filter(([low, high]) => high > low)
    .sort((p, q) => p[0] - q[0]);
  let at = from;
  let missing = 0;
  let gap = 0;
  for (const [low, high] of [...inside, [to, to] as const]) {
    if (low > at) {
      missing += low - at;
      gap = Math.max(gap, low - at);
    }
    at = Math.max(at, high);
  }
  return { cover: 1 - missing / whole, gap };
}

/** How far the feature's curve itself is from generators traced anew along the whole tube. */
function curveOff(end: CutEnd, { curve }: EdgeFeature): Mm {
  const { samples, surface } = curve;
  const count = Math.min(RETRACED[surface], samples.length);
  let off = 0;
  for (let i = 0; i < count; i++) {
    const sample = samples[Math.floor((i * samples.length) / count)]!;
    const cut = cutAt(end, sample.u, surface);
    const apart = cut.kind === 'cut' ? Math.abs(cut.s - sample.s) : Number.POSITIVE_INFINITY;
    // The solve's own roots differ by twice their bisection; that is no deviation of the print.
    if (apart > 1e3 * TRACE_ROOT) off = Math.max(off, apart);
  }
  return off;
}

function edgeFaults({ deviation, cover }: EdgeFacts, gap: number): readonly Fault[] {
  const faults: Fault[] = [];
  const hint = 'give shop.chord-tolerance a smaller value';
  if (!(deviation <= EDGE_DEVIATION)) {
    const message = `the working edge is up to ${deviation.toFixed(4)} mm off the cut, limit ${EDGE_DEVIATION} mm`;
    faults.push({ code: 'proof/edge', message, hint, measured: deviation, limit: EDGE_DEVIATION });
  }
  if (!(gap <= EDGE_GAP)) {
    const message = `the working edge is found on ${figure(100 * cover)} % of its turn; ${figure(gap * 360)} deg of it in one stretch is missing, limit ${figure(EDGE_GAP * 360)} deg`;
    faults.push({ code: 'proof/edge', message, hint, measured: gap * 360, limit: EDGE_GAP * 360 });
  }
  return faults;
}
