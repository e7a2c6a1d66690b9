import { extended, frameAt, segmentAt } from '../../geometry/centerline.ts';
import { besideCenterline, type SweptSolid, solidDistance } from '../../geometry/distance.ts';
import { sectionHeight, sectionReach, sectionWidth } from '../../geometry/section.ts';
import { CORNER_LAP, PARALLEL_SINE, SHARED_SURFACE } from '../../geometry/tolerance.ts';
import { sectionAt } from '../../geometry/tube-shape.ts';
import { along, cross, dot, length, type Mm, sub, unit } from '../../geometry/vector.ts';
import type { CopeJoint } from '../../job/job.ts';
import { figure, type JobPath, type Problem } from '../../job/problem.ts';
import type { EndDefinition, Member } from '../solution.ts';
import { type DrawnEnd, drawnEnd, endOf, type JointOutcome, type MemberLookup } from './ends.ts';

/**
 * The branch is cut to the outside of the run (or of several), which stays whole. Runs that are themselves cut flat at an
 * end stop there: `flats` gives those planes, so that a branch into a mitered corner meets both sides of it.
 */
export function copeEnd(joint: CopeJoint, memberNamed: MemberLookup, flats: readonly EndDefinition[]): JointOutcome {
  const branch = drawnEnd(joint.branch, memberNamed);
  const runs = joint.runs.flatMap(({ member, path }) => {
    const found = memberNamed(member);
    return found ? [{ member: found, path }] : [];
  });
  if (!branch || runs.length < joint.runs.length) return { ends: [], problems: [] };
  const problems = runs.length === 1 ? decideByName(joint, branch, runs[0]!) : [];
  if (problems.some((problem) => problem.severity === 'error')) return { ends: [], problems };
  // A flat side of the branch may lie in a flat side of the run: then the run counts as a hair larger, and stops it there.
  const shared = sectionAt(branch.member, branch.s).kind === 'round' ? 0 : SHARED_SURFACE;
  const stops = runs.map(
    ({ member }) =>
      ({
        kind: 'solid',
        id: member.name,
        solid: solidOf(member, flats, runs.length > 1),
        // A branch set into its hole ends flush with the inside of the run.
        gap: joint.gap + shared - (joint.open === 'outside' ? member.section.wall : 0),
      }) as const,
  );
  problems.push(
    ...shortOfRun(
      joint,
      branch,
      stops.map((stop) => stop.solid),
    ),
  );
  return { ends: [endOf(branch, joint, stops)], problems };
}

/**
 * The member as a bar; one straight cut flat at an end is carried through and cut off there. In a `corner` of several the
 * bars close their gap and lap a little, so that a branch that lies in the plane between them meets one whole.
 */
export function solidOf(member: Member, flats: readonly EndDefinition[], corner: boolean): SweptSolid {
  const { section, centerline, name } = member;
  if (centerline.segments.length !== 1 || centerline.segments[0]!.kind !== 'straight') return { section, centerline };
  const own = flats.filter((end) => end.member.name === name);
  if (own.length === 0) return { section, centerline };
  const reach = 8 * sectionReach(section);
  const has = (end: string): boolean => own.some((definition) => definition.end === end);
  const clips = own.flatMap((end) =>
    end.stops.flatMap((stop) =>
      stop.kind === 'plane'
        ? [{ point: along(stop.point, stop.normal, corner ? end.gap / 2 + CORNER_LAP : 0), normal: stop.normal }]
        : [],
    ),
  );
  return { section, centerline: extended(centerline, has('start') ? reach : 0, has('end') ? reach : 0), clips };
}

/** The degenerate cases of a round branch on a straight of a round run, said before anything is traced. */
function decideByName(joint: CopeJoint, branch: DrawnEnd, run: { member: Member; path: JobPath }): Problem[] {
  const { section: runSection, centerline } = run.member;
  const near = besideCenterline(centerline, runSection, branch.frame.origin);
  const only = segmentAt(centerline, Math.max(0, Math.min(centerline.length, near.s)));
  if (only.kind !== 'straight') return [];
  const across = cross(branch.out, only.start.heading);
  const base = { severity: 'error', path: joint.path } as const;
  // A branch that comes in on a bend meets the run elsewhere than its drawn end points; its trace tells.
  const own = branch.member.centerline.segments.at(branch.end === 'end' ? -1 : 0);
  const straightIn = own?.kind === 'straight';
  if (straightIn && length(across) < PARALLEL_SINE) {
    return [
      {
        ...base,
        code: 'joint/parallel-axes',
        message: `"${branch.member.name}" runs along "${run.member.name}": their axes never cross`,
        hint: 'turn the branch toward the run, or butt or miter the two',
      },
    ];
  }
  const offset = straightIn ? Math.abs(dot(sub(branch.frame.origin, only.start.origin), unit(across))) : 0;
  const ownSection = sectionAt(branch.member, branch.s);
  const r = sectionReach(ownSection);
  const sectionOfRun = only.section ?? run.member.section;
  const big = sectionOfRun.kind === 'round' ? sectionOfRun.od / 2 : Number.POSITIVE_INFINITY;
  if (ownSection.kind !== 'round' || big === Number.POSITIVE_INFINITY) return [];
  if (r > big + 1e-9) {
    return [
      {
        ...base,
        code: 'joint/branch-larger-than-run',
        message: `branch "${branch.member.name}" (od ${figure(2 * r)} mm) is larger than run "${run.member.name}" (od ${figure(2 * big)} mm)`,
        hint: `swap the two: cope "${run.member.name}" onto "${branch.member.name}"`,
        measured: 2 * r,
        limit: 2 * big,
      },
    ];
  }
  if (offset + r > big + 1e-7) {
    return [
      {
        ...base,
        code: 'joint/branch-overhangs-run',
        message: `branch "${branch.member.name}" is offset ${figure(offset)} mm and reaches ${figure(offset + r)} mm from the axis of "${run.member.name}", past its side at ${figure(big)} mm`,
        hint: `an offset up to ${figure(big - r)} mm still meets the run all round`,
        measured: offset + r,
        limit: big,
      },
    ];
  }
  return [];
}

function shortOfRun(joint: CopeJoint, branch: DrawnEnd, solids: readonly SweptSolid[]): readonly Problem[] {
  const short = Math.min(...solids.map((solid) => solidDistance(solid, branch.frame.origin)));
  const section = sectionAt(branch.member, branch.s);
  const size = Math.max(sectionWidth(section), sectionHeight(section));
  if (short <= 1e-6) return [];
  const past = drawnPast(branch, solids);
  if (past !== undefined) {
    return [
      {
        code: 'joint/short-of-run',
        severity: 'warning',
        path: joint.path,
        message: `the centerline of "${branch.member.name}" runs on past "${joint.runs.map((run) => run.member).join('", "')}": its ${branch.end} is drawn ${figure(past)} mm beyond, and is cut where it first comes to it`,
        hint: 'draw it to the work point, where the two axes meet, or cope the end that should lie there',
        measured: past,
        limit: 0,
      },
    ];
  }
  return [
    {
      code: 'joint/short-of-run',
      severity: short > size ? 'error' : 'warning',
      path: joint.path,
      message: `the centerline of "${branch.member.name}" ends ${figure(short)} mm before it reaches "${joint.runs.map((run) => run.member).join('", "')}"`,
      hint: 'draw it to the work point, where the two axes meet',
      measured: short,
      limit: 0,
    },
  ];
}

/** How far the drawn end lies beyond the last place where the branch's own straight passes the run; undefined where it does not. */
function drawnPast({ member, s, end }: DrawnEnd, solids: readonly SweptSolid[]): Mm | undefined {
  const line = member.centerline;
  const dir = end === 'end' ? -1 : 1;
  const step = sectionReach(sectionAt(member, s)) / 4;
  const isIn = (back: Mm): boolean => {
    const p = frameAt(line, s + dir * back).origin;
    return solids.some((solid) => solidDistance(solid, p) <= 0);
  };
  for (let back = step; back < line.length; back += step) {
    if (!isIn(back)) continue;
    let [low, high] = [back - step, back];
    for (let k = 0; k < 30; k++) {
      const half = (low + high) / 2;
      if (isIn(half)) high = half;
      else low = half;
    }
    return high;
  }
  return undefined;
}
