import { cosd, sind, tand } from '../geometry/angle.ts';
import { centerlineFrom, frameAt, sideOf } from '../geometry/centerline.ts';
import { frameFrom } from '../geometry/frame.ts';
import { type Section, sectionReach } from '../geometry/section.ts';
import { tubeReach } from '../geometry/tube-shape.ts';
import { add, along, type Mm, scale } from '../geometry/vector.ts';
import type { OpeningShape, OpeningSpec } from '../job/job.ts';
import type { EndDefinition, Member } from './solution.ts';

/** Beyond the run's outside, so that the whole edge is met from without. */
const STAND_OFF: Mm = 10;

/**
 * A hole that no branch makes, as the end of a bar of its shape that stands over the run and points at its centerline. The
 * bar's up lies toward the run's end: what is along the run is its height.
 */
export function punchEnd(spec: OpeningSpec, run: Member): EndDefinition {
  const at = frameAt(run.centerline, spec.at);
  const side = sideOf(at, spec.towardDeg);
  const out = add(scale(side, cosd(spec.leanDeg)), scale(at.heading, sind(spec.leanDeg)));
  const section = sectionOf(spec.shape);
  const length =
    (tubeReach(run) + STAND_OFF) / cosd(spec.leanDeg) + sectionReach(section) * (1 + Math.abs(tand(spec.leanDeg)));
  const start = frameFrom(along(at.origin, out, length), scale(out, -1), at.heading);
  const centerline = centerlineFrom(start, [{ kind: 'straight', length }]);
  const member: Member = {
    name: spec.name,
    spec: run.spec,
    section,
    nominal: section,
    centerline,
    solved: [],
  };
  return {
    member,
    end: 'end',
    joint: spec.name,
    jointKind: 'cope',
    gap: 0,
    stops: [{ kind: 'solid', id: run.name, solid: { section: run.section, centerline: run.centerline }, gap: 0 }],
    path: spec.path,
  };
}

function sectionOf(shape: OpeningShape): Section {
  // The hole has no wall; a section must have one.
  const wall = 0;
  if (shape.kind === 'round') return { kind: 'round', od: shape.od, wall };
  const size = { width: shape.around, height: shape.along, wall };
  return shape.kind === 'slot'
    ? { kind: 'flat-oval', ...size }
    : { kind: 'rectangle', ...size, cornerRadius: shape.cornerRadius };
}
