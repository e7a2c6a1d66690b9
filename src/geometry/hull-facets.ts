import { cross, dot, sub, type Vec3 } from './vector.ts';

/** Points are shifted by up to this, mm, each by its own share, so that no four of them lie in one plane: far below what is looked for. */
const SHIFT = 1e-7;

type Facet = readonly [number, number, number];

/**
 * Triangles of the convex hull of points, counterclockwise seen from outside, as indices; none where all lie in a plane.
 * One point after the other is added (F. P. Preparata and M. I. Shamos, Computational Geometry, 1985, 3.4): facets that see
 * it go, and their rim is joined to it. To the shift above, for looking things up; the kernel makes what is printed.
 */
export function hullFacets(given: readonly Vec3[]): readonly Facet[] {
  const points = given.map(shifted);
  const first = tetrahedron(points);
  if (!first) return [];
  const inside = middle(first.map((i) => points[i]!));
  const outwardFacet = (a: number, b: number, c: number): Facet =>
    sees(points, [a, b, c], inside) ? [a, c, b] : [a, b, c];
  const [p, q, r, s] = first;
  let facets: readonly Facet[] = [
    outwardFacet(p, q, r),
    outwardFacet(p, q, s),
    outwardFacet(p, r, s),
    outwardFacet(q, r, s),
  ];
  points.forEach((point, i) => {
    if (first.includes(i)) return;
    const seen = facets.filter((facet) => sees(points, facet, point));
    if (seen.length === 0) return;
    const edges = new Set(seen.flatMap(([a, b, c]) => [`${a} ${b}`, `${b} ${c}`, `${c} ${a}`]));
    const rim = seen
      .flatMap(([a, b, c]) => [
        [a, b],
        [b, c],
        [c, a],
      ])
      .filter(([a, b]) => !edges.has(`${b} ${a}`));
    const left = facets.filter((facet) => !seen.includes(facet));
    facets = [...left, ...rim.map(([a, b]): Facet => [a!, b!, i])];
  });
  return facets;
}

/** The same share for the same place in the list. */
const shifted = (p: Vec3, i: number): Vec3 => [
  p[0] + SHIFT * ((i * 0.754877666) % 1),
  p[1] + SHIFT * ((i * 0.569840291) % 1),
  p[2] + SHIFT * ((i * 0.362437104) % 1),
];

const sees = (points: readonly Vec3[], [a, b, c]: Facet, from: Vec3): boolean => {
  const at = points[a]!;
  return dot(cross(sub(points[b]!, at), sub(points[c]!, at)), sub(from, at)) > 0;
};

const middle = (points: readonly Vec3[]): Vec3 => [
  points.reduce((sum, p) => sum + p[0], 0) / points.length,
  points.reduce((sum, p) => sum + p[1], 0) / points.length,
  points.reduce((sum, p) => sum + p[2], 0) / points.length,
];

/** Four points far from each other's line and plane. */
function tetrahedron(points: readonly Vec3[]): readonly [number, number, number, number] | undefined {
  const farthest = (far: (p: Vec3) => number): number =>
    points.reduce((best, p, i) => (far(p) > far(points[best]!) ? i : best), 0);
  const [o] = points;
  if (!o) return undefined;
  const a = farthest((p) => Math.hypot(...sub(p, o)));
  const pa = points[a]!;
  const b = farthest((p) => Math.hypot(...sub(p, pa)));
  const pb = points[b]!;
  const c = farthest((p) => Math.hypot(...cross(sub(pb, pa), sub(p, pa))));
  const pc = points[c]!;
  const normal = cross(sub(pb, pa), sub(pc, pa));
  const d = farthest((p) => Math.abs(dot(normal, sub(p, pa))));
  const tall = Math.abs(dot(normal, sub(points[d]!, pa))) / Math.max(Math.hypot(...normal), SHIFT);
  return tall > 10 * SHIFT && new Set([a, b, c, d]).size === 4 ? [a, b, c, d] : undefined;
}
