import { acosd, toRadians } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { type Placement, place, unplace, unplaceDirection } from '../geometry/placement.ts';
import { sectionHeight, sectionWidth } from '../geometry/section.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import { generatorOf, sectionAt } from '../geometry/tube-shape.ts';
import { steepest, surfaceNormal } from '../geometry/tube-surface.ts';
import { add, along, cross, dot, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { box } from './cradle.ts';
import { sunkLabel } from './label.ts';
import { besideBox, coreMesh, footS, ledgeHole, sleevePose, wallAt } from './sleeve.ts';
import { FLANGE, type SleevePlan } from './sleeve-plan.ts';

/** A flat face to write on, in the standing pose. */
export interface WritingFace {
  readonly at: Placement;
  readonly box: readonly [Mm, Mm];
}

/** Axis of a box's outside at s: straight where an eccentric taper goes aside; else the tube's. */
function outsideAxis({ shape }: SleevePlan, s: Mm): Frame {
  const frame = frameAt(shape.member.centerline, s);
  if (shape.outside.kind !== 'box') return frame;
  const [x, y] = besideBox(shape, shape.outside, s);
  return { ...frame, origin: along(along(frame.origin, frame.right, -x), frame.up, -y) };
}

/** Axes at s in the standing pose: z along `outward`, y up from the base, x to the right of who looks at that side. */
function sideAt(plan: SleevePlan, s: Mm, outward: Vec3): Placement {
  const standing = sleevePose(plan.shape);
  const { origin, heading } = outsideAxis(plan, s);
  const z = unplaceDirection(standing, outward);
  const y = unplaceDirection(standing, scale(heading, plan.shape.toward));
  return { origin: unplace(standing, origin), x: cross(y, z), y, z };
}

/** Length of sleeve between the bed and the edge's lowest point. */
const bodyLength = (plan: SleevePlan): Mm => Math.abs(plan.lowest - footS(plan.shape));

/** s at a share of the body, from the bed up. */
const bodyS = (plan: SleevePlan, share: number): Mm => footS(plan.shape) + plan.shape.toward * share * bodyLength(plan);

/** A flat pad below the edge for the letters of an evenly thick sleeve; in a bend on the outside, away from which it leans. */
export function padOf(plan: SleevePlan): { readonly solid: Solid; readonly face: WritingFace } | undefined {
  const { shape, request } = plan;
  if (shape.outside.kind !== 'even' || !request.shop.labels) return undefined;
  const side = padSide(plan);
  const tall = Math.min((bodyLength(plan) - 2) * (leans(plan) ? 0.9 : 1), 26);
  const sections = [0, tall].map((height) => sectionAt(shape.member, footS(shape) + shape.toward * height));
  const halves = sections.map((section) => (side.upright ? sectionHeight(section) : sectionWidth(section)) / 2);
  const half = Math.max(...halves) + (shape.room + shape.outside.wall) * steepest(shape.member) + 0.6;
  const across = side.upright ? sectionWidth(sections[0]!) : sectionHeight(sections[0]!);
  const wide = Math.max(32, Math.min(0.55 * across + 6, 44)) / 2;
  if (tall < 6) return undefined;
  const at = sideAt(plan, footS(shape), side.direction);
  const ring = (height: Mm, less: Mm): readonly Vec3[] =>
    (
      [
        [-wide + less, 0],
        [wide - less, 0],
        [wide - less, half - less],
        [-wide + less, half - less],
      ] as const
    ).map(([x, z]) => place(at, [x, height, z]));
  const block: Solid = {
    kind: 'hull',
    name: 'label pad',
    points: [...ring(0, FOOT_CHAMFER), ...ring(FOOT_CHAMFER, 0), ...ring(tall, 0)],
  };
  const core: Solid = { kind: 'mesh', name: 'core', mesh: coreMesh(shape, shape.outside.wall / 2) };
  return {
    // Within a ledge the core does not take it off the middle.
    solid: { kind: 'subtract', name: 'label pad', from: block, cuts: [core, ...ledgeHole(shape)] },
    face: { at: { ...at, origin: place(at, [0, tall / 2, half]) }, box: [2 * wide - 2, tall - 2.5] },
  };
}

const leans = (plan: SleevePlan): boolean =>
  Math.abs(
    dot(
      frameAt(plan.shape.member.centerline, plan.lowest).heading,
      frameAt(plan.shape.member.centerline, footS(plan.shape)).heading,
    ),
  ) < 0.9999;

function padSide(plan: SleevePlan): { readonly direction: Vec3; readonly upright: boolean } {
  const frame = frameAt(plan.shape.member.centerline, footS(plan.shape));
  const tip = frameAt(plan.shape.member.centerline, plan.lowest).heading;
  const sides = [
    { direction: frame.up, upright: true },
    { direction: frame.right, upright: false },
    { direction: scale(frame.up, -1), upright: true },
    { direction: scale(frame.right, -1), upright: false },
  ];
  const lean = (side: Vec3): number => plan.shape.toward * dot(tip, side);
  return sides.reduce((best, side) => (lean(side.direction) < lean(best.direction) - 1e-9 ? side : best));
}

/** Letters on the pad, on a flat of the box, or on the flange of a half that lies open side up. */
export function labelOf(plan: SleevePlan, revision: string, pad?: WritingFace, sign?: 1 | -1): readonly Solid[] {
  const { request, shape, datum } = plan;
  if (!request.shop.labels) return [];
  const face = pad ?? (sign !== undefined && plan.lying ? flangeFace(plan, sign) : boxFace(plan, sign));
  if (!face) return [];
  const keptUp = datum.kind === 'stock';
  const standingUp = unplaceDirection(
    sleevePose(shape),
    scale(frameAt(shape.member.centerline, plan.lowest).heading, shape.toward),
  );
  const alongY = dot(face.at.y, standingUp);
  const keepArrow =
    Math.abs(alongY) > 0.7
      ? alongY > 0 === keptUp
        ? '↑'
        : '↓'
      : dot(face.at.x, standingUp) > 0 === keptUp
        ? '→'
        : '←';
  return [sunkLabel(request, { revision, datum, keepArrow, datumFirst: sign === -1 }, { ...face, letter: 5 })];
}

/** Width that the shortest line, an arrow and the revision mark, needs. */
const LEAST_LETTERED: Mm = 20;

function boxFace(plan: SleevePlan, sign: 1 | -1 | undefined): WritingFace | undefined {
  const { outside } = plan.shape;
  if (outside.kind !== 'box') return undefined;
  const [low, high] = sign === undefined ? [0, 1] : labelShare(plan);
  const tall = (high - low) * bodyLength(plan) - 3;
  if (tall < 3.5) return undefined;
  const side = sideAt(plan, bodyS(plan, (low + high) / 2), scale(plan.out, sign ?? 1));
  const at = { ...side, origin: place(side, [0, 0, outside.halfOut]) };
  const wide = 2 * outside.halfAcross - 2 * outside.corner - 2;
  if (wide >= LEAST_LETTERED || tall <= wide) return { at, box: [Math.min(wide, 46), Math.min(tall, 24)] };
  // On a thin tube the lines run along it.
  return { at: { ...at, x: side.y, y: scale(side.x, -1) }, box: [Math.min(tall, 46), wide] };
}

/** The mating face of a lying half, between key and groove, on the outside of the bend where it is longer. */
function flangeFace(plan: SleevePlan, sign: 1 | -1): WritingFace | undefined {
  const { shape } = plan;
  const long = bodyLength(plan) * 0.42;
  if (long < 18) return undefined;
  const frame = outsideAxis(plan, bodyS(plan, 0.6));
  const standing = sleevePose(shape);
  const z = scale(plan.out, -sign);
  const side = cross(frame.heading, plan.out);
  const turning = sub(frameAt(shape.member.centerline, bodyS(plan, 0.9)).heading, frame.heading);
  const outside = dot(side, turning) > 0 ? scale(side, -1) : side;
  const x = cross(outside, z);
  const flange = FLANGE + plan.request.shop.wall;
  const middle = add(frame.origin, add(scale(outside, acrossHalf(plan) - flange / 2), scale(z, -0.1)));
  const at: Placement = {
    origin: unplace(standing, middle),
    x: unplaceDirection(standing, x),
    y: unplaceDirection(standing, outside),
    z: unplaceDirection(standing, z),
  };
  return { at, box: [long, flange - 3.5] };
}

/** Half size of a boxed sleeve across the parting direction. */
function acrossHalf(plan: SleevePlan): Mm {
  const { outside } = plan.shape;
  if (outside.kind !== 'box') throw new Error('internal: parts without a boxed outside');
  return outside.halfAcross;
}

/** Axes at the bore beside (u, s) in the standing pose: z along the tube's own normal, y up along its surface. */
function squareToWall({ shape }: SleevePlan, u: number, s: Mm): Placement {
  const { member } = shape;
  const standing = sleevePose(shape);
  const normal = surfaceNormal(member, u, s);
  const heading = scale(frameAt(member.centerline, s).heading, shape.toward);
  const z = unplaceDirection(standing, normal);
  const y = unplaceDirection(standing, unit(along(heading, normal, -dot(heading, normal))));
  return { origin: unplace(standing, generatorOf(member, u, -shape.room).pointAt(s)), x: cross(y, z), y, z };
}

/** How far a box at the foot of a notch stands out over the tube's slant there. */
const leanOut = ({ outside, member }: SleevePlan['shape'], u: number, s: Mm): Mm =>
  outside.kind === 'box' ? NOTCH_LONG * Math.abs(generatorOf(member, u).riseAt(s)) : 0;

/** How far a notch runs down from the rim. */
const NOTCH_LONG: Mm = 2.5;

/** Small V cuts on the outside of the rim at 0, 90, 180, 270 (the witness line's is the wide one), and through the wall at an open base. */
export function witnessNotches(plan: SleevePlan): readonly Solid[] {
  const { shape } = plan;
  return [0, 0.25, 0.5, 0.75].flatMap((u, i) => {
    const sample = shape.edge.samples.find((x) => Math.abs(x.u - u) < 1e-12);
    if (!sample) return [];
    const wall = wallAt(shape, u, sample.s);
    const radial = (s: Mm): Placement => squareToWall(plan, u, s);
    const half = i === 0 ? 1.8 : 0.9;
    const deep = Math.min(wall / 2, Math.max(0.8, wall - LEAST_WALL));
    const rim = radial(sample.s);
    // Along a taper a box falls off from the slant: the notch reaches out past it all the way, at the same flanks.
    const over = 0.4 + leanOut(shape, u, sample.s);
    const wide = (half * (deep + over)) / (deep + 0.4);
    const v = [
      [-wide, wall + over],
      [wide, wall + over],
      [0, wall - deep],
    ] as const;
    const top: Solid = {
      kind: 'hull',
      name: `witness notch ${i * 90}`,
      points: [-NOTCH_LONG, 2].flatMap((y) => v.map(([x, z]) => place(rim, [x, y, z]))),
    };
    if (shape.ledge) return [top];
    const foot = radial(footS(shape));
    const footWall = wallAt(shape, u, footS(shape));
    const gable = [
      [-half, -0.5],
      [half, -0.5],
      [half, 0],
      [0, half],
      [-half, 0],
    ] as const;
    const base: Solid = {
      kind: 'hull',
      name: `base notch ${i * 90}`,
      points: [-1.5, footWall + 0.5].flatMap((z) => gable.map(([x, y]) => place(foot, [x, y, z]))),
    };
    return [top, base];
  });
}

/** Pegs and sockets on the mating faces, one of each on either side, low enough that the edge leaves them whole. */
export function keysOf(
  plan: SleevePlan,
  sign: 1 | -1,
): { readonly pegs: readonly Solid[]; readonly sockets: readonly Solid[] } {
  const { shape } = plan;
  const standing = sleevePose(shape);
  const s = bodyS(plan, plan.lying ? 0.3 : 0.5);
  const frame = outsideAxis(plan, s);
  const z = scale(plan.out, -sign);
  const y = scale(frame.heading, shape.toward);
  const offset = acrossHalf(plan) - (FLANGE + plan.request.shop.wall) / 2;
  const across = cross(frame.heading, plan.out);
  const seat = (side: 1 | -1): Placement => {
    const origin = add(frame.origin, scale(across, side * offset));
    return {
      origin: unplace(standing, origin),
      x: unplaceDirection(standing, cross(y, z)),
      y: unplaceDirection(standing, y),
      z: unplaceDirection(standing, z),
    };
  };
  return {
    pegs: [
      key('key peg', seat(sign), [
        [2.5, -0.6],
        [2.5, -0.1],
        [0.7, 1.7],
      ]),
    ],
    sockets: [
      key('key socket', seat(-sign as 1 | -1), [
        [2.95, 0.2],
        [2.75, 0],
        [0.9, -2.1],
      ]),
    ],
  };
}

/** A square pyramid through layers of [half width, height over the parting plane]; its sides stand at 45 degrees. */
function key(name: string, at: Placement, layers: readonly (readonly [Mm, Mm])[]): Solid {
  const corners = [
    [-1, -1],
    [1, -1],
    [1, 1],
    [-1, 1],
  ] as const;
  return {
    kind: 'hull',
    name,
    points: layers.flatMap(([half, height]) => corners.map(([x, y]) => place(at, [x * half, y * half, height]))),
  };
}

/** Share of the body, from the bed up, between the strap grooves: room for the letters. */
function labelShare(plan: SleevePlan): readonly [number, number] {
  const half = (plan.request.shop.strap.width + 1) / 2 / bodyLength(plan);
  const [first, second] = grooveShares(plan);
  return second === undefined ? [first! + half, 1] : [first! + half, second - half];
}

/**
 * Where straps go, as shares of the body: near both ends where the shorter side of a bend leaves 4 mm of wall beside
 * them, else one strap, low enough on a standing part to leave room for the letters.
 */
function grooveShares(plan: SleevePlan): readonly number[] {
  const beside = (plan.request.shop.strap.width + 1) / 2 + 4;
  const short = bodyLength(plan) * shortSide(plan);
  if (short < 4 * beside + 8) return [plan.lying ? 0.5 : 0.3];
  const share = Math.max(0.16, beside / short);
  return [share, 1 - share];
}

/** Length of a sleeve's short side in a bend over that of its centerline; 1 on a straight. */
function shortSide(plan: SleevePlan): number {
  const turn = acosd(
    dot(
      frameAt(plan.shape.member.centerline, plan.lowest).heading,
      frameAt(plan.shape.member.centerline, footS(plan.shape)).heading,
    ),
  );
  if (turn < 0.5) return 1;
  const clr = bodyLength(plan) / toRadians(turn);
  return Math.max(0.1, (clr - acrossHalf(plan)) / clr);
}

/** Grooves that keep a strap in place; a lying half has them on its sides only, so that nothing hangs over the bed. */
export function strapGrooves(plan: SleevePlan, sign: 1 | -1): readonly Solid[] {
  const { outside } = plan.shape;
  if (outside.kind !== 'box') return [];
  const half = (plan.request.shop.strap.width + 1) / 2;
  // Shallow enough to leave the least wall beside a key's socket.
  const deep = 0.6;
  const far = 200;
  return grooveShares(plan).flatMap((share) => {
    const at = sideAt(plan, bodyS(plan, share), scale(plan.out, sign));
    const { halfAcross: across, halfOut: depth } = outside;
    const sides = (
      [
        [across - deep, across + 5],
        [-across - 5, -across + deep],
      ] as const
    ).map((x) => box('strap groove', at, [x, [-half, half], [-1, far]]));
    return plan.lying
      ? sides
      : [
          ...sides,
          box('strap groove', at, [
            [-far, far],
            [-half, half],
            [depth - deep, depth + 5],
          ]),
        ];
  });
}
