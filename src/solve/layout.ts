import { centerlineThrough } from '../geometry/bends.ts';
import { mirrored } from '../geometry/centerline.ts';
import type { Job, MemberSpec } from '../job/job.ts';
import type { Outcome, Problem } from '../job/problem.ts';
import { bendProblems } from './bend-checks.ts';
import { asBent } from './measured-bends.ts';
import { runCenterline } from './run.ts';
import type { Member } from './solution.ts';
import { solveRun } from './unknowns.ts';

/** Place every member: runs and corner points become centerlines, unknowns get their values, mirrors their image. */
export function layOut(job: Job): Outcome<readonly Member[]> {
  const problems: Problem[] = [];
  const done = new Map<string, Member | undefined>();
  const under = new Set<string>();
  const memberNamed = (name: string): Member | undefined => {
    if (done.has(name)) return done.get(name);
    const spec = job.members.find((member) => member.name === name);
    if (!spec) return undefined;
    if (under.has(name)) {
      problems.push(loopProblem(spec));
      return undefined;
    }
    under.add(name);
    const outcome = layOutMember(job, spec, memberNamed);
    under.delete(name);
    problems.push(...outcome.problems);
    if (outcome.value && spec.kind !== 'mirror') problems.push(...bendProblems(job, outcome.value));
    done.set(name, outcome.value);
    return outcome.value;
  };
  const members = job.members.flatMap((spec) => memberNamed(spec.name) ?? []);
  return { value: members, problems };
}

const loopProblem = (spec: MemberSpec): Problem => ({
  code: 'reference/loop',
  severity: 'error',
  path: spec.path,
  message: `member "${spec.name}" waits for itself: its goal or mirror leads back to it`,
  hint: 'give one member of the loop its own numbers',
});

function layOutMember(job: Job, spec: MemberSpec, memberNamed: (name: string) => Member | undefined): Outcome<Member> {
  if (spec.kind === 'mirror') return mirrorMember(job, spec, memberNamed);
  const section = job.sections.find((candidate) => candidate.name === spec.section);
  if (!section) throw new Error(`internal: section "${spec.section}" of member "${spec.name}" was not checked`);
  const base = {
    name: spec.name,
    spec,
    section: section.actual,
    nominal: section.nominal,
    ...(section.material === undefined ? {} : { material: section.material }),
  };
  if (spec.kind === 'points') {
    const line = centerlineThrough(spec.points, spec.clrs, spec.up);
    const { value: centerline, problems } = asBent(line, { ...spec, units: job.units, section: section.actual });
    return { ...(centerline ? { value: { ...base, centerline, solved: [] } } : {}), problems };
  }
  const outcome = solveRun(spec, { units: job.units, memberNamed });
  if (!outcome.value) return { problems: outcome.problems };
  const centerline = runCenterline(spec, outcome.value.run);
  if (!(centerline.length > 0)) return { problems: [...outcome.problems, emptyProblem(spec)] };
  const { solved, solving } = outcome.value;
  return { value: { ...base, centerline, solved, ...(solving ? { solving } : {}) }, problems: outcome.problems };
}

const emptyProblem = (spec: MemberSpec): Problem => ({
  code: 'member/empty',
  severity: 'error',
  path: spec.path,
  message: `member "${spec.name}" has no length`,
  hint: 'give its run a straight or a bend',
});

function mirrorMember(
  job: Job,
  spec: MemberSpec & { kind: 'mirror' },
  memberNamed: (name: string) => Member | undefined,
): Outcome<Member> {
  const original = memberNamed(spec.of);
  if (!original) return { problems: [] };
  const { mirrorOf: _, solving: __, ...rest } = original;
  const image = mirrored(original.centerline, spec.across);
  const { value: centerline, problems } = asBent(image, { ...spec, units: job.units, section: rest.section });
  if (!centerline) return { problems };
  return { value: { ...rest, name: spec.name, spec, centerline, mirrorOf: original.name, solved: [] }, problems };
}
