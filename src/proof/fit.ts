import {
  BORE_COVER,
  BORE_SEARCH,
  CLEARANCE_ROUNDING,
  EDGE_DEVIATION,
  FACING_COSINE,
  SLIVER,
} from '../geometry/tolerance.ts';
import { along, dot, type Mm, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { HeldTube } from '../tooling/tool.ts';
import { cornerOf, type Facets, facetCount, normalOf } from './facets.ts';
import { type Body, cornerDistance, facesAt, leastDistance, middleOf, PROBE, vertexDistances } from './nearest.ts';
import type { Fault, Measured } from './problem.ts';
import { besideTube, type Tube, tubeBody } from './tube.ts';

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

/** Bins that the turn round the tube is counted in. */
const BINS = 72;
/** mm. A wall along a flat of the tube keeps its distance to within this. */
const EVEN: Mm = 0.01;

/**
 * Clearance between a part and the tube in place: the least over its whole surface; the most over the fitted bore, the
 * facets that face the tube and carry it.
 */
export function measureFit(
  facets: Facets,
  { tube, held, chordTolerance }: { readonly tube: Tube; readonly held: HeldTube; readonly chordTolerance: Mm },
): Measured<Fit> {
  const body = tubeBody(tube);
  const distances = vertexDistances(facets, body);
  const search = held.clearance.most + BORE_SEARCH;
  const facing = facingFacets(facets, { body, distances, search });
  const least = leastDistance(facets, body, { distances, bow: 2 * chordTolerance, within: search });
  const bore = fittedBore(facets, { facing, distances, tube, held, body });
  const clearance = { least, most: bore.most, cover: bore.cover };
  return { value: { distances, facing, clearance, reach: bore.reach }, faults: fitFaults(clearance, held) };
}

/** Facets near the tube whose normal is the way to it, nearly. */
function facingFacets(
  facets: Facets,
  { body, distances, search }: { readonly body: Body; readonly distances: Float64Array; readonly search: Mm },
): Uint8Array {
  const facing = new Uint8Array(facetCount(facets));
  for (let t = 0; t < facing.length; t++) {
    if (cornerDistance(facets, t, distances) > search) continue;
    const p = middleOf(facets, t);
    const d = body.distance(p);
    if (d <= search && facesAt(facets, t, { body, p, d }) > FACING_COSINE) facing[t] = 1;
  }
  return facing;
}

interface BoreSearch {
  readonly facing: Uint8Array;
  readonly distances: Float64Array;
  readonly tube: Tube;
  readonly held: HeldTube;
  readonly body: Body;
}

/**
 * The fitted bore: in a sleeve all that faces the tube; in a cradle what faces the way out as well, and of its upright
 * walls those that lie flat along a flat of the tube (above the widest place a wall leaves a round tube).
 */
function fittedBore(
  facets: Facets,
  { facing, distances, tube, held, body }: BoreSearch,
): Pick<Fit, 'reach'> & { readonly most: Mm; readonly cover: number } {
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
    // A facet that leads away from the tube (a lead-in beside a tube that stands over the wall) carries nothing.
    const far = Math.max(ds[0]!, ds[1]!, ds[2]!);
    if (far > held.clearance.most + BORE_SEARCH) continue;
    // Inside the tube's outline is the inner wall of a ledge that its end stands on: no bore of it.
    if (far < 0) continue;
    if (held.insertion.kind === 'lift' && !carries(facets, t, { ds, body, out: held.insertion.out })) continue;
    if (isSliver(facets, t)) continue;
    const at = ids.map((v, k) => (places[v] ??= placeOf(tube, cornerOf(facets, t, k))));
    if (!at.some((place) => place.beside)) continue;
    // Past the end of the tube a corner is as far from it as it is past.
    for (let k = 0; k < 3; k++) if (at[k]!.beside && ds[k]! > most) most = ds[k]!;
    from = Math.min(from, at[0]!.s, at[1]!.s, at[2]!.s);
    to = Math.max(to, at[0]!.s, at[1]!.s, at[2]!.s);
    markTurns(
      bins,
      at.map(({ turn }) => turn),
    );
  }
  const cover = bins.reduce((sum, bin) => sum + bin, 0) / BINS;
  return { most, cover, reach: from <= to ? { from, to } : { from: tube.from, to: tube.to } };
}

/** Steeper than this a facet counts as upright: a sliver's normal is no better. */
const UPRIGHT = 0.02;

/** mm. A facet at 45 degrees that leads away from the tube by this is a lead-in; beside a sharp corner it faces the tube all the same. */
const UNEVEN: Mm = 0.4;

/** Whether a facet of a cradle is under the tube, or upright along an upright flat of it. */
function carries(
  facets: Facets,
  t: number,
  { ds, body, out }: { readonly ds: readonly Mm[]; readonly body: Body; readonly out: Vec3 },
): boolean {
  const outward = dot(normalOf(facets, t), out);
  if (Math.abs(outward - Math.SQRT1_2) < UPRIGHT && Math.max(...ds) - Math.min(...ds) > UNEVEN) return false;
  if (outward > UPRIGHT) return true;
  if (outward < -UPRIGHT || Math.max(...ds) - Math.min(...ds) >= EVEN) return false;
  // A strip of wall above the widest place of a round tube keeps its distance only because it is narrow.
  const p = middleOf(facets, t);
  return Math.abs(body.distance(along(p, out, PROBE)) - body.distance(p)) < UPRIGHT * PROBE;
}

/** A facet too narrow to say which way it faces; its corners are its neighbors' too, and measured there. */
const isSliver = ({ areas, longest }: Facets, t: number): boolean => 2 * areas[t]! < SLIVER * longest[t]!;

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

function fitFaults({ least, most, cover }: Fit['clearance'], { clearance, insertion }: HeldTube): readonly Fault[] {
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
