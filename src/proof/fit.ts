import { solidDistance } from '../geometry/distance.ts';
import { BORE_COVER, BORE_SEARCH, CLEARANCE_ROUNDING, EDGE_DEVIATION, FACING_COSINE } from '../geometry/tolerance.ts';
import { along, dot, lerp, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { ToolPart } from '../tooling/tool.ts';
import { cornerOf, facetCount, type Facets, longestEdge, normalOf } from './facets.ts';
import type { Fault, Measured } from './problem.ts';
import { besideTube, type Tube } from './tube.ts';

/** Distances of a part from the tube. */
export interface Fit {
  /** Of each vertex from the outside of the tube carried on past its ends; negative inside. */
  readonly distances: Float64Array;
  /** 1 for each facet near the tube that faces it. */
  readonly facing: Uint8Array;
  readonly clearance: { readonly least: Mm; readonly most: Mm; readonly cover: number };
  /** Stretch of the tube that the fitted bore lies along, as s; the whole tube where there is none. */
  readonly reach: { readonly from: Mm; readonly to: Mm };
}

/** Step along a facet's normal that tells whether it faces the tube. */
const PROBE: Mm = 0.01;
/** Halvings of a facet over which the distance bows. */
const HALVINGS = 5;
/** Bins that the turn round the tube is counted in. */
const BINS = 72;

/**
 * Clearance between a part and the tube in place: the least at every corner, edge middle and facet middle, halved further
 * where a facet bows; the most over the fitted bore, the facets that face the tube and carry it.
 */
export function measureFit(facets: Facets, { tube, part, chordTolerance }: { readonly tube: Tube; readonly part: ToolPart; readonly chordTolerance: Mm }): Measured<Fit> {
  const distances = vertexDistances(facets, tube);
  const search = part.clearance.most + BORE_SEARCH;
  const near = nearFacets(facets, distances, search);
  const { facing, turned } = facingFacets(facets, { near, distances, tube, search });
  const least = leastClearance(facets, { near, turned, distances, tube, chordTolerance });
  const bore = fittedBore(facets, { facing, distances, tube, part });
  const clearance = { least: Math.min(least, search), most: bore.most, cover: bore.cover };
  return { value: { distances, facing, clearance, reach: bore.reach }, faults: fitFaults(clearance, part) };
}

function vertexDistances({ positions }: Facets, tube: Tube): Float64Array {
  const distances = new Float64Array(positions.length / 3);
  for (let v = 0; v < distances.length; v++) distances[v] = solidDistance(tube.long, [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!]);
  return distances;
}

/** Facets that may have a point within `search` of the tube: none of a facet is farther from a corner than its longest edge over root 3. */
function nearFacets(facets: Facets, distances: Float64Array, search: Mm): readonly number[] {
  const { triangles } = facets.mesh;
  const near: number[] = [];
  for (let t = 0; t < facetCount(facets); t++) {
    const least = Math.min(distances[triangles[3 * t]!]!, distances[triangles[3 * t + 1]!]!, distances[triangles[3 * t + 2]!]!);
    if (least < search || least - longestEdge(facets, t) / Math.sqrt(3) < search) near.push(t);
  }
  return near;
}

interface Near {
  readonly near: readonly number[];
  readonly distances: Float64Array;
  readonly tube: Tube;
}

/** How much nearer to the tube a step along its normal brings each near facet's middle, as a share of the step: 1 faces it squarely. */
function facingFacets(facets: Facets, { near, distances, tube, search }: Near & { readonly search: Mm }): { readonly facing: Uint8Array; readonly turned: readonly number[] } {
  const facing = new Uint8Array(facetCount(facets));
  const { triangles } = facets.mesh;
  const turned = near.map((t) => {
    const middle = middleOf(facets, t);
    const d = solidDistance(tube.long, middle);
    const nearer = (d - solidDistance(tube.long, along(middle, normalOf(facets, t), PROBE))) / PROBE;
    const least = Math.min(distances[triangles[3 * t]!]!, distances[triangles[3 * t + 1]!]!, distances[triangles[3 * t + 2]!]!);
    if (nearer > FACING_COSINE && d <= search && least <= search) facing[t] = 1;
    return nearer;
  });
  return { facing, turned };
}

const middleOf = (facets: Facets, t: number): Vec3 => {
  const [a, b, c] = [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)];
  return scale([a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]], 1 / 3);
};

interface Search {
  readonly tube: Tube;
  readonly bow: Mm;
  least: Mm;
}

/** mm. A tool this deep in the tube is measured no further. */
const HOPELESS: Mm = -1;

/** Facets that look away from the tube this much or more cannot hold its nearest place: there a face looks at the tube. */
const AWAY = 0.05;

function leastClearance(facets: Facets, { near, turned, distances, tube, chordTolerance }: Near & { readonly turned: readonly number[]; readonly chordTolerance: Mm }): Mm {
  const { triangles, positions } = { ...facets.mesh, positions: facets.positions };
  let least = Number.POSITIVE_INFINITY;
  for (let v = 0; v < distances.length; v++) {
    const p: Vec3 = [positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!];
    if (distances[v]! < least && isBeside(tube, p)) least = distances[v]!;
  }
  near.forEach((t, i) => {
    if (least < HOPELESS) return;
    const corners = [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)] as const;
    const ds = [distances[triangles[3 * t]!]!, distances[triangles[3 * t + 1]!]!, distances[triangles[3 * t + 2]!]!] as const;
    const normal = normalOf(facets, t);
    if (Math.min(...ds) - longestEdge(facets, t) / Math.sqrt(3) >= least) return;
    if (turned[i]! < AWAY && corners.every((p, k) => ds[k]! - solidDistance(tube.long, along(p, normal, PROBE)) < AWAY * PROBE)) return;
    const search: Search = { tube, bow: chordTolerance, least };
    lookInto(search, corners, ds, HALVINGS);
    least = search.least;
  });
  return least;
}

/** Looks at the middles of a facet's edges; where the distance bows off the straight between corners, at each quarter that may hold a nearer place. */
function lookInto(search: Search, [a, b, c]: readonly [Vec3, Vec3, Vec3], [da, db, dc]: readonly [Mm, Mm, Mm], halvings: number): void {
  const longest = Math.sqrt(Math.max(squareApart(a, b), squareApart(b, c), squareApart(c, a)));
  if (Math.min(da, db, dc) - longest / Math.sqrt(3) >= search.least) return;
  const at = (p: Vec3): Mm => {
    const d = solidDistance(search.tube.long, p);
    if (d < search.least && isBeside(search.tube, p)) search.least = d;
    return d;
  };
  const [ab, bc, ca] = [lerp(a, b, 0.5), lerp(b, c, 0.5), lerp(c, a, 0.5)];
  const [dab, dbc, dca] = [at(ab), at(bc), at(ca)];
  const bow = Math.max(Math.abs(dab - (da + db) / 2), Math.abs(dbc - (db + dc) / 2), Math.abs(dca - (dc + da) / 2));
  if (halvings === 0 || bow < search.bow || search.least < HOPELESS) return;
  lookInto(search, [a, ab, ca], [da, dab, dca], halvings - 1);
  lookInto(search, [ab, b, bc], [dab, db, dbc], halvings - 1);
  lookInto(search, [ca, bc, c], [dca, dbc, dc], halvings - 1);
  lookInto(search, [ab, bc, ca], [dab, dbc, dca], halvings - 1);
}

const squareApart = (p: Vec3, q: Vec3): number => (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;

/** A point counts when it lies beside the tube, not at its end: the end stands on the datum face, which is measured as such. */
function isBeside(tube: Tube, p: Vec3): boolean {
  const { s } = besideTube(tube, p);
  return s > tube.from + EDGE_DEVIATION && s < tube.to - EDGE_DEVIATION;
}

interface BoreSearch {
  readonly facing: Uint8Array;
  readonly distances: Float64Array;
  readonly tube: Tube;
  readonly part: ToolPart;
}

/**
 * The fitted bore: in a sleeve all that faces the tube; in a cradle what faces the way out as well, and of its upright
 * walls those that lie flat along a flat of the tube (above the widest place a wall leaves a round tube).
 */
function fittedBore(facets: Facets, { facing, distances, tube, part }: BoreSearch): Pick<Fit, 'reach'> & { readonly most: Mm; readonly cover: number } {
  const { triangles } = facets.mesh;
  const bins = new Uint8Array(BINS);
  const places: (Place | undefined)[] = [];
  let most = 0;
  let from = Number.POSITIVE_INFINITY;
  let to = Number.NEGATIVE_INFINITY;
  for (let t = 0; t < facing.length; t++) {
    if (facing[t] === 0) continue;
    const ids = [triangles[3 * t]!, triangles[3 * t + 1]!, triangles[3 * t + 2]!];
    const ds = ids.map((v) => distances[v]!);
    if (part.insertion.kind === 'lift' && !carries(dot(normalOf(facets, t), part.insertion.out), ds)) continue;
    const at = ids.map((v, k) => (places[v] ??= placeOf(tube, cornerOf(facets, t, k))));
    if (!at.some((place) => place.beside)) continue;
    most = Math.max(most, ...ds);
    for (const { s } of at) [from, to] = [Math.min(from, s), Math.max(to, s)];
    markTurns(bins, at.map(({ turn }) => turn));
  }
  const cover = bins.reduce((sum, bin) => sum + bin, 0) / BINS;
  return { most, cover, reach: from <= to ? { from, to } : { from: tube.from, to: tube.to } };
}

const carries = (outward: number, ds: readonly Mm[]): boolean =>
  outward > 1e-3 || (outward > -1e-3 && Math.max(...ds) - Math.min(...ds) < PROBE);

/** Where a corner lies on the tube: turn 0 to 1 from the witness line, and whether it is beside the tube or past an end. */
interface Place {
  readonly s: Mm;
  readonly turn: number;
  readonly beside: boolean;
}

function placeOf(tube: Tube, p: Vec3): Place {
  const { s, a, b } = besideTube(tube, p);
  const turn = (Math.atan2(a, b) / (2 * Math.PI) + 1) % 1;
  return { s, turn, beside: s >= tube.from - EDGE_DEVIATION && s <= tube.to + EDGE_DEVIATION };
}

/** Marks the bins from the first to the last of a facet's corners, the short way round. */
function markTurns(bins: Uint8Array, turns: readonly number[]): void {
  const first = turns[0]!;
  const offsets = turns.map((turn) => ((turn - first + 1.5) % 1) - 0.5);
  const low = first + Math.min(...offsets);
  const high = first + Math.max(...offsets);
  for (let i = Math.floor(low * BINS); i <= Math.floor(high * BINS); i++) bins[((i % BINS) + BINS) % BINS] = 1;
}

function fitFaults({ least, most, cover }: Fit['clearance'], { clearance, insertion }: ToolPart): readonly Fault[] {
  const faults: Fault[] = [];
  const hint = 'check shop.fit and the measured size of the section';
  if (!(least >= clearance.least - CLEARANCE_ROUNDING)) {
    const message = `the clearance to the tube is ${least.toFixed(4)} mm at its least, limit ${figure(clearance.least)} mm`;
    faults.push({ code: 'proof/clearance', message, hint, measured: least, limit: clearance.least });
  }
  if (!(most <= clearance.most + CLEARANCE_ROUNDING)) {
    const message = `the fitted bore stands off the tube by up to ${most.toFixed(4)} mm, limit ${figure(clearance.most)} mm`;
    faults.push({ code: 'proof/clearance', message, hint, measured: most, limit: clearance.most });
  }
  const limit = BORE_COVER[insertion.kind];
  if (!(cover >= limit)) {
    const message = `a fitted bore is found on ${Math.round(100 * cover)} % of the turn round the tube, limit ${Math.round(100 * limit)} %`;
    faults.push({ code: 'proof/clearance', message, hint, measured: cover, limit });
  }
  return faults;
}
