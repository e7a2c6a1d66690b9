import { along, lerp, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import { cornerOf, type Facets, facetCount, longestEdge, normalOf } from './facets.ts';

/** A body by its signed distance (mm, negative inside, changing by no more than the way gone), and where it counts. */
export interface Body {
  readonly distance: (p: Vec3) => Mm;
  readonly counts: (p: Vec3) => boolean;
}

/** Halvings of a facet over which the distance bows. */
const HALVINGS = 5;
/** mm. A part this deep in the body is measured no further. */
const HOPELESS: Mm = -1;
/** Step along a facet's normal that tells how squarely it faces the body. */
export const PROBE: Mm = 0.01;
/** Facets that face the body by less than this cannot hold its nearest place: there a face looks at the body. */
const AWAY = 0.05;

/** Distance of every vertex from a body. */
export function vertexDistances({ positions }: Facets, { distance }: Body): Float64Array {
  const distances = new Float64Array(positions.length / 3);
  for (let v = 0; v < distances.length; v++)
    distances[v] = distance([positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!]);
  return distances;
}

/** Least distance of a facet's corners, and what no place of it comes nearer than: none is farther from a corner than its longest edge over root 3. */
export function boundsOf(
  facets: Facets,
  t: number,
  distances: Float64Array,
): { readonly corner: Mm; readonly bound: Mm } {
  const { triangles } = facets.mesh;
  const corner = Math.min(
    distances[triangles[3 * t]!]!,
    distances[triangles[3 * t + 1]!]!,
    distances[triangles[3 * t + 2]!]!,
  );
  return { corner, bound: corner - longestEdge(facets, t) / Math.sqrt(3) };
}

/** How squarely a facet faces the body at a place on it where the distance is d: 1 when its normal is the way to the body. */
export const facesAt = (
  facets: Facets,
  t: number,
  { body, p, d }: { readonly body: Body; readonly p: Vec3; readonly d: Mm },
): number => (d - body.distance(along(p, normalOf(facets, t), PROBE))) / PROBE;

export const middleOf = (facets: Facets, t: number): Vec3 => {
  const [a, b, c] = [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)];
  return scale([a[0] + b[0] + c[0], a[1] + b[1] + c[1], a[2] + b[2] + c[2]], 1 / 3);
};

interface Search {
  readonly body: Body;
  readonly bow: Mm;
  least: Mm;
}

/**
 * Least distance of a part's surface from a body: at every corner and edge middle of each facet that faces it, and at
 * those of its quarters where the distance bows off the straight between corners by more than `bow`. Nothing farther than
 * `within` is looked for; where nothing is nearer, that is the answer.
 */
export function leastDistance(
  facets: Facets,
  body: Body,
  { distances, bow, within }: { readonly distances: Float64Array; readonly bow: Mm; readonly within: Mm },
): Mm {
  const { positions, mesh } = facets;
  const search: Search = { body, bow, least: within };
  for (let v = 0; v < distances.length; v++) {
    if (distances[v]! < search.least && body.counts([positions[3 * v]!, positions[3 * v + 1]!, positions[3 * v + 2]!]))
      search.least = distances[v]!;
  }
  for (let t = 0; t < facetCount(facets) && search.least > HOPELESS; t++) {
    if (boundsOf(facets, t, distances).bound >= search.least || !mayFace(facets, t, { body, distances })) continue;
    if (!reachesIn(facets, t, body)) continue;
    const ds = [0, 1, 2].map((k) => distances[mesh.triangles[3 * t + k]!]!) as [Mm, Mm, Mm];
    lookInto(search, [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)], {
      ds,
      halvings: HALVINGS,
    });
  }
  return search.least;
}

function mayFace(
  facets: Facets,
  t: number,
  { body, distances }: { readonly body: Body; readonly distances: Float64Array },
): boolean {
  const middle = middleOf(facets, t);
  if (facesAt(facets, t, { body, p: middle, d: body.distance(middle) }) >= AWAY) return true;
  return [0, 1, 2].some(
    (k) =>
      facesAt(facets, t, { body, p: cornerOf(facets, t, k), d: distances[facets.mesh.triangles[3 * t + k]!]! }) >= AWAY,
  );
}

/** Whether any of a facet lies where the body counts: what stands on the end of a tube does not. */
const reachesIn = (facets: Facets, t: number, body: Body): boolean =>
  [0, 1, 2].some((k) => body.counts(cornerOf(facets, t, k))) || body.counts(middleOf(facets, t));

interface Depth {
  readonly ds: readonly [Mm, Mm, Mm];
  readonly halvings: number;
}

function lookInto(search: Search, [a, b, c]: readonly [Vec3, Vec3, Vec3], { ds, halvings }: Depth): void {
  const [da, db, dc] = ds;
  const longest = Math.sqrt(Math.max(squareApart(a, b), squareApart(b, c), squareApart(c, a)));
  if (Math.min(da, db, dc) - longest / Math.sqrt(3) >= search.least) return;
  const at = (p: Vec3): Mm => {
    const d = search.body.distance(p);
    if (d < search.least && search.body.counts(p)) search.least = d;
    return d;
  };
  const [ab, bc, ca] = [lerp(a, b, 0.5), lerp(b, c, 0.5), lerp(c, a, 0.5)];
  const [dab, dbc, dca] = [at(ab), at(bc), at(ca)];
  const bow = Math.max(Math.abs(dab - (da + db) / 2), Math.abs(dbc - (db + dc) / 2), Math.abs(dca - (dc + da) / 2));
  if (halvings === 0 || bow < search.bow || search.least < HOPELESS) return;
  lookInto(search, [a, ab, ca], { ds: [da, dab, dca], halvings: halvings - 1 });
  lookInto(search, [ab, b, bc], { ds: [dab, db, dbc], halvings: halvings - 1 });
  lookInto(search, [ca, bc, c], { ds: [dca, dbc, dc], halvings: halvings - 1 });
  lookInto(search, [ab, bc, ca], { ds: [dab, dbc, dca], halvings: halvings - 1 });
}

const squareApart = (p: Vec3, q: Vec3): number => (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;
