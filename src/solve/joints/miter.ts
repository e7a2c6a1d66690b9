import { extended } from '../../geometry/centerline.ts';
import { solidDistance } from '../../geometry/distance.ts';
import { ENDS_APART, PARALLEL_SINE } from '../../geometry/tolerance.ts';
import { generatorOf, sectionAt, tubeReach } from '../../geometry/tube-shape.ts';
import { along, distance, dot, length, lerp, scale, sub, unit, type Vec3 } from '../../geometry/vector.ts';
import type { MiterJoint } from '../../job/job.ts';
import { figure, type Problem } from '../../job/problem.ts';
import { cutAt } from '../generator.ts';
import type { EndDefinition } from '../solution.ts';
import { type DrawnEnd, drawnEnd, flatEndOf, type JointOutcome, type MemberLookup } from './ends.ts';

/** Both ends cut on one plane: the bisector of the two axes through the work point, or the plane given; half the gap from each. */
export function miterEnds(joint: MiterJoint, memberNamed: MemberLookup): JointOutcome {
  const first = drawnEnd(joint.ends[0], memberNamed);
  const second = drawnEnd(joint.ends[1], memberNamed);
  if (!first || !second) return { ends: [], problems: [] };
  const apart = distance(first.frame.origin, second.frame.origin);
  const problems: Problem[] = apart > ENDS_APART && !joint.plane ? [endsApart(joint, apart)] : [];
  const plane = joint.plane ?? bisector(first, second);
  if (!plane) return { ends: [], problems: [...problems, noBisector(joint)] };
  const ends = [first, second].flatMap((drawn) => {
    const normal = facing(plane.normal, drawn.out);
    if (!normal) {
      problems.push(tooSteep(joint, drawn));
      return [];
    }
    const stop = {
      kind: 'plane',
      id: 'miter plane',
      point: along(plane.point, normal, -joint.gap / 2),
      normal,
    } as const;
    return [flatEndOf(drawn, joint, { stop, near: drawn.s })];
  });
  if (ends.length === 2) problems.push(...mismatch(joint, ends[0]!, ends[1]!));
  return { ends, problems };
}

function bisector(first: DrawnEnd, second: DrawnEnd): { point: Vec3; normal: Vec3 } | undefined {
  const normal = sub(first.out, second.out);
  if (length(normal) < PARALLEL_SINE) return undefined;
  return { point: lerp(first.frame.origin, second.frame.origin, 0.5), normal: unit(normal) };
}

/** The plane's normal on the side that leads out of the body; none when the plane runs along the tube. */
export function facing(normal: Vec3, out: Vec3): Vec3 | undefined {
  const n = unit(normal);
  const along_ = dot(n, out);
  if (Math.abs(along_) < PARALLEL_SINE) return undefined;
  return along_ > 0 ? n : scale(n, -1);
}

/** Largest distance of one part's cut edge from the other part's outside: 0 where the sections match across the miter. */
function mismatch(joint: MiterJoint, first: EndDefinition, second: EndDefinition): readonly Problem[] {
  const line = second.member.centerline;
  const reach = 8 * tubeReach(second.member);
  const solid = { section: second.member.section, centerline: extended(line, reach, reach) };
  let worst = 0;
  for (let i = 0; i < 32; i++) {
    const cut = cutAt(first, i / 32, 'outer');
    if (cut.kind !== 'cut') return [];
    worst = Math.max(worst, Math.abs(solidDistance(solid, generatorOf(first.member, i / 32).pointAt(cut.s))));
  }
  const { wall } = sectionAt(first.member, first.near ?? 0);
  const limit = Math.max(wall / 4, joint.gap) + ENDS_APART;
  if (worst <= limit) return [];
  return [
    {
      code: 'joint/sections-differ',
      severity: 'warning',
      path: joint.path,
      message: `the two sides of miter "${joint.name}" do not match: their outsides differ by up to ${figure(worst)} mm on the cut`,
      hint: 'use one section for both, turn the members so that their witness lines agree, or cope instead',
      measured: worst,
      limit,
    },
  ];
}

const endsApart = (joint: MiterJoint, apart: number): Problem => ({
  code: 'joint/ends-apart',
  severity: 'error',
  path: joint.path,
  message: `the two ends of miter "${joint.name}" lie ${figure(apart)} mm apart; a miter joins ends drawn to one work point`,
  hint: 'draw both centerlines to the point where the axes meet, or give the joint a plane',
  measured: apart,
  limit: ENDS_APART,
});

const noBisector = (joint: MiterJoint): Problem => ({
  code: 'joint/parallel-axes',
  severity: 'error',
  path: joint.path,
  message: `the two ends of miter "${joint.name}" point the same way: no plane lies between them`,
  hint: 'check which end (start or end) of each member the joint names',
});

const tooSteep = (joint: MiterJoint, drawn: DrawnEnd): Problem => ({
  code: 'trim/too-steep',
  severity: 'error',
  path: joint.path,
  message: `the plane of miter "${joint.name}" runs along "${drawn.member.name}" and never cuts it off`,
  hint: 'turn the plane so that it crosses the tube',
});
