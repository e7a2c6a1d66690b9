import { acosd } from '../../geometry/angle.ts';
import { frameAt, type Segment, segmentFrame } from '../../geometry/centerline.ts';
import { boundsOfLoops, type FlatLoop, loopPoints } from '../../geometry/flat-path.ts';
import type { Frame } from '../../geometry/frame.ts';
import { LEAST_PIERCING, piercedLoop } from '../../geometry/pierced.ts';
import { type Placement, placementFrom, unplace } from '../../geometry/placement.ts';
import { ENDS_APART, SAME_ANGLE } from '../../geometry/tolerance.ts';
import { sectionAt } from '../../geometry/tube-shape.ts';
import { growsAlong } from '../../geometry/tube-surface.ts';
import { anySquareTo, dot, type Mm, sub, type Vec2, type Vec3 } from '../../geometry/vector.ts';
import type { ThroughPlate } from '../../job/job.ts';
import { figure, type Problem } from '../../job/problem.ts';
import type { MemberLookup } from '../joints/ends.ts';
import type { Member } from '../solution.ts';
import { crossAt, type PlateOpening, type PlateOutcome, roundedRectangle } from './plate.ts';

/** Least of sheet left between two holes, or a hole and the edge. */
const LEAST_WEB: Mm = 1;

/** A plate with a hole for every place a member passes its plane on a straight: spacer, bulkhead, foot. */
export function throughPlate(spec: ThroughPlate, memberNamed: MemberLookup): PlateOutcome {
  const at = placementFrom(spec.plane.point, spec.plane.normal, spec.along ?? xOf(spec.plane.normal));
  const found = spec.members.map(({ member, path }) => {
    const tube = memberNamed(member);
    return tube ? tubeHoles(spec, { tube, at, path }) : { holes: [], problems: [] };
  });
  const problems = found.flatMap((each) => each.problems);
  if (problems.length > 0) return { plates: [], problems };
  const tubes = found.flatMap((each) => each.holes);
  const bolts = spec.holes.map(
    ({ at: middle, diameter }, i): PlateOpening => ({
      loop: { kind: 'circle', center: middle, radius: diameter / 2 },
      for: `hole ${i + 1}`,
      middle,
      leanDeg: 0,
    }),
  );
  const holes = [...tubes, ...bolts];
  const outline = outlineOf(
    spec,
    tubes.map(({ loop }) => loop),
  );
  const plate = {
    name: spec.name,
    spec,
    at,
    outline,
    holes,
    marks: tubes.flatMap(({ middle }) => crossAt(middle)),
  };
  return { plates: [plate], problems: thinWebs(spec, outline, holes) };
}

/** A plate that lies level has its x along the job's; else x lies level. */
const xOf = (normal: Vec3): Vec3 =>
  Math.abs(normal[0]) < 0.99 && Math.abs(normal[2]) > 0.99 ? [1, 0, 0] : level(normal);
const level = ([x, y]: Vec3): Vec3 => (Math.hypot(x, y) > 1e-6 ? [-y, x, 0] : anySquareTo([0, 0, 1]));

interface Tube {
  readonly tube: Member;
  readonly at: Placement;
  readonly path: Problem['path'];
}

function tubeHoles(
  spec: ThroughPlate,
  { tube, at, path }: Tube,
): { readonly holes: readonly PlateOpening[]; readonly problems: readonly Problem[] } {
  const passed = tube.centerline.segments.flatMap((segment) => crossingsOf(segment, at));
  const crossings = passed.length > 0 ? passed : endsOn(tube, at);
  const bent = crossings.find(({ segment }) => segment.kind === 'bend');
  if (bent) return { holes: [], problems: [inBend(spec, { tube, path })] };
  if (crossings.length === 0) return { holes: [], problems: [misses(spec, { tube, at, path })] };
  const holes: PlateOpening[] = [];
  const problems: Problem[] = [];
  for (const { frame, segment } of crossings) {
    const into = Math.abs(dot(frame.heading, at.z));
    if (segment.kind === 'taper') {
      const hole = holeOnTaper(spec, { tube, at, path }, { frame, segment });
      if ('code' in hole) problems.push(hole);
      else holes.push(hole);
      continue;
    }
    if (into < LEAST_PIERCING) {
      problems.push(tooFlat(spec, { tube, path }, acosd(into)));
      continue;
    }
    const p = unplace(at, frame.origin);
    holes.push({
      loop: piercedLoop({ section: segment.section ?? tube.section, frame }, at, {
        grow: spec.room,
        thickness: spec.thickness,
      }),
      for: tube.name,
      middle: [p[0], p[1]],
      leanDeg: acosd(into),
    });
  }
  return { holes, problems };
}

/** On a taper that a plate stands square to, the hole is the section in the face where the tube is larger all round. */
function holeOnTaper(
  { name, room, thickness }: ThroughPlate,
  { tube, at, path }: Tube,
  { frame, segment }: Crossing,
): PlateOpening | Problem {
  const base = { code: 'plate/in-bend', severity: 'error', path } as const;
  const leanDeg = acosd(Math.min(1, Math.abs(dot(frame.heading, at.z))));
  if (leanDeg > SAME_ANGLE)
    return {
      ...base,
      message: `plate "${name}": "${tube.name}" tapers where it passes its plane, ${figure(leanDeg)} deg from square to it, limit 0 deg`,
      hint: 'turn the plane square to the taper, or move it to a straight of the member',
      measured: leanDeg,
      limit: 0,
    };
  const s = segment.s0 + dot(sub(frame.origin, segment.start.origin), frame.heading);
  const [low, high] = [s - thickness / 2, s + thickness / 2];
  const larger = growsAlong(tube, low, high) ? high : growsAlong(tube, high, low) ? low : undefined;
  if (larger === undefined)
    return {
      ...base,
      message: `plate "${name}": "${tube.name}" grows one way and shrinks the other through its ${figure(thickness)} mm, where no straight hole fits it`,
      hint: 'move the plane to a straight of the member',
    };
  const there = frameAt(tube.centerline, larger);
  const [x, y] = unplace(at, there.origin);
  return {
    loop: piercedLoop({ section: sectionAt(tube, larger), frame: there }, at, { grow: room, thickness: 0 }),
    for: tube.name,
    middle: [x, y],
    leanDeg: 0,
  };
}

/** A member drawn just to the plane stands in it all the same. */
function endsOn({ centerline }: Member, at: Placement): readonly Crossing[] {
  const [first, last] = [centerline.segments[0]!, centerline.segments.at(-1)!];
  const ends = [
    { segment: first, frame: first.start },
    { segment: last, frame: last.end },
  ];
  return ends.filter(({ frame }) => Math.abs(dot(sub(frame.origin, at.origin), at.z)) < ENDS_APART).slice(0, 1);
}

interface Crossing {
  readonly segment: Segment;
  readonly frame: Frame;
}

/** Where a segment's axis passes the plane: once at most on a straight, up to twice in a bend (found by halving a scan). */
function crossingsOf(segment: Segment, at: Placement): readonly Crossing[] {
  const off = (t: Mm): number => dot(sub(segmentFrame(segment, t).origin, at.origin), at.z);
  const steps = segment.kind === 'straight' ? 1 : 64;
  return Array.from({ length: steps }, (_, k) => k).flatMap((k): readonly Crossing[] => {
    let [low, high] = [(segment.length * k) / steps, (segment.length * (k + 1)) / steps];
    const start = off(low);
    if (start < 0 === off(high) < 0) return [];
    if (segment.kind === 'straight')
      return [{ segment, frame: segmentFrame(segment, (segment.length * start) / (start - off(high))) }];
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2;
      if (off(middle) * start > 0) low = middle;
      else high = middle;
    }
    return [{ segment, frame: segmentFrame(segment, low) }];
  });
}

function outlineOf({ outline }: ThroughPlate, loops: readonly FlatLoop[]): FlatLoop {
  if (outline.kind === 'round') return { kind: 'circle', center: [0, 0], radius: outline.diameter / 2 };
  if (outline.kind === 'rectangle') {
    const [x, y] = [outline.width / 2, outline.height / 2];
    return roundedRectangle([-x, -y], [x, y], outline.corner);
  }
  const { min, max } = boundsOfLoops(loops);
  const m = outline.margin;
  return roundedRectangle([min[0] - m, min[1] - m], [max[0] + m, max[1] + m], outline.corner);
}

/** Holes that run into each other or out over the edge, by the distances of points along them; of each kind the worst is told. */
export function thinWebs(
  spec: { readonly name: string; readonly path: Problem['path'] },
  outline: FlatLoop,
  holes: readonly PlateOpening[],
): readonly Problem[] {
  const lines = holes.map((hole) => ({ what: hole.for, points: loopPoints(hole.loop, 0.02) }));
  const edge = { what: 'the edge', points: loopPoints(outline, 0.02) };
  const between = lines.flatMap((hole, i) =>
    lines.slice(i + 1).map((other) => ({ hole, other, left: webBetween(hole.points, other.points) })),
  );
  const outward = lines.map((hole) => ({ hole, other: edge, left: webToEdge(hole.points, edge.points) }));
  return [between, outward].flatMap((places): readonly Problem[] => {
    const thin = places.filter(({ left }) => left < LEAST_WEB).sort((p, q) => p.left - q.left);
    const [worst] = thin;
    if (!worst) return [];
    const { hole, other, left } = worst;
    const told =
      left < 0
        ? `${hole.what} runs ${figure(-left)} mm ${other === edge ? 'out over' : 'into'} ${other.what}`
        : `${figure(left)} mm is left between ${hole.what} and ${other.what}, limit ${LEAST_WEB} mm`;
    const more =
      thin.length > 1 ? `; in ${thin.length - 1} more place${thin.length > 2 ? 's' : ''} too little is left` : '';
    return [
      {
        code: 'plate/thin',
        severity: 'error',
        path: spec.path,
        message: `plate "${spec.name}": ${told}${more}`,
        hint:
          other === edge ? 'make the outline larger, or move the hole' : 'move the holes apart, or make them smaller',
        measured: left,
        limit: LEAST_WEB,
      },
    ];
  });
}

/** Sheet left between two holes; less than 0 by how deep one reaches into the other. */
function webBetween(first: readonly Vec2[], second: readonly Vec2[]): Mm {
  const depth = Math.max(deepestIn(first, second), deepestIn(second, first));
  return depth > 0 ? -depth : leastBetween(first, second);
}

/** Sheet left between a hole and the edge; less than 0 by how far the hole reaches out. */
function webToEdge(hole: readonly Vec2[], edge: readonly Vec2[]): Mm {
  const out = hole.filter((p) => !holds(edge, p)).map((p) => toOutline(p, edge));
  return out.length > 0 ? -Math.max(...out) : leastBetween(hole, edge);
}

const deepestIn = (points: readonly Vec2[], polygon: readonly Vec2[]): Mm =>
  Math.max(0, ...points.filter((p) => holds(polygon, p)).map((p) => toOutline(p, polygon)));

const toOutline = (p: Vec2, polygon: readonly Vec2[]): Mm =>
  Math.min(...polygon.map((q, i) => toLine(p, q, polygon[(i + 1) % polygon.length]!)));

function leastBetween(first: readonly Vec2[], second: readonly Vec2[]): Mm {
  let least = Number.POSITIVE_INFINITY;
  for (const p of first) {
    for (let i = 0; i < second.length; i++)
      least = Math.min(least, toLine(p, second[i]!, second[(i + 1) % second.length]!));
  }
  for (const p of second) {
    for (let i = 0; i < first.length; i++)
      least = Math.min(least, toLine(p, first[i]!, first[(i + 1) % first.length]!));
  }
  return least;
}

function toLine(p: Vec2, a: Vec2, b: Vec2): Mm {
  const [vx, vy] = [b[0] - a[0], b[1] - a[1]];
  const k = Math.max(0, Math.min(1, ((p[0] - a[0]) * vx + (p[1] - a[1]) * vy) / (vx * vx + vy * vy || 1)));
  return Math.hypot(p[0] - a[0] - k * vx, p[1] - a[1] - k * vy);
}

/** Whether a point lies inside a polygon (crossings of a level ray). */
function holds(polygon: readonly Vec2[], [x, y]: Vec2): boolean {
  let inside = false;
  for (let i = 0; i < polygon.length; i++) {
    const [p, q] = [polygon[i]!, polygon[(i + 1) % polygon.length]!];
    if (p[1] > y !== q[1] > y && x < p[0] + ((y - p[1]) / (q[1] - p[1])) * (q[0] - p[0])) inside = !inside;
  }
  return inside;
}

const misses = (spec: ThroughPlate, { tube, at, path }: Tube): Problem => {
  const offs = tube.centerline.segments.flatMap((segment) =>
    [segment.start, segment.end].map(({ origin }) => Math.abs(dot(sub(origin, at.origin), at.z))),
  );
  const least = Math.min(...offs);
  return {
    code: 'plate/misses',
    severity: 'error',
    path,
    message: `plate "${spec.name}": "${tube.name}" does not pass its plane; its drawn end comes within ${figure(least)} mm`,
    hint: 'move the plane, lengthen the member, or take it off the list',
    measured: least,
    limit: 0,
  };
};

const inBend = (spec: ThroughPlate, { tube, path }: Pick<Tube, 'tube' | 'path'>): Problem => ({
  code: 'plate/in-bend',
  severity: 'error',
  path,
  message: `plate "${spec.name}": "${tube.name}" passes its plane in a bend, where no flat hole fits it`,
  hint: 'move the plane to a straight of the member',
});

const tooFlat = (spec: ThroughPlate, { tube, path }: Pick<Tube, 'tube' | 'path'>, leanDeg: number): Problem => ({
  code: 'plate/too-flat',
  severity: 'error',
  path,
  message: `plate "${spec.name}": "${tube.name}" leans ${figure(leanDeg)} deg from square to it, limit ${figure(acosd(LEAST_PIERCING))} deg`,
  hint: 'turn the plane more square to the member',
  measured: leanDeg,
  limit: acosd(LEAST_PIERCING),
});
