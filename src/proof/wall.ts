import { unplaceDirection } from '../geometry/placement.ts';
import { CLEARANCE_ROUNDING, NARROW_FACE } from '../geometry/tolerance.ts';
import { dot, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import { figure } from '../job/problem.ts';
import type { ShapedPart } from '../tooling/tool.ts';
import { type Facets, normalOf } from './facets.ts';
import { type SmoothFaces, smoothFaces } from './patches.ts';
import type { Measured } from './problem.ts';
import { firstHit, rayTree } from './rays.ts';

/** Rays shot inward, spread over the part by area; and the fewest on any face that is a wall's. */
const RAYS = 1500;
const RAYS_PER_FACE = 6;
/** Cosine of how far two sides may lean to each other and still be one wall: 18 deg; more is a wedge. */
const OPPOSITE = -0.95;
/** Rays start this far inside, to pass the facet they start on. */
const INSIDE: Mm = 1e-4;

/**
 * Thinnest wall: from places all over the part straight inward to the facet opposite, where that is nearly parallel.
 * Chamfers and the sides of letters are no walls; what letters leave of the wall behind them is.
 */
export function measureWall(facets: Facets, part: ShapedPart): Measured<Mm> {
  const { mesh, pose } = facets;
  const tree = rayTree(mesh);
  const faces = smoothFaces(facets);
  let thinnest = largest(mesh.positions);
  eachPlace(facets, faces, (facet, from) => {
    const inward = unplaceDirection(pose, scale(normalOf(facets, facet), -1));
    // What lies farther than a wall already found is no thinner one.
    const hit = firstHit(tree, { from, toward: inward, beyond: INSIDE, within: thinnest });
    const opposite = hit && dot(normalOf(facets, facet), normalOf(facets, hit.facet)) < OPPOSITE;
    if (opposite && isSide(faces, hit.facet)) thinnest = hit.distance;
  });
  if (thinnest >= part.leastWall - CLEARANCE_ROUNDING) return { value: thinnest, faults: [] };
  const message = `the thinnest wall is ${thinnest.toFixed(3)} mm, limit ${figure(part.leastWall)} mm`;
  return {
    value: thinnest,
    faults: [
      {
        code: 'proof/thin-wall',
        message,
        hint: 'give shop.wall a larger value, or make the cut less steep: a wedge of the tool runs out where the angle is sharp',
        measured: thinnest,
        limit: part.leastWall,
      },
    ],
  };
}

/** A number no wall exceeds: where no two sides face each other, the part itself. */
function largest(positions: Float64Array): Mm {
  let most = 0;
  for (let i = 0; i < positions.length; i++) most = Math.max(most, Math.abs(positions[i]!));
  return most;
}

const isWide = (faces: SmoothFaces, facet: number): boolean => faces.widths[faces.of[facet]!]! >= NARROW_FACE;

/** Whether a facet is on the other side of a wall: on a wide face, or on the floor of a letter; not on a letter's side. */
const isSide = (faces: SmoothFaces, facet: number): boolean =>
  isWide(faces, facet) || faces.sunk[faces.of[facet]!] === 1;

/** mm. No facet of a wall is as narrow as this, but steps between the slices of a channel are. */
const STRIP: Mm = 0.03;

/** Places on the faces wide enough to be a wall's, in print pose: so much area to each, at least a few on every face. */
function eachPlace(facets: Facets, faces: SmoothFaces, take: (facet: number, at: Vec3) => void): void {
  const { areas, longest } = facets;
  const faceAreas = new Float64Array(faces.count);
  let whole = 0;
  // A strip between two others says nothing of the wall that they do not, and may face anywhere.
  const wide = new Uint8Array(areas.length);
  for (let t = 0; t < areas.length; t++) {
    if (!isWide(faces, t) || !(2 * areas[t]! > STRIP * longest[t]!)) continue;
    wide[t] = 1;
    faceAreas[faces.of[t]!]! += areas[t]!;
    whole += areas[t]!;
  }
  const passed = new Float64Array(faces.count);
  for (let t = 0; t < areas.length; t++) {
    if (wide[t] === 0) continue;
    const face = faces.of[t]!;
    const share = Math.min(whole / RAYS, faceAreas[face]! / RAYS_PER_FACE);
    const before = Math.floor(passed[face]! / share);
    passed[face]! += areas[t]!;
    const count = Math.floor(passed[face]! / share) - before;
    for (let i = 0; i < count; i++) take(t, placeOn(facets, t, count === 1 ? 0 : i + 1));
  }
}

/** The i-th place on a facet: its middle, then spread evenly (Halton points, folded into the triangle). */
function placeOn({ mesh }: Facets, t: number, i: number): Vec3 {
  const first = i === 0 ? 1 / 3 : radical(i, 2);
  const second = i === 0 ? 1 / 3 : radical(i, 3);
  const u = first + second > 1 ? 1 - first : first;
  const v = first + second > 1 ? 1 - second : second;
  const { positions: p, triangles } = mesh;
  const a = 3 * triangles[3 * t]!;
  const b = 3 * triangles[3 * t + 1]!;
  const c = 3 * triangles[3 * t + 2]!;
  const w = 1 - u - v;
  return [
    w * p[a]! + u * p[b]! + v * p[c]!,
    w * p[a + 1]! + u * p[b + 1]! + v * p[c + 1]!,
    w * p[a + 2]! + u * p[b + 2]! + v * p[c + 2]!,
  ];
}

/** The digits of i in a base, mirrored behind the point. */
function radical(i: number, base: number): number {
  let value = 0;
  let scale = 1 / base;
  for (let rest = i; rest > 0; rest = Math.floor(rest / base)) {
    value += (rest % base) * scale;
    scale /= base;
  }
  return value;
}
