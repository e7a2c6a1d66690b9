import { acosd } from '../../geometry/angle.ts';
import { frameAt } from '../../geometry/centerline.ts';
import type { FlatLoop } from '../../geometry/flat-path.ts';
import { piercedLoop } from '../../geometry/pierced.ts';
import { placementFrom, unplaceDirection } from '../../geometry/placement.ts';
import { sectionAt } from '../../geometry/tube-shape.ts';
import { along, cross, dot, type Mm, type Vec2 } from '../../geometry/vector.ts';
import type { FlangePlate } from '../../job/job.ts';
import type { Problem } from '../../job/problem.ts';
import { drawnEnd, type MemberLookup } from '../joints/ends.ts';
import type { CutEnd } from '../solution.ts';
import { boltHoles } from './bolts.ts';
import { crossAt, type PlateOutcome } from './plate.ts';
import { thinWebs } from './through.ts';

/**
 * Plate on a flat-cut or plain end. `on`: it lies against the cut, its hole is the bore there; `over`: the tube reaches
 * through it to its outer face, its hole is the tube's outside with room. Its edge follows the tube's outside.
 */
export function flangePlate(spec: FlangePlate, memberNamed: MemberLookup, ends: readonly CutEnd[]): PlateOutcome {
  const drawn = drawnEnd(spec.end, memberNamed);
  if (!drawn) return { plates: [], problems: [] };
  const cut = ends.find((end) => end.member.name === spec.end.member && end.end === spec.end.end);
  if (cut && !cut.flat) return { plates: [], problems: [curved(spec)] };
  const { member } = drawn;
  const s = cut?.flat?.s ?? drawn.s;
  const frame = frameAt(member.centerline, s);
  const normal = cut?.flat?.plane.normal ?? drawn.out;
  // On the end the hole is the bore in the end's own plane; a plate the tube stands in ends with the tube.
  const back = spec.fit === 'on' ? 0 : -spec.thickness / 2 / dot(normal, frame.heading);
  // Seen from outside, looking at the end: up is the witness line's side.
  const plane = placementFrom(along(frame.origin, frame.heading, back), normal, cross(frame.up, normal));
  const at = { ...plane, origin: along(plane.origin, normal, spec.fit === 'on' ? spec.thickness / 2 : 0) };
  const section = sectionAt(member, s);
  const tube = { section, frame };
  const hole =
    spec.fit === 'on'
      ? piercedLoop(tube, plane, { grow: -section.wall, thickness: 0 })
      : piercedLoop(tube, plane, { grow: spec.room, thickness: spec.thickness });
  const up = unplaceDirection(at, frame.up);
  const size = Math.hypot(up[0], up[1]);
  const clockwise = dot(at.z, frame.heading) > 0 ? -1 : 1;
  const outside = (out: Mm): FlatLoop => piercedLoop(tube, plane, { grow: out, thickness: 0 });
  const bolts = spec.bolts ? boltHoles(spec.bolts, { up: [up[0] / size, up[1] / size], clockwise, outside }) : [];
  const middle: Vec2 = [0, 0];
  const outline = outside(spec.margin);
  const opening = { loop: hole, for: member.name, middle, leanDeg: acosd(Math.abs(dot(normal, frame.heading))) };
  const holes = [opening, ...bolts];
  return {
    plates: [{ name: spec.name, spec, at, outline, holes, marks: crossAt(middle) }],
    problems: thinWebs(spec, outline, holes),
  };
}

const curved = (spec: FlangePlate): Problem => ({
  code: 'plate/not-flat',
  severity: 'error',
  path: spec.end.path,
  message: `plate "${spec.name}": ${spec.end.member}.${spec.end.end} is no flat cut, and a flange is flat`,
  hint: 'name a plain end, or one that is trimmed or mitered',
});
