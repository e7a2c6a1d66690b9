import { frameAt } from '../geometry/centerline.ts';
import { compose, inverse, type Placement, placementFrom, unplace, unplaceDirection } from '../geometry/placement.ts';
import { outlineU, sectionReach } from '../geometry/section.ts';
import { LEAST_WALL } from '../geometry/tolerance.ts';
import { isTapered } from '../geometry/tube-shape.ts';
import { uFacing } from '../geometry/tube-surface.ts';
import { along, cross, dot, type Mm, scale, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';
import { stockSpan } from './datum.ts';
import { directionOf } from './request.ts';
import { revisionOf } from './revision.ts';
import { rimPlane, sleeveMesh, sleevePose } from './sleeve.ts';
import { keysOf, labelOf, padOf, strapGrooves, witnessNotches } from './sleeve-features.ts';
import type { SleevePlan } from './sleeve-plan.ts';
import { slidingFit } from './stations.ts';
import type { Feature, Insertion, Tool, ToolPart } from './tool.ts';

/** Gap left between two parts, so that the strap closes them on the tube: half from each. */
const PARTING: Mm = 0.2;
/** On a taper rulings cross the parting plane aslant, and now and then leave a sliver there: gaps tried in turn. */
const TAPER_PARTINGS: readonly Mm[] = [PARTING, 0.213, 0.187, 0.229, 0.171];

/** Revision, parts and features of a sleeve tool; the maker adds title, facts and use. */
export function sleeveParts(plan: SleevePlan): { readonly revision: string; readonly parts: Tool['parts'] } {
  const revision = revisionOf(plan.request, { datum: plan.datum, more: [plan.parts, plan.lying ? 1 : 0] });
  const parts =
    plan.parts === 1 ? [wholePart(plan, revision)] : [halfPart(plan, revision, 1), halfPart(plan, revision, -1)];
  return { revision, parts };
}

function wholePart(plan: SleevePlan, revision: string): ToolPart {
  const sleeve: Solid = { kind: 'mesh', name: 'sleeve', mesh: sleeveMesh(plan.shape) };
  const pad = padOf(plan);
  const body: Solid = pad ? { kind: 'union', name: 'body', of: [sleeve, pad.solid] } : sleeve;
  const cuts = [...witnessNotches(plan), ...labelOf(plan, revision, pad?.face)];
  return {
    ...common(plan, { kind: 'slide' }),
    name: plan.request.name,
    solid: cuts.length > 0 ? { kind: 'subtract', name: plan.request.kind, from: body, cuts } : body,
    pose: sleevePose(plan.shape),
    features: features(plan, { from: 0, to: 1 }),
  };
}

/** One of two parts, on the side `sign` of the parting plane. */
function halfPart(plan: SleevePlan, revision: string, sign: 1 | -1): ToolPart {
  const { shape, request } = plan;
  const standing = sleevePose(shape);
  const out = scale(plan.out, sign);
  const sleeve: Solid = { kind: 'mesh', name: 'sleeve', mesh: sleeveMesh(shape) };
  const keys = keysOf(plan, sign);
  const cuts = [...keys.sockets, ...strapGrooves(plan, sign), ...labelOf(plan, revision, undefined, sign)];
  const pose = plan.lying ? laid(plan, standing, out) : standing;
  const parted = (parting: Mm): Solid => {
    const half: Solid = { kind: 'intersect', name: 'half', of: [sleeve, halfSpace(plan, out, parting)] };
    const body: Solid = { kind: 'union', name: 'body', of: [half, ...keys.pegs] };
    const solid: Solid = { kind: 'subtract', name: `${request.kind} half`, from: body, cuts };
    return plan.lying ? { kind: 'place', name: solid.name, of: solid, at: compose(inverse(pose), standing) } : solid;
  };
  const [first, ...others] = isTapered(shape.member) ? TAPER_PARTINGS : [PARTING];
  const solid: Solid =
    others.length === 0
      ? parted(first!)
      : { kind: 'either', name: `${request.kind} half`, of: [parted(first!), ...others.map(parted)] };
  const middle = outlineAngle(plan, out);
  return {
    ...common(plan, { kind: 'lift', out: scale(out, -1) }),
    name: `${request.name}-${sign > 0 ? 'a' : 'b'}`,
    solid,
    pose,
    features: features(plan, { from: middle - 0.24, to: middle + 0.24 }),
  };
}

/** u of the side a half lies on. */
function outlineAngle(plan: SleevePlan, out: Vec3): number {
  const frame = frameAt(plan.shape.member.centerline, plan.lowest);
  const { section } = plan.shape.member;
  if (isTapered(plan.shape.member)) return uFacing(plan.shape.member, [dot(out, frame.right), dot(out, frame.up)]);
  const far = 4 * sectionReach(section);
  return outlineU(section, far * dot(out, frame.right), far * dot(out, frame.up));
}

/** Box that keeps one side of the parting plane, in the standing pose. */
function halfSpace(plan: SleevePlan, out: Vec3, parting: Mm): Solid {
  const standing = sleevePose(plan.shape);
  const frame = frameAt(plan.shape.member.centerline, plan.shape.baseS);
  const at = placementFrom(unplace(standing, frame.origin), unplaceDirection(standing, out), [0, 0, 1]);
  const big = 4000;
  const points = [-big, big].flatMap((x) =>
    [-big, big].flatMap((y) =>
      [parting / 2, big].map(
        (z): Vec3 => [
          at.origin[0] + at.x[0] * x + at.y[0] * y + at.z[0] * z,
          at.origin[1] + at.x[1] * x + at.y[1] * y + at.z[1] * z,
          at.origin[2] + at.x[2] * x + at.y[2] * y + at.z[2] * z,
        ],
      ),
    ),
  );
  return { kind: 'hull', name: 'side of the parting plane', points };
}

/** Print pose of a half lying on its flat, open side up. */
function laid({ shape }: SleevePlan, standing: Placement, out: Vec3): Placement {
  if (shape.outside.kind !== 'box') throw new Error('internal: a lying half without a flat');
  const z = scale(out, -1);
  const { origin } = frameAt(shape.member.centerline, shape.baseS);
  return { origin: along(origin, z, -shape.outside.halfOut), x: standing.z, y: cross(z, standing.z), z };
}

function common({ request, datum, curve }: SleevePlan, insertion: Insertion): Pick<ToolPart, 'tubes' | 'leastWall'> {
  const dir = directionOf(request.end);
  const long = Math.max(...curve.samples.map((sample) => dir * sample.s));
  const { member } = request.end;
  return {
    tubes: [
      { member, ...stockSpan(request, datum, long + 15), insertion, clearance: slidingFit(request.shop, member) },
    ],
    leastWall: LEAST_WALL,
  };
}

function features(plan: SleevePlan, share: { readonly from: number; readonly to: number }): readonly Feature[] {
  const { shape, datum, curve } = plan;
  const frame = frameAt(shape.member.centerline, datum.s);
  const plane = { point: frame.origin, normal: scale(frame.heading, shape.toward) };
  const rim = rimPlane(shape.end);
  return [
    { kind: 'cut-edge', curve, ...share, ...(rim ? { plane: { point: rim.point, normal: rim.normal } } : {}) },
    { kind: 'datum', plane, s: datum.s, by: datum.kind === 'mark' ? 'mark' : 'stop' },
  ];
}
