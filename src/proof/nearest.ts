import { along, length, lerp, type Mm, scale, sub, type Vec3 } from '../geometry/vector.ts';
import { cornerOf, type Facets, normalOf } from './facets.ts';

/** A body by its signed distance (mm, negative inside, changing by no more than the way gone), and where it counts. */
export interface Body {
  readonly distance: (p: Vec3) => Mm;
  readonly counts: (p: Vec3) => boolean;
  /** What is known of its shape where it counts: tells how little nearer than its corners a facet can come. */
  readonly shape?: BodyShape;
  /** Bodies that it is made up of, each looked at by itself: they have simpler shapes. */
  readonly parts?: readonly Body[];
}

export interface BodyShape {
  /** Balls of this radius fill the body, as they do where its outside is nowhere rounder. */
  readonly ball: Mm;
  /** A bar goes on unchanged along a heading, over the places whose product with it lies between the two; it is convex. */
  readonly bar?: { readonly heading: Vec3; readonly from: Mm; readonly to: Mm };
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

/** Least distance of a facet's corners. */
export function cornerDistance({ mesh }: Facets, t: number, distances: Float64Array): Mm {
  const { triangles } = mesh;
  return Math.min(distances[triangles[3 * t]!]!, distances[triangles[3 * t + 1]!]!, distances[triangles[3 * t + 2]!]!);
}

/** How squarely a facet faces the body at a place on it where the distance is d: 1 when its normal is the way to the body. */
export const facesAt = (
  facets: Facets,
  t: number,
  { body, p, d }: { readonly body: Body; readonly p: Vec3; readonly d: Mm },
): number => (d - body.distance(along(p, normalOf(facets, t), PROBE))) / PROBE;

export const middleOf = (facets: Facets, t: number): Vec3 => {
  const a = cornerOf(facets, t, 0);
  const b = cornerOf(facets, t, 1);
  const c = cornerOf(facets, t, 2);
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
  if (body.parts) {
    return body.parts.reduce(
      (least, part) => leastDistance(facets, part, { distances: vertexDistances(facets, part), bow, within: least }),
      within,
    );
  }
  const { longest, mesh } = facets;
  const { triangles } = mesh;
  const counts = countedVertices(facets, body);
  const search: Search = { body, bow, least: within };
  for (let v = 0; v < distances.length; v++) {
    if (distances[v]! < search.least && counts(v) === 1) search.least = distances[v]!;
  }
  for (let t = 0; t < longest.length && search.least > HOPELESS; t++) {
    const corner = cornerDistance(facets, t, distances);
    // No place of a facet is farther from a corner than its longest edge over root 3.
    if (corner - longest[t]! / ROOT_3 >= search.least) continue;
    const counting = counts(triangles[3 * t]!) + counts(triangles[3 * t + 1]!) + counts(triangles[3 * t + 2]!);
    if (staysOff(facets, t, { body, corner, least: search.least, allCount: counting === 3 })) continue;
    // What stands on the end of a tube lies nowhere where the body counts.
    if (counting === 0 && !body.counts(middleOf(facets, t))) continue;
    if (corner >= search.least && leadsAway(facets, t, { body, corner, distances })) continue;
    if (!mayFace(facets, t, { body, distances })) continue;
    const ds = [0, 1, 2].map((k) => distances[triangles[3 * t + k]!]!) as [Mm, Mm, Mm];
    lookInto(search, [cornerOf(facets, t, 0), cornerOf(facets, t, 1), cornerOf(facets, t, 2)], {
      ds,
      halvings: HALVINGS,
    });
  }
  return search.least;
}

const ROOT_3 = Math.sqrt(3);

/** 1 where a vertex lies where the body counts, else 0; each is found out once. */
function countedVertices({ positions: p }: Facets, body: Body): (v: number) => 0 | 1 {
  const known = new Int8Array(p.length / 3).fill(-1);
  return (v) => {
    if (known[v] === -1) known[v] = body.counts([p[3 * v]!, p[3 * v + 1]!, p[3 * v + 2]!]) ? 1 : 0;
    return known[v] as 0 | 1;
  };
}

interface Nearness {
  readonly body: Body;
  /** Least distance of the facet's corners. */
  readonly corner: Mm;
}

/**
 * Whether a facet that lies beside a body of balls comes no nearer than `least`. With the distance g from the balls'
 * middles g^2 - |p|^2 is concave, so that nowhere on the facet g^2 is less than at its corners by more than the square of
 * the radius of the smallest circle that holds it; a bar being the same all along, that is seen along its heading.
 */
function staysOff(
  facets: Facets,
  t: number,
  { body: { shape }, corner, least, allCount }: Nearness & { readonly least: Mm; readonly allCount: boolean },
): boolean {
  if (!shape || least + shape.ball <= 0) return false;
  const { ball, bar } = shape;
  if (bar ? !liesBeside(facets, t, bar) : !allCount) return false;
  const p = squareAcross(facets, 3 * t, bar?.heading);
  const q = squareAcross(facets, 3 * t + 1, bar?.heading);
  const r = squareAcross(facets, 3 * t + 2, bar?.heading);
  const most = Math.max(p, q, r);
  // Such a circle stands on the longest edge, or goes through the corners: none is larger than round three equal edges.
  const blunt = 2 * most >= p + q + r;
  return (blunt ? most / 4 : most / 3) <= (corner + ball) ** 2 - (least + ball) ** 2;
}

/** Whether all corners of a facet lie beside a bar. */
function liesBeside(
  { mesh, positions: p }: Facets,
  t: number,
  { heading, from, to }: NonNullable<BodyShape['bar']>,
): boolean {
  for (let i = 3 * t; i < 3 * t + 3; i++) {
    const v = 3 * mesh.triangles[i]!;
    const at = p[v]! * heading[0] + p[v + 1]! * heading[1] + p[v + 2]! * heading[2];
    if (!(at > from && at < to)) return false;
  }
  return true;
}

/** Square of the length of a half-edge, of what runs across a heading where there is one. */
function squareAcross({ mesh, positions: p }: Facets, edge: number, heading: Vec3 | undefined): number {
  const a = 3 * mesh.triangles[edge]!;
  const b = 3 * mesh.triangles[edge % 3 === 2 ? edge - 2 : edge + 1]!;
  const x = p[b]! - p[a]!;
  const y = p[b + 1]! - p[a + 1]!;
  const z = p[b + 2]! - p[a + 2]!;
  const on = heading ? x * heading[0] + y * heading[1] + z * heading[2] : 0;
  return x * x + y * y + z * z - on * on;
}

/** mm. Step that tells how a distance begins to change, and what it may fall by in all beyond a place and still be least there. */
const STEP: Mm = 1e-6;
const EVEN: Mm = 1e-5;

/** Whether the distance from a bar is least at a place of a facet: what is convex and falls toward no corner falls nowhere. */
function isLeastAt(body: Body, from: Vec3, d: Mm, corners: readonly Vec3[]): boolean {
  return corners.every((to) => {
    const way = sub(to, from);
    const long = length(way);
    return long < STEP || (body.distance(along(from, way, STEP / long)) - d) * long >= -EVEN * STEP;
  });
}

/** Whether no place of a facet comes nearer to a bar than its nearest corner. */
function leadsAway(
  facets: Facets,
  t: number,
  { body, corner, distances }: Nearness & { readonly distances: Float64Array },
): boolean {
  if (!body.shape?.bar || corner <= 0) return false;
  const { triangles } = facets.mesh;
  const nearest = [0, 1, 2].findIndex((k) => distances[triangles[3 * t + k]!] === corner);
  const others = [cornerOf(facets, t, (nearest + 1) % 3), cornerOf(facets, t, (nearest + 2) % 3)];
  return isLeastAt(body, cornerOf(facets, t, nearest), corner, others);
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

interface Depth {
  readonly ds: readonly [Mm, Mm, Mm];
  readonly halvings: number;
}

function lookInto(search: Search, [a, b, c]: readonly [Vec3, Vec3, Vec3], { ds, halvings }: Depth): void {
  const da = ds[0];
  const db = ds[1];
  const dc = ds[2];
  const longest = Math.sqrt(Math.max(squareApart(a, b), squareApart(b, c), squareApart(c, a)));
  if (Math.min(da, db, dc) - longest / Math.sqrt(3) >= search.least) return;
  const at = (p: Vec3): Mm => {
    const d = search.body.distance(p);
    if (d < search.least && search.body.counts(p)) search.least = d;
    return d;
  };
  const ab = lerp(a, b, 0.5);
  const bc = lerp(b, c, 0.5);
  const ca = lerp(c, a, 0.5);
  const dab = at(ab);
  const dbc = at(bc);
  const dca = at(ca);
  const bow = Math.max(Math.abs(dab - (da + db) / 2), Math.abs(dbc - (db + dc) / 2), Math.abs(dca - (dc + da) / 2));
  if (halvings === 0 || bow < search.bow || search.least < HOPELESS) return;
  if (search.body.shape?.bar) {
    const nearest = Math.min(dab, dbc, dca);
    const middle = nearest === dab ? ab : nearest === dbc ? bc : ca;
    if (nearest > 0 && nearest >= search.least && isLeastAt(search.body, middle, nearest, [a, b, c])) return;
  }
  lookInto(search, [a, ab, ca], { ds: [da, dab, dca], halvings: halvings - 1 });
  lookInto(search, [ab, b, bc], { ds: [dab, db, dbc], halvings: halvings - 1 });
  lookInto(search, [ca, bc, c], { ds: [dca, dbc, dc], halvings: halvings - 1 });
  lookInto(search, [ab, bc, ca], { ds: [dab, dbc, dca], halvings: halvings - 1 });
}

const squareApart = (p: Vec3, q: Vec3): number => (p[0] - q[0]) ** 2 + (p[1] - q[1]) ** 2 + (p[2] - q[2]) ** 2;
