import { besideAt, frameAt } from '../geometry/centerline.ts';
import type { Placement } from '../geometry/placement.ts';
import { facetsFor, insetAt, outlineAt, sectionDistance, sectionReach } from '../geometry/section.ts';
import { FOOT_CHAMFER, LEAD_IN } from '../geometry/tolerance.ts';
import { type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Mesh } from '../solid/mesh.ts';
import { cutAt, outward } from '../solve/generator.ts';
import type { CutCurve, EndDefinition, Member } from '../solve/solution.ts';
import { outlineUs, stationsBetween, usBetween } from './stations.ts';
import { loopsMesh, ringsMesh } from './sweep.ts';

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
  return loopsMesh(loops, sleevePose(shape));
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
    const between = usBetween(end.member.section, { from: sample.u, to: next.u }, { room, chordTolerance });
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

/** The middle of the sleeve's wall as a body, `out` beyond the bore and longer at both ends: what is added outside stops there. */
export function coreMesh(shape: SleeveShape, out: Mm): Mesh {
  const { member, toward: dir, room, chordTolerance } = shape;
  const top = Math.max(...shape.edge.samples.map((sample) => dir * sample.s)) + 5;
  const low = dir * shape.baseS - (shape.ledge ? 0 : 5);
  const grown = room + out;
  const us = outlineUs(member.section, grown, chordTolerance);
  const rings = stationsBetween(member, { from: dir * low, to: dir * top }, chordTolerance).map((s) =>
    us.map((u) => at(member, s, outlineAt(member.section, u, -grown).point)),
  );
  return ringsMesh(rings, sleevePose(shape));
}

const at = (member: Member, s: Mm, [a, b]: Vec2): Vec3 => besideAt(member.centerline, s, a, b);

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
  const around = facetsFor(Math.max(...bends) + sectionReach(shape.member.section), shape.chordTolerance);
  return Math.max(2, Math.ceil(((high - low) / Math.min(...bends) / (2 * Math.PI)) * around));
}

/** Points round the wall's profile at one u: foot, outside up, rim, bore down, ledge. */
function sleeveLoop(
  shape: SleeveShape,
  cut: { readonly u: number; readonly s: Mm; readonly steps: number },
): readonly Vec3[] {
  const { member, toward: dir, room } = shape;
  const { section } = member;
  const { u, s, steps } = cut;
  const foot = footS(shape);
  const outer = outsideAt(shape, u, 0);
  const footOuter = outsideAt(shape, u, FOOT_CHAMFER);
  const bore = outlineAt(section, u, -room).point;
  const walk = (from: Mm, to: Mm): readonly Mm[] =>
    Array.from({ length: steps + 1 }, (_, k) => from + ((to - from) * k) / steps);
  const outside = walk(foot + dir * FOOT_CHAMFER, s).map((x) => at(member, x, outer));
  const entry = shape.ledge ? shape.baseS : foot + dir * LEAD_IN;
  const inside = walk(s, entry).map((x) => at(member, x, bore));
  const base = shape.ledge ? ledgePoints(shape, u) : [at(member, foot, outlineAt(section, u, -room - LEAD_IN).point)];
  return [at(member, foot, footOuter), ...outside, ...inside, ...base];
}

function ledgePoints(shape: SleeveShape, u: number): readonly Vec3[] {
  const lip = insetAt(shape.member.section, u, shape.ledge!.reach);
  return [at(shape.member, shape.baseS, lip), at(shape.member, footS(shape), lip)];
}

/** Outside of the sleeve at u, drawn in by `less`: along the normal, so that rims are square to the tube's wall. */
function outsideAt(shape: SleeveShape, u: number, less: Mm): Vec2 {
  const { outside, room, member } = shape;
  if (outside.kind === 'even') return outlineAt(member.section, u, less - room - outside.wall).point;
  const from = outlineAt(member.section, u, -room);
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
  return [from.point[0] + from.normal[0] * low, from.point[1] + from.normal[1] * low];
}

/** Thickness of the wall at u, bore to outside, along the tube's normal. */
export function wallAt(shape: SleeveShape, u: number): Mm {
  const bore = outlineAt(shape.member.section, u, -shape.room).point;
  const outer = outsideAt(shape, u, 0);
  return Math.hypot(outer[0] - bore[0], outer[1] - bore[1]);
}
