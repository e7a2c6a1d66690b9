import { outlineToward } from '../geometry/outline-toward.ts';
import { along, cross, distance, dot, length, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { CutEnd, Member, Solution } from '../solve/solution.ts';

/** A place that can be marked on the tubes: where axes meet, or the middle of an end. */
export interface WorkPoint {
  /** Ends that lie there, as the job names them. */
  readonly ends: readonly string[];
  readonly point: Vec3;
  /** Of two mitered ends, where their long points meet: what a tape hooks onto. */
  readonly outside?: Vec3;
}

/** A straight distance between two work points, counted as they are listed. */
export interface FitUpCheck {
  readonly from: number;
  readonly to: number;
  readonly centers: Mm;
  /** Between their outside corners, where both have one. */
  readonly outsides?: Mm;
}

export interface FitUpChecks {
  readonly points: readonly WorkPoint[];
  /** Across each four-sided frame, from corner to corner. */
  readonly diagonals: readonly FitUpCheck[];
  /** Between the free ends of pieces that are joined at their other ends. */
  readonly spans: readonly FitUpCheck[];
}

/** Marks nearer than this are one mark on a tube. */
const ONE_MARK: Mm = 0.05;
/** Sine of the turn below which three corners lie in a line: a mark within a member is no corner. */
const TURN = 0.02;

/** What to measure when the pieces stand together: work points, diagonals and spans, all from the solved layout. */
export function fitUpChecks(solution: Solution): FitUpChecks {
  const points = workPoints(solution);
  const near = neighbors(solution, points);
  return {
    points,
    diagonals: diagonalsOf(points, near).map((pair) => checkOf(points, pair)),
    spans: spansOf(solution, points).map((pair) => checkOf(points, pair)),
  };
}

type Pair = readonly [number, number];

function checkOf(points: readonly WorkPoint[], [from, to]: Pair): FitUpCheck {
  const [p, q] = [points[from]!, points[to]!];
  const outsides = p.outside && q.outside ? { outsides: distance(p.outside, q.outside) } : {};
  return { from, to, centers: distance(p.point, q.point), ...outsides };
}

/** Ends that come together are one point; where their axes do not quite meet, each has its own. */
function workPoints({ members, ends }: Solution): readonly WorkPoint[] {
  const found: { readonly ends: string[]; readonly point: Vec3; readonly cuts: CutEnd[] }[] = [];
  for (const member of members) {
    for (const name of ['start', 'end'] as const) {
      const cut = ends.find((end) => end.member.name === member.name && end.end === name);
      const point = pointOf(member, name, cut);
      const there = found.find((other) => distance(other.point, point) < ONE_MARK);
      const id = `${member.name}.${name}`;
      if (there) {
        there.ends.push(id);
        if (cut) there.cuts.push(cut);
      } else found.push({ ends: [id], point, cuts: cut ? [cut] : [] });
    }
  }
  return found.map(({ ends: ids, point, cuts }) => {
    const outside = outsideCorner(cuts);
    return { ends: ids, point, ...(outside ? { outside } : {}) };
  });
}

/** Of an end that is cut off by itself the middle of the cut, of any other its drawn end. */
function pointOf({ centerline }: Member, end: 'start' | 'end', cut: CutEnd | undefined): Vec3 {
  if (cut?.jointKind === 'trim' && cut.flat) {
    const { plane } = cut.flat;
    const frame = end === 'start' ? (centerline.segments[0]?.start ?? centerline.end) : centerline.end;
    // On a straight the cut's plane meets the axis; in a bend its point lies there.
    const straight = cut.bend === undefined;
    const reach = dot(sub(plane.point, frame.origin), plane.normal) / dot(frame.heading, plane.normal);
    return straight && Number.isFinite(reach) ? along(frame.origin, frame.heading, reach) : plane.point;
  }
  return end === 'start' ? (centerline.segments[0]?.start ?? centerline.end).origin : centerline.end.origin;
}

/** Where the long points of two mitered ends meet; none where they do not. */
function outsideCorner(cuts: readonly CutEnd[]): Vec3 | undefined {
  const mitered = cuts.filter(({ jointKind, flat }) => jointKind === 'miter' && flat && flat.miterDeg > 1);
  const corners = mitered.map(longPointOf).filter((point) => point !== undefined);
  const [p, q] = corners;
  if (!p || !q || corners.length !== 2 || distance(p, q) > 2 * ONE_MARK + cuts[0]!.gap + cuts[1]!.gap) return undefined;
  return scale([p[0] + q[0], p[1] + q[1], p[2] + q[2]], 0.5);
}

function longPointOf({ flat, member, curves }: CutEnd): Vec3 | undefined {
  if (!flat) return undefined;
  const u = outlineToward(member.section, flat.longPointDeg);
  const { samples } = curves.outer;
  return samples.reduce((best, sample) => (turnApart(sample.u, u) < turnApart(best.u, u) ? sample : best)).point;
}

const turnApart = (p: number, q: number): number => Math.min(Math.abs(p - q), 1 - Math.abs(p - q));

/** For each point those that lie next to it on a straight member, and the one at the far end of any. */
function neighbors({ members }: Solution, points: readonly WorkPoint[]): readonly ReadonlySet<number>[] {
  const near = points.map(() => new Set<number>());
  const join = (p: number, q: number): void => {
    near[p]!.add(q);
    near[q]!.add(p);
  };
  for (const { name, centerline } of members) {
    const [segment, ...more] = centerline.segments;
    if (segment?.kind !== 'straight' || more.length > 0) {
      const [from, to] = ['start', 'end'].map((end) => points.findIndex(({ ends }) => ends.includes(`${name}.${end}`)));
      join(from!, to!);
      continue;
    }
    const { origin, heading } = segment.start;
    const on = points
      .map(({ point }, i) => ({
        i,
        s: dot(sub(point, origin), heading),
        off: length(cross(sub(point, origin), heading)),
      }))
      .filter(({ s, off }) => off < ONE_MARK && s > -ONE_MARK && s < centerline.length + ONE_MARK)
      .sort((p, q) => p.s - q.s);
    for (const [k, { i }] of on.slice(1).entries()) join(on[k]!.i, i);
    if (on.length > 2) join(on[0]!.i, on.at(-1)!.i);
  }
  return near;
}

/** Both diagonals of every ring of four points whose corners all turn. */
function diagonalsOf(points: readonly WorkPoint[], near: readonly ReadonlySet<number>[]): readonly Pair[] {
  const found = new Map<string, Pair>();
  const isCorner = (p: number, at: number, q: number): boolean => {
    const [to, from] = [sub(points[p]!.point, points[at]!.point), sub(points[q]!.point, points[at]!.point)];
    return length(cross(unit(to), unit(from))) > TURN;
  };
  points.forEach((_, a) => {
    for (const b of near[a]!) {
      for (const c of near[b]!) {
        if (c <= a || near[a]!.has(c) || !isCorner(a, b, c)) continue;
        for (const d of near[c]!) {
          if (d <= b || !near[d]!.has(a) || near[b]!.has(d)) continue;
          if (![isCorner(b, c, d), isCorner(c, d, a), isCorner(d, a, b)].every(Boolean)) continue;
          found.set(`${a} ${c}`, [a, c]);
          found.set(`${Math.min(b, d)} ${Math.max(b, d)}`, [Math.min(b, d), Math.max(b, d)]);
        }
      }
    }
  });
  return [...found.values()];
}

/** Free ends, two and two, of the members of one joint. */
function spansOf({ ends, members }: Solution, points: readonly WorkPoint[]): readonly Pair[] {
  const at = (id: string): number => points.findIndex((point) => point.ends.includes(id));
  const joints = new Map<string, string[]>();
  for (const { joint, member, end, jointKind } of ends) {
    if (jointKind === 'trim') continue;
    const far = `${member.name}.${end === 'start' ? 'end' : 'start'}`;
    const cut = ends.find(({ id }) => id === far);
    const free = members.some(({ name }) => name === member.name) && (!cut || cut.jointKind === 'trim');
    // Of a cope the run is whole; what it does to a span is seen from the branches' own places.
    if (free) joints.set(joint, [...(joints.get(joint) ?? []), far]);
  }
  return [...joints.values()].flatMap((far) => {
    const places = [...new Set(far.map(at))].sort((p, q) => p - q);
    return places.flatMap((p, i) => places.slice(i + 1).map((q): Pair => [p, q]));
  });
}
