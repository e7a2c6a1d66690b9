import { besideAt, frameAt } from '../geometry/centerline.ts';
import { type Placement, unplace } from '../geometry/placement.ts';
import { facetsFor, insetAt, insetFrom, type OutlinePoint, sectionDistance } from '../geometry/section.ts';
import { FOOT_CHAMFER, LEAD_IN } from '../geometry/tolerance.ts';
import {
  generatorOf,
  isEccentric,
  isTapered,
  outlineOn,
  sectionAt,
  tapersOf,
  tubeReach,
} from '../geometry/tube-shape.ts';
import { kinkPoint, kinksBeside, surfacePoint } from '../geometry/tube-surface.ts';
import { along, dot, type Mm, scale, sub, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import type { Solid } from '../solid/expression.ts';
import type { Mesh } from '../solid/mesh.ts';
import { cutAt, outward } from '../solve/generator.ts';
import type { CutCurve, EndDefinition, Member } from '../solve/solution.ts';
import { outlineUs, stationsBetween, usBetween } from './stations.ts';
import { loopsMesh, ringsMesh, welded } from './sweep.ts';

/**
 * Outside of a sleeve: a wall of even thickness, or a box with flats to lie and slide on. A box stands square to `out`, a
 * direction of the section (right, up), with half sizes along it and across it.
 */
export type SleeveOutside = { readonly kind: 'even'; readonly wall: Mm } | BoxOutside;

export interface BoxOutside {
  readonly kind: 'box';
  readonly out: Vec2;
  readonly halfOut: Mm;
  readonly halfAcross: Mm;
  readonly corner: Mm;
  /** s at which the box stands about the tube's axis: beside it an eccentric taper goes aside within the box. */
  readonly about: Mm;
}

/** How far (right, up) the tube's axis at s lies beside that of the box. */
export function besideBox({ member }: Pick<SleeveShape, 'member'>, { about }: BoxOutside, s: Mm): Vec2 {
  if (!isEccentric(member)) return [0, 0];
  const { origin, right, up } = frameAt(member.centerline, s);
  const off = sub(origin, frameAt(member.centerline, about).origin);
  return [dot(off, right), dot(off, up)];
}

/** A sleeve round the tube from a base square to the centerline to an edge that is a solved curve. */
export interface SleeveShape {
  readonly member: Member;
  readonly end: EndDefinition;
  readonly edge: CutCurve;
  /** Where the sleeve registers. */
  readonly baseS: Mm;
  /** +1 when the edge lies at greater s than the base. */
  readonly toward: 1 | -1;
  /** Radial room between bore and tube. */
  readonly room: Mm;
  readonly outside: SleeveOutside;
  /** A ledge that the tube's end stands on, this thick, reaching `reach` in from the outside of the tube; none for an open base. */
  readonly ledge?: { readonly thickness: Mm; readonly reach: Mm };
  readonly chordTolerance: Mm;
}

/** Print pose of a sleeve: its base on the bed, the tube's direction up, the witness line to the front. */
export function sleevePose(shape: SleeveShape): Placement {
  const frame = frameAt(shape.member.centerline, footS(shape));
  const z = scale(frame.heading, shape.toward);
  return { origin: frame.origin, x: scale(frame.right, shape.toward), y: scale(frame.up, -1), z };
}

/** s of the face that stands on the bed. */
export const footS = (shape: SleeveShape): Mm => shape.baseS - shape.toward * (shape.ledge?.thickness ?? 0);

/**
 * The closed mesh, in print pose: one loop of points for each sample of the edge, so that the bore's rim is the solved
 * curve to the last digit and the rim's face is ruled square to the tube.
 */
export function sleeveMesh(shape: SleeveShape): Mesh {
  const steps = arcSteps(shape);
  const loops = rimPoints(shape).map(({ u, s }) => sleeveLoop(shape, { u, s, steps }));
  const mesh = loopsMesh(loops, sleevePose(shape));
  return isTapered(shape.member) ? welded(mesh) : mesh;
}

/** Samples of the edge, and more, traced anew, where the wider bore needs more facets than the tube. */
function rimPoints({
  end,
  edge,
  room,
  chordTolerance,
}: SleeveShape): readonly { readonly u: number; readonly s: Mm }[] {
  return edge.samples.flatMap((sample, i) => {
    const next = edge.samples[i + 1] ?? { u: edge.samples[0]!.u + 1, s: edge.samples[0]!.s };
    const between = usBetween(end.member, { from: sample.u, to: next.u }, { room, chordTolerance });
    const straightOn = (u: number): Mm => sample.s + ((next.s - sample.s) * (u - sample.u)) / (next.u - sample.u);
    const before = Math.min(outward(end, sample.s), outward(end, next.s)) - 2 - 2 * Math.abs(next.s - sample.s);
    return [
      sample,
      ...between.map((u) => {
        const cut = cutAt(end, u % 1, edge.surface, before);
        return { u: u % 1, s: cut.kind === 'cut' ? cut.s : straightOn(u) };
      }),
    ];
  });
}

/**
 * The sleeve's wall within as a body, `out` beyond the bore at most and half of that at least, longer at both ends: what is
 * added outside stops there, unseen, so that few facets do.
 */
export function coreMesh(shape: SleeveShape, out: Mm): Mesh {
  const { member, toward: dir, room } = shape;
  const chordTolerance = Math.max(shape.chordTolerance, out / 4);
  const top = Math.max(...shape.edge.samples.map((sample) => dir * sample.s)) + 5;
  const low = dir * shape.baseS - (shape.ledge ? 0 : 5);
  const grown = room + out;
  const us = outlineUs(member, grown, chordTolerance);
  const rings = stationsBetween(member, { from: dir * low, to: dir * top }, chordTolerance).map((s) =>
    us.map((u) => generatorOf(member, u, -grown).pointAt(s)),
  );
  const mesh = ringsMesh(rings, sleevePose(shape));
  return isTapered(member) ? welded(mesh) : mesh;
}

/** Straight pieces of a generator between base and edge: one on a straight, enough for the chord tolerance in a bend. */
function arcSteps(shape: SleeveShape): number {
  const line = shape.member.centerline;
  const ends = [footS(shape), ...shape.edge.samples.map((sample) => sample.s)];
  const low = Math.min(...ends);
  const high = Math.max(...ends);
  const bends = line.segments.flatMap((x) =>
    x.kind === 'bend' && x.s0 < high - 1e-6 && x.s0 + x.length > low + 1e-6 ? [x.clr] : [],
  );
  if (bends.length === 0) return 1;
  const around = facetsFor(Math.max(...bends) + tubeReach(shape.member), shape.chordTolerance);
  return Math.max(2, Math.ceil(((high - low) / Math.min(...bends) / (2 * Math.PI)) * around));
}

/** Points round the wall's profile at one u: foot, outside up, rim, bore down, ledge. */
function sleeveLoop(
  shape: SleeveShape,
  cut: { readonly u: number; readonly s: Mm; readonly steps: number },
): readonly Vec3[] {
  const { member, toward: dir, room } = shape;
  const { u, s, steps } = cut;
  const foot = footS(shape);
  const [bore, outer] = [boreLine(shape, u), outerLine(shape, cut, 0)];
  const rim = rimAt(shape, { u, s, bore, outer });
  const outside = [...walk(shape, outer, { from: foot + dir * FOOT_CHAMFER, to: rim.outer.s, steps }), rim.outer.point];
  const entry = shape.ledge ? shape.baseS : foot + dir * LEAD_IN;
  const inside = [...walk(shape, bore, { from: entry, to: rim.bore.s, steps }), rim.bore.point].reverse();
  const base = shape.ledge ? ledgePoints(shape, u) : [generatorOf(member, u, -room - LEAD_IN).pointAt(foot)];
  return [outerLine(shape, cut, FOOT_CHAMFER).pointAt(foot), ...outside, ...inside, ...base];
}

/** A line of the sleeve's bore or outside along the tube; `kinkAt` is where it turns for a taper that begins or ends at s. */
interface WallLine {
  readonly pointAt: (s: Mm) => Vec3;
  readonly kinkAt: (s: Mm) => RimPoint;
}

const surfaceLine = (member: Member, u: number, out: Mm): WallLine => ({
  pointAt: generatorOf(member, u, -out).pointAt,
  kinkAt: (s) => kinkPoint(member, { u, s, out }),
});

const boreLine = ({ member, room }: SleeveShape, u: number): WallLine => surfaceLine(member, u, room);

interface OnRim {
  readonly u: number;
  readonly s: Mm;
}

/** Outside at u, drawn in by `less`; a box keeps all along the place it has square to the rim. */
function outerLine(shape: SleeveShape, { u, s }: OnRim, less: Mm): WallLine {
  const { outside, room, member } = shape;
  if (outside.kind === 'even') return surfaceLine(member, u, room + outside.wall - less);
  const [a, b] = placeOnBox(shape, { u, s }, less);
  const pointAt = (at: Mm): Vec3 => {
    const [x, y] = besideBox(shape, outside, at);
    return besideAt(member.centerline, at, a - x, b - y);
  };
  return { pointAt, kinkAt: (at) => ({ s: at, point: pointAt(at) }) };
}

/** The place about the box's own axis. */
function placeOnBox(shape: SleeveShape, { u, s }: OnRim, less: Mm): Vec2 {
  const { point, normal } = boreInBox(shape, { u, s });
  const wall = shape.outside.kind === 'box' ? wallOfBox(shape.outside, { point, normal }, less) : 0;
  return [point[0] + normal[0] * wall, point[1] + normal[1] * wall];
}

/** The bore at a place, seen from the box's own axis. */
function boreInBox(shape: SleeveShape, { u, s }: OnRim): OutlinePoint {
  const { point, normal } = outlineOn(shape.member, s, u, -shape.room);
  if (shape.outside.kind !== 'box') return { point, normal };
  const [x, y] = besideBox(shape, shape.outside, s);
  return { point: [point[0] + x, point[1] + y], normal };
}

/**
 * Points of a line from one s on, the last left out. On a tube with tapers every line has its points at the same places up
 * to its own end, so that lines which run together there are one to the last point; what lies past the end falls on it.
 */
function walk(
  shape: SleeveShape,
  line: WallLine,
  { from, to, steps }: { readonly from: Mm; readonly to: Mm; readonly steps: number },
): readonly Vec3[] {
  const { member, toward: dir, edge, chordTolerance } = shape;
  if (!isTapered(member))
    return Array.from({ length: steps }, (_, k) => line.pointAt(from + ((to - from) * k) / steps));
  const far = dir * Math.max(...edge.samples.map(({ s }) => dir * s));
  const kinks = new Set(tapersOf(member).flatMap(({ s0, length }) => [s0, s0 + length]));
  const stations = stationsBetween(member, { from, to: far }, chordTolerance).slice(1, -1);
  const first = { s: from, point: line.pointAt(from) };
  // A kink beside the first place counts where the line has it farther on, and falls on that place where not.
  const beside = kinksBeside(member, from)
    .filter((s) => !stations.includes(s))
    .sort((p, q) => dir * (p - q));
  return [
    first,
    ...beside.map((s) => line.kinkAt(s)),
    ...stations.map((s) => (kinks.has(s) ? line.kinkAt(s) : { s, point: line.pointAt(s) })),
  ]
    .map((at) => (dir * at.s <= dir * from ? first : at))
    .map((at) => (dir * at.s >= dir * to ? line.pointAt(to) : at.point));
}

interface RimPoint {
  readonly s: Mm;
  readonly point: Vec3;
}

/**
 * Bore and outside of the rim at u. A curved cut's rim is ruled square to the tube's wall; a flat cut's on a taper, where
 * square to the wall is not square to the axis, lies in the plane of the cut, to lay a scriber or the table against.
 */
function rimAt(
  shape: SleeveShape,
  at: OnRim & { readonly bore: WallLine; readonly outer: WallLine },
): { readonly bore: RimPoint; readonly outer: RimPoint } {
  const { member, end, room, outside } = shape;
  const { u, s, bore, outer } = at;
  const on = (line: WallLine, t: Mm): RimPoint => ({ s: t, point: line.pointAt(t) });
  if (!isTapered(member)) return { bore: on(bore, s), outer: on(outer, s) };
  const plane = rimPlane(end);
  if (plane) {
    const { heading } = frameAt(member.centerline, s);
    return { bore: onPlane(bore, { plane, heading, near: s }), outer: onPlane(outer, { plane, heading, near: s }) };
  }
  const generator = generatorOf(member, u);
  const rise = generator.riseAt(s);
  const lean = Math.hypot(1, rise);
  const raised = (out: Mm): RimPoint => ({ s: s - (out * rise) / lean, point: surfacePoint(member, { u, s, out }) });
  if (outside.kind === 'even') return { bore: raised(room), outer: raised(room + outside.wall) };
  const { point, normal } = outlineOn(member, s, u);
  const [a, b] = placeOnBox(shape, { u, s }, 0);
  const [x, y] = besideBox(shape, outside, s);
  const out = (a - x - point[0]) * normal[0] + (b - y - point[1]) * normal[1];
  return { bore: raised(room), outer: on(outer, s - out * rise) };
}

/** The plane of a flat cut that a rim on a taper lies in. */
export const rimPlane = (end: EndDefinition): Plane | undefined => {
  const [stop, other] = end.stops;
  return stop?.kind === 'plane' && !other && isTapered(end.member) ? stop : undefined;
};

/**
 * Where a line, straight or nearly, comes to a plane near a place. Where it goes from one segment of the tube to the next it
 * may step aside by hundredths of a millimeter: what is left to the plane there is gone along the heading.
 */
function onPlane(
  line: WallLine,
  { plane: { point, normal }, heading, near }: { readonly plane: Plane; readonly heading: Vec3; readonly near: Mm },
): RimPoint {
  const off = (s: Mm): Mm => dot(sub(line.pointAt(s), point), normal);
  let [p, q] = [near, near + 0.1];
  let [offP, offQ] = [off(p), off(q)];
  for (let i = 0; i < 20 && Math.abs(offQ) > 1e-12 && offQ !== offP; i++) {
    [p, q] = [q, q - (offQ * (q - p)) / (offQ - offP)];
    [offP, offQ] = [offQ, off(q)];
  }
  // Beside such a step the search jumps to and fro: the nearer of its last two places is it.
  const [s, left] = Math.abs(offQ) <= Math.abs(offP) ? [q, offQ] : [p, offP];
  return { s, point: along(line.pointAt(s), heading, -left / dot(heading, normal)) };
}

/** What a ledge leaves open, wider by up to half of it and a little longer both ways; nothing where the base is open. */
export function ledgeHole(shape: SleeveShape): readonly Solid[] {
  const { ledge, toward: dir, baseS, member } = shape;
  if (!ledge) return [];
  // Its facets lie within the ledge.
  const chordTolerance = Math.max(shape.chordTolerance, ledge.reach / 8);
  const pose = sleevePose(shape);
  const points = outlineUs(member, 0, chordTolerance).flatMap((u) =>
    [baseS + dir, footS(shape) - dir].map((s) => {
      const [a, b] = insideLedge(shape, u, ledge.reach / 2);
      return unplace(pose, besideAt(member.centerline, s, a, b));
    }),
  );
  return [{ kind: 'hull', name: 'inside of the ledge', points }];
}

function insideLedge({ member, baseS }: SleeveShape, u: number, reach: Mm): Vec2 {
  if (!isTapered(member)) return insetAt(member.section, u, reach);
  const { point, normal } = outlineOn(member, baseS, u);
  return insetFrom(sectionAt(member, baseS), reach, (x) => [point[0] - x * normal[0], point[1] - x * normal[1]]);
}

function ledgePoints(shape: SleeveShape, u: number): readonly Vec3[] {
  const { member, baseS } = shape;
  const [a, b] = insideLedge(shape, u, shape.ledge!.reach);
  return [baseS, footS(shape)].map((s) => besideAt(member.centerline, s, a, b));
}

/** From the bore at a place out to a box along the tube's normal, so that rims are square to the wall; the box drawn in by `less`. */
function wallOfBox(outside: BoxOutside, from: OutlinePoint, less: Mm): Mm {
  const box = {
    kind: 'rectangle',
    width: 2 * (outside.halfAcross - less),
    height: 2 * (outside.halfOut - less),
    wall: 1,
    cornerRadius: outside.corner,
  } as const;
  const [x, y] = outside.out;
  const inBox = ([a, b]: Vec2): Mm => sectionDistance(box, a * y - b * x, a * x + b * y);
  let low = 0;
  let high = 4 * (outside.halfAcross + outside.halfOut);
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2;
    if (inBox([from.point[0] + from.normal[0] * middle, from.point[1] + from.normal[1] * middle]) < 0) low = middle;
    else high = middle;
  }
  return low;
}

/** Thickness of the wall at (u, s), bore to outside, along the outline's normal. */
export const wallAt = (shape: SleeveShape, u: number, s: Mm): Mm =>
  shape.outside.kind === 'even' ? shape.outside.wall : wallOfBox(shape.outside, boreInBox(shape, { u, s }), 0);
