import { acosd, cosd, sind, tand, turnDeg } from '../geometry/angle.ts';
import { type BendSegment, frameAt } from '../geometry/centerline.ts';
import type { Frame } from '../geometry/frame.ts';
import { IDENTITY, type Placement, placementFrom } from '../geometry/placement.ts';
import { sectionReach } from '../geometry/section.ts';
import { FOOT_CHAMFER, LEAST_WALL } from '../geometry/tolerance.ts';
import { sectionAt } from '../geometry/tube-shape.ts';
import { along, type Deg, dot, type Mm, scale, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { ClockingRingSpec } from '../job/bench-tools.ts';
import type { Outcome } from '../job/problem.ts';
import type { Solid } from '../solid/expression.ts';
import type { Member } from '../solve/solution.ts';
import { clockingCheck } from './clocking-check.ts';
import { FARTHEST, type Flat, HALF_FLAT, LEAST_HALF, shortTurn, tooNear } from './clocking-flats.ts';
import { noStraight, ringPlace } from './clocking-place.ts';
import { sunkLines } from './label.ts';
import { recentered } from './print-pose.ts';
import { type OtherRequest, type ToolMaker, toolProblem } from './request.ts';
import { angleText, markOf, sizesOf } from './revision.ts';
import { extentsAt, facetRoom, slidingFit } from './stations.ts';
import type { Feature, Tool, ToolFact, ToolPart } from './tool.ts';
import { notchMouth, slab, type UprightTube, uprightNotch } from './upright.ts';

/** Material between the tube and a flat: two rows of letters. */
const UNDER_FLAT: Mm = 12;
/** Length of flat on either side of the strap. */
const BESIDE_STRAP: Mm = 9;
/** Share of the tube's half size that the notch's sides stand over its middle. */
const SHOULDER = 0.35;
/** Planes nearer than this share one flat. */
const SAME_FLAT: Deg = 0.01;

interface RingPlan {
  readonly request: OtherRequest<ClockingRingSpec>;
  readonly member: Member;
  readonly s: Mm;
  readonly frame: Frame;
  readonly flats: readonly Flat[];
  /** From the axis to every flat. */
  readonly far: Mm;
  /** Where the tube leaves, degrees clockwise from up. */
  readonly outDeg: Deg;
  readonly room: Mm;
  /** Half size of the tube along the way out, and across it. */
  readonly up: Mm;
  readonly across: Mm;
  readonly tall: Mm;
}

/**
 * Block strapped to the straight tube before it is bent, with a flat for each bend: on the table on flat 1 for the first
 * bend, on flat 2 for the second; the angle between flats is the rotation between the planes of the bends. All flats of one
 * ring are on one part, so no joint can shift them.
 */
export const clockingRing: ToolMaker<OtherRequest<ClockingRingSpec>> = (request) => {
  if (request.spec.checks) return clockingCheck(request);
  const planned = planRings(request);
  if (!planned.value) return { problems: planned.problems };
  const plans = planned.value;
  const { name, path, spec } = request;
  const revision = revisionOf(plans);
  const tool: Tool = {
    name,
    kind: 'clocking-ring',
    title: `Clocking ring for ${spec.member}`,
    for: spec.member,
    path,
    revision,
    parts: plans.map((plan, i) =>
      ringPart(plan, { revision, name: plans.length === 1 ? name : `${name}-${String.fromCharCode(97 + i)}` }),
    ),
    facts: plans.flatMap(ringFacts),
    use: useOf(plans),
  };
  return { value: tool, problems: [] };
};

const bendsText = (bends: readonly number[]): string => bends.join('+');

function ringFacts({ flats, member }: RingPlan): readonly ToolFact[] {
  return [
    { label: 'letters face', value: `the start of ${member.name}` },
    ...flats.slice(1).map((flat, i): ToolFact => {
      const before = flats[i]!;
      return {
        label: `plane of bend ${bendsText(flat.bends)} from that of ${bendsText(before.bends)}, clockwise seen from the start`,
        value: shortTurn(flat.deg - before.deg),
        unit: 'deg',
      };
    }),
  ];
}

function useOf(plans: readonly RingPlan[]): readonly string[] {
  const { member, flats } = plans[0]!;
  const first = flats[0]!;
  return [
    `Strap the ring to the straight tube where no bend comes, its letters facing the start of ${member.name}.`,
    `Lay flat ${bendsText(first.bends)} on the table or on the bender's bed and make bend ${first.bends.join(' and ')}: the tube turns away from the table.`,
    ...flats.slice(1).map((flat, i) => {
      const turn = shortTurn(flat.deg - flats[i]!.deg);
      return `Turn the tube with its ring until flat ${bendsText(flat.bends)} lies there (${angleText(Math.abs(turn))} ${turn > 0 ? 'counterclockwise' : 'clockwise'}, seen from the start), and make bend ${flat.bends.join(' and ')}.`;
    }),
    ...(plans.length > 1
      ? [
          'The next ring takes over where this one ends: strap it on while the last flat lies on the table, its flat of the same number down.',
        ]
      : []),
    'Do not let the ring slip on the tube: draw a line along its edge onto the tube and look at it before each bend.',
  ];
}

function planRings(request: OtherRequest<ClockingRingSpec>): Outcome<readonly RingPlan[]> {
  const { spec, solution, shop } = request;
  const member = solution.members.find(({ name }) => name === spec.member);
  if (!member) throw new Error(`internal: clocking ring of unknown member ${spec.member}`);
  const bends = member.centerline.segments.filter((x): x is BendSegment => x.kind === 'bend');
  const wanted = spec.bends ?? bends.map((_, i) => i + 1);
  const missing = wanted.find((bend) => bend > bends.length);
  if (missing !== undefined || wanted.length < 2 || bends.length < 2) {
    const message = `${member.name} has ${bends.length} bends${missing === undefined ? '' : `, and bend ${missing} is asked for`}; a clocking ring sets the turn from one to another`;
    const hint = 'name two bends or more, counted from the start of the member';
    return {
      problems: [toolProblem(request, { code: 'tool/cannot-build', message, hint, measured: bends.length, limit: 2 })],
    };
  }
  const tall = 2 * BESIDE_STRAP + shop.strap.width + 1;
  const first = bends[0]!;
  const s = ringPlace(member, first, tall);
  if (s === undefined) return { problems: [noStraight(request, { member, first, tall })] };
  const section = sectionAt(member, s);
  const frame = frameAt(member.centerline, s);
  const room = shop.fit.slide + facetRoom(shop.chordTolerance);
  const near = sectionReach(section) + room + Math.max(UNDER_FLAT, shop.wall);
  const all = [...new Set(wanted)].map(
    (bend): Flat => ({ bends: [bend], deg: turnDeg(bends[bend - 1]!.towardDeg + 180) }),
  );
  const rings = grouped(all, (flats) => ringOf({ request, member, s, frame, room, tall, near }, flats));
  if (rings.tooNear) return { problems: [tooNear(request, rings.tooNear)] };
  return { value: rings.plans, problems: [] };
}

/** As many bends on each ring as leave the tube a way out; the next ring begins with the flat that the one before ends with. */
function grouped(
  flats: readonly Flat[],
  ringOf: (flats: readonly Flat[]) => RingPlan | undefined,
): { readonly plans: readonly RingPlan[]; readonly tooNear?: readonly Flat[] } {
  const plans: RingPlan[] = [];
  let from = 0;
  while (from < flats.length - 1) {
    let best: RingPlan | undefined;
    let to = from + 1;
    for (let last = from + 1; last < flats.length; last++) {
      const plan = ringOf(merged(flats.slice(from, last + 1)));
      if (!plan) break;
      [best, to] = [plan, last];
    }
    if (!best) return { plans, tooNear: flats.slice(from, from + 2) };
    plans.push(best);
    from = to;
  }
  return { plans };
}

/** Bends in one plane to one side share a flat. */
function merged(flats: readonly Flat[]): readonly Flat[] {
  const apart: Flat[] = [];
  for (const flat of flats) {
    const same = apart.findIndex(({ deg }) => Math.abs(shortTurn(deg - flat.deg)) < SAME_FLAT);
    if (same < 0) apart.push(flat);
    else apart[same] = { ...apart[same]!, bends: [...apart[same]!.bends, ...flat.bends] };
  }
  return apart;
}

type RingPlace = Pick<RingPlan, 'request' | 'member' | 's' | 'frame' | 'room' | 'tall'> & { readonly near: Mm };

/** A ring with these flats; undefined where two stand too near each other, or no side is left for the tube. */
function ringOf({ near, ...place }: RingPlace, flats: readonly Flat[]): RingPlan | undefined {
  const degs = flats.map(({ deg }) => deg).sort((p, q) => p - q);
  const gaps = degs.map((deg, i) => ({ from: deg, wide: turnDeg((degs[i + 1] ?? degs[0]! + 360) - deg) || 360 }));
  const closest = Math.min(...gaps.map(({ wide }) => wide));
  // Each flat must reach to both sides of the tube's weight: two planes near each other need a longer arm.
  const far = Math.max(near, closest < 180 ? LEAST_HALF / tand(closest / 2) : near);
  if (far > FARTHEST && far > near) return undefined;
  const open = gaps.reduce((widest, gap) => (gap.wide > widest.wide + 1e-9 ? gap : widest));
  const outDeg = turnDeg(open.from + open.wide / 2);
  const out = directionOf(place.frame, outDeg);
  const half = extentsAt(place.member, place.s, out);
  const leastTurn = acosd((SHOULDER * half.out - LEAST_HALF) / far);
  if (open.wide / 2 < leastTurn) return undefined;
  return { ...place, flats, far, outDeg, up: half.out, across: half.across };
}

/** Degrees clockwise from up looking along the heading, as a direction. */
const directionOf = (frame: Frame, deg: Deg): Vec3 => {
  const [a, b] = [sind(deg), cosd(deg)];
  return [
    frame.right[0] * a + frame.up[0] * b,
    frame.right[1] * a + frame.up[1] * b,
    frame.right[2] * a + frame.up[2] * b,
  ];
};

/** Print pose: the letters' side up faces the start, y is the way the tube leaves. */
function poseOf({ frame, outDeg, tall }: RingPlan): Placement {
  const z = scale(frame.heading, -1);
  const y = directionOf(frame, outDeg);
  const x = directionOf(frame, outDeg + 90);
  const pose = placementFrom(along(frame.origin, z, -tall / 2), z, x);
  if (dot(pose.y, y) < 0.999) throw new Error('internal: clocking ring out of square');
  return pose;
}

/** A flat's direction on the bed. */
const onBed = ({ outDeg }: RingPlan, { deg }: Flat): Vec2 => [sind(deg - outDeg), cosd(deg - outDeg)];

/** Convex outline: a round of corners cut by every flat, and by the edge the tube leaves over. */
function outlineOf(plan: RingPlan): readonly Vec2[] {
  const reach = Math.hypot(plan.far, HALF_FLAT);
  const round = Array.from({ length: 48 }, (_, i): Vec2 => [reach * sind(7.5 * i), reach * cosd(7.5 * i)]);
  const cuts = [
    ...plan.flats.map((flat) => ({ normal: onBed(plan, flat), at: plan.far })),
    { normal: [0, 1] as Vec2, at: SHOULDER * plan.up },
  ];
  return cuts.reduce(clippedBy, round);
}

/** A convex outline without what lies past a line (I. E. Sutherland and G. W. Hodgman, Comm. ACM 17, 1974). */
function clippedBy(loop: readonly Vec2[], { normal, at }: { readonly normal: Vec2; readonly at: Mm }): readonly Vec2[] {
  const over = ([x, y]: Vec2): number => x * normal[0] + y * normal[1] - at;
  return loop.flatMap((p, i): readonly Vec2[] => {
    const q = loop[(i + 1) % loop.length]!;
    const [dp, dq] = [over(p), over(q)];
    const cross: readonly Vec2[] =
      dp * dq < 0 ? [[p[0] + ((q[0] - p[0]) * dp) / (dp - dq), p[1] + ((q[1] - p[1]) * dp) / (dp - dq)]] : [];
    return dp <= 0 ? [p, ...cross] : cross;
  });
}

/** From where to where a flat reaches, along the direction at its right hand seen from outside. */
function spanOf(plan: RingPlan, flat: Flat): readonly [Mm, Mm] {
  const [x, y] = onBed(plan, flat);
  const on = outlineOf(plan).filter((p) => Math.abs(p[0] * x + p[1] * y - plan.far) < 1e-6);
  const sides = on.map((p) => -p[0] * y + p[1] * x);
  return [Math.min(...sides), Math.max(...sides)];
}

function ringPart(plan: RingPlan, { revision, name }: { readonly revision: string; readonly name: string }): ToolPart {
  const { request, member, s, frame, flats, far, room, tall } = plan;
  const { shop } = request;
  const pose = poseOf(plan);
  const upright: UprightTube = {
    section: sectionAt(member, s),
    plan: ([a, b]) => [
      a * dot(frame.right, pose.x) + b * dot(frame.up, pose.x),
      a * dot(frame.right, pose.y) + b * dot(frame.up, pose.y),
    ],
    room,
    chordTolerance: shop.chordTolerance,
  };
  const outline = outlineOf(plan);
  const cuts: readonly Solid[] = [
    ...uprightNotch(upright, { height: tall, out: [0, 1], lift: 3 * plan.up + far }),
    notchMouth({ axis: [0, 0], out: [0, 1], half: plan.across + room, edge: SHOULDER * plan.up, height: tall }),
    strapGroove(plan),
    ...(shop.labels ? flats.flatMap((flat) => flatLabel(plan, { flat, revision })) : []),
  ];
  const solid: Solid = { kind: 'subtract', name: 'clocking ring', from: slab('ring', outline, tall), cuts };
  const middle: Vec3 = [0, (Math.min(...outline.map((p) => p[1])) + SHOULDER * plan.up) / 2, 0];
  const reach = tall / 2 + 10;
  return {
    name,
    ...recentered(solid, pose, middle),
    tubes: [
      {
        member,
        from: s - reach,
        to: Math.min(s + reach, firstBend(member)),
        insertion: { kind: 'lift', out: pose.y },
        clearance: slidingFit(shop, member),
      },
    ],
    leastWall: LEAST_WALL,
    features: flats.map((flat): Feature => {
      const normal = directionOf(frame, flat.deg);
      const [low, high] = spanOf(plan, flat);
      const area = 0.8 * (high - low) * (2 * BESIDE_STRAP - FOOT_CHAMFER);
      return { kind: 'face', plane: { point: along(frame.origin, normal, far), normal }, area };
    }),
  };
}

const firstBend = ({ centerline }: Member): Mm =>
  centerline.segments.find(({ kind }) => kind === 'bend')?.s0 ?? centerline.length;

/** A groove all round for the strap, as deep as it is thick, so that the flats stand on the table beside it. */
function strapGroove(plan: RingPlan): Solid {
  const { strap } = plan.request.shop;
  const deep = strap.thickness + 0.8;
  const outline = outlineOf(plan);
  const floor = [...plan.flats.map((flat) => ({ normal: onBed(plan, flat), at: plan.far - deep }))].reduce(
    clippedBy,
    outlineScaled(plan, deep),
  );
  const big = 4 * Math.hypot(...outline[0]!) + 50;
  const hole = [...floor].sort((p, q) => Math.atan2(q[1], q[0]) - Math.atan2(p[1], p[0]));
  return {
    kind: 'prism',
    name: 'strap groove',
    loops: [
      [
        [-big, -big],
        [big, -big],
        [big, big],
        [-big, big],
      ],
      hole,
    ],
    height: strap.width + 1,
    at: { ...IDENTITY, origin: [0, 0, BESIDE_STRAP] },
  };
}

/** The round of the outline drawn in by so much; the open edge, where the strap crosses free, stays. */
function outlineScaled(plan: RingPlan, deep: Mm): readonly Vec2[] {
  const reach = Math.hypot(plan.far, HALF_FLAT) - deep;
  const round = Array.from({ length: 48 }, (_, i): Vec2 => [reach * sind(7.5 * i), reach * cosd(7.5 * i)]);
  return clippedBy(round, { normal: [0, 1], at: SHOULDER * plan.up + 1 });
}

/** Number of the bend with the revision mark, and which end the letters face, on the top beside the flat. */
function flatLabel(
  plan: RingPlan,
  { flat, revision }: { readonly flat: Flat; readonly revision: string },
): readonly Solid[] {
  const [x, y] = onBed(plan, flat);
  const deep = UNDER_FLAT - LEAST_WALL - 1;
  // Letters of neighboring flats meet on the line from their corner to the axis.
  const inner = (plan.far - 1 - deep) / plan.far;
  const [low, high] = spanOf(plan, flat).map((side) => side * inner) as [Mm, Mm];
  const wide = Math.min(high - low - 1.5, 34);
  if (wide < 4) return [];
  const side = (low + high) / 2;
  const away = plan.far - 1 - deep / 2;
  const at = placementFrom([x * away - y * side, y * away + x * side, plan.tall], [0, 0, 1], [-y, x, 0]);
  const number = bendsText(flat.bends);
  const lines = [
    [[`${number} ${revision}`], [number]],
    [['to start'], ['start']],
  ];
  return [sunkLines(lines, { at, box: [wide, deep], letter: 4 })];
}

function revisionOf(plans: readonly RingPlan[]): string {
  const { request, member, s } = plans[0]!;
  const { fit, wall, strap, chordTolerance } = request.shop;
  const section = sectionAt(member, s);
  const first = plans[0]!.flats[0]!.deg;
  const round = section.kind === 'round';
  const flats = plans.flatMap(({ flats, far }) => [
    far,
    ...flats.flatMap(({ deg, bends }) => [round ? turnDeg(deg - first) : deg, ...bends]),
  ]);
  return markOf(
    ['clocking-ring', section.kind],
    [fit.slide, wall, strap.width, strap.thickness, chordTolerance, ...sizesOf(section), ...flats],
  );
}
