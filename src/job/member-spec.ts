import { outlineAt, type Section, sectionWidth } from '../geometry/section.ts';
import { PARALLEL_SINE } from '../geometry/tolerance.ts';
import { cross, type Deg, length, type Mm, type Vec2, type Vec3 } from '../geometry/vector.ts';
import { acrossSection, bendSide, bendSpec, clrLength, tightProblem } from './bend-spec.ts';
import type { Clr } from './fields.ts';
import { afterProblems, goalsFrom } from './goal-spec.ts';
import type { BendItem, MemberSpec, RunItem, SectionSpec, Start, TaperItem } from './job.ts';
import { measuredBends } from './measured-bend-spec.ts';
import { memberKind, type RawMember, type RawRunItem } from './member-schema.ts';
import { pointsProblems } from './points-check.ts';
import type { JobPath, Problem } from './problem.ts';
import { unknownName } from './references.ts';
import { solveNameProblems } from './solve-names.ts';
import type { Units } from './units.ts';
import { lengthText } from './wording.ts';

export interface Member {
  readonly name: string;
  readonly raw: RawMember;
  readonly units: Units;
  /** Nominal section; undefined when it is unknown or wrong, which is told elsewhere. */
  readonly section: Section | undefined;
  readonly sections: SectionsByName;
}

/** The job's sections: those that are right, and the names of all. */
export interface SectionsByName {
  readonly specs: readonly SectionSpec[];
  readonly names: readonly string[];
}

/** A member field by field; undefined only when it cannot be told what it is. */
export function memberSpec(member: Member): { spec?: MemberSpec; problems: Problem[] } {
  const { raw, name } = member;
  const path: JobPath = ['members', name];
  const kind = memberKind(raw);
  if (kind === 'mirror' && raw.mirror !== undefined && raw.across) {
    const across = { point: raw.across.at, normal: raw.across.normal };
    const { measured, problems } = measuredBends(raw.measured ?? [], [...path, 'measured']);
    return { spec: { kind: 'mirror', name, path, of: raw.mirror, across, measured }, problems: [...problems] };
  }
  if (kind === 'points') return pointsSpec(member, path);
  if (kind === 'run') return runSpec(member, path);
  return { problems: [] };
}

function runSpec({ name, raw, units, ...member }: Member, path: JobPath): { spec?: MemberSpec; problems: Problem[] } {
  if (raw.section === undefined || !raw.start || !raw.run) return { problems: [] };
  const problems = upProblems(raw.start.up, raw.start.heading, [...path, 'start', 'up']);
  const { at, heading, up } = raw.start;
  const start: Start = { at, heading, ...(up ? { up } : {}) };
  const run: RunItem[] = [];
  // Tapers change the section for what follows them.
  let { section } = member;
  let before: string | undefined = raw.section;
  // Side the bend plane lies on, degrees clockwise from up in the section; carried along for plane-of-bend; unknown once one is to solve.
  let side: Deg | undefined = 0;
  for (const [i, item] of raw.run.entries()) {
    if (item.straight !== undefined)
      run.push({ kind: 'straight', length: item.straight, path: [...path, 'run', i, 'straight'] });
    if (item.taper) {
      const made = taperItem(item.taper, { before, sections: member.sections, path: [...path, 'run', i, 'taper'] });
      if (made.item) run.push(made.item);
      problems.push(...made.problems);
      before = item.taper.to;
      section = member.sections.specs.find((spec) => spec.name === before)?.nominal;
    }
    const turn = item.bend ?? item.elbow;
    if (!turn) continue;
    side = bendSide(turn, side);
    const kind = item.elbow ? 'elbow' : 'bend';
    const bend = bendSpec(turn, { section, side, name, units, kind, path: [...path, 'run', i, kind] });
    run.push(item.elbow ? { ...bend.item, elbow: weldsOf(item.elbow) } : bend.item);
    problems.push(...bend.problems);
  }
  const goals = goalsFrom(raw.goal, [...path, 'goal']);
  problems.push(...solveNameProblems(run, name), ...afterProblems(goals, run.length));
  const spec: MemberSpec = {
    kind: 'run',
    name,
    path,
    section: raw.section,
    start,
    run,
    goals,
  };
  return { spec, problems };
}

interface TaperPlace {
  readonly before: string;
  readonly sections: SectionsByName;
  readonly path: JobPath;
}

/** A taper between two sections of the job; none where one of them is wrong, which is told at the section. */
function taperItem(
  raw: NonNullable<RawRunItem['taper']>,
  { before, sections, path }: TaperPlace,
): { readonly item?: TaperItem; readonly problems: readonly Problem[] } {
  const problems = unknownName(raw.to, { kind: 'section', names: sections.names, path: [...path, 'to'] });
  const [from, to] = [before, raw.to].map((name) => sections.specs.find((spec) => spec.name === name)?.actual);
  if (!from || !to) return { problems };
  const length = raw.measured?.length ?? raw.length;
  const shift: Vec2 = raw.offset ?? [0, 0];
  return { item: { kind: 'taper', length, to: raw.to, sections: { from, to }, shift, path }, problems };
}

const weldsOf = ({ welds, pieces, gap }: NonNullable<RawRunItem['elbow']>): NonNullable<BendItem['elbow']> => ({
  welds: welds ?? (pieces ?? 2) - 1,
  gap,
});

function pointsSpec({ name, raw, units, section }: Member, path: JobPath): { spec?: MemberSpec; problems: Problem[] } {
  const { points } = raw;
  if (raw.section === undefined || !points) return { problems: [] };
  const first = points[0]!;
  const firstLeg: Vec3 = [points[1]![0] - first[0], points[1]![1] - first[1], points[1]![2] - first[2]];
  const problems = length(firstLeg) > 0 ? upProblems(raw.up, firstLeg, [...path, 'up']) : [];
  const corners = points.length - 2;
  const many = Array.isArray(raw.clr);
  const given =
    raw.clr === undefined
      ? []
      : Array.isArray(raw.clr)
        ? raw.clr
        : Array.from({ length: corners }, () => raw.clr as Clr);
  if (corners > 0 && raw.clr === undefined) {
    problems.push({
      code: 'field/missing',
      severity: 'error',
      path: [...path, 'clr'],
      message: `clr of ${name} is missing: ${corners === 1 ? 'one corner needs' : `${corners} corners need`} it`,
      hint: 'add clr: a length, or a multiple of OD such as 1.5D',
    });
    return { problems };
  }
  if (many && given.length !== corners) {
    problems.push({
      code: 'field/conflict',
      severity: 'error',
      path: [...path, 'clr'],
      message: `clr of ${name} lists ${given.length}; its ${points.length} points have ${corners} corner${corners === 1 ? '' : 's'}`,
      hint: 'give one clr for each corner, or a single one for all',
      measured: given.length,
      limit: corners,
    });
    return { problems };
  }
  const ratio = given.findIndex((clr) => clr.kind === 'ratio');
  if (ratio >= 0 && section && section.kind !== 'round') {
    const [up, across] = [acrossSection(section, 0), sectionWidth(section)].map((mm) => lengthText(mm, units));
    const at: JobPath = many ? [...path, 'clr', ratio] : [...path, 'clr'];
    problems.push({
      code: 'unit/ambiguous',
      severity: 'error',
      path: at,
      message: `clr of ${name} is a multiple of D, and its section is ${across} wide, ${up} high`,
      hint: 'write clr as a length',
    });
    return { problems };
  }
  const clrs = given.map((clr) => clrLength(clr, section?.kind === 'round' ? section.od : undefined));
  const clrPath = (i: number): JobPath => (many ? [...path, 'clr', i] : [...path, 'clr']);
  if (section) problems.push(...tightCorners(clrs, { section, name, units, clrPath }));
  const measurable = section !== undefined || given.every((clr) => clr.kind === 'length');
  problems.push(...pointsProblems({ name, units, path, points, clrs: measurable ? clrs : clrs.map(() => 0) }));
  const { measured, problems: unclear } = measuredBends(raw.measured ?? [], [...path, 'measured']);
  problems.push(...unclear);
  const up = raw.up ? { up: raw.up } : {};
  return { spec: { kind: 'points', name, path, section: raw.section, points, clrs, measured, ...up }, problems };
}

interface Corners {
  readonly section: Section;
  readonly name: string;
  readonly units: Units;
  readonly clrPath: (i: number) => JobPath;
}

/** Which way a corner turns in the section is known once the layout is solved; here only what folds whichever way. */
function tightCorners(clrs: readonly Mm[], { section, name, units, clrPath }: Corners): Problem[] {
  const half = Math.min(outlineAt(section, 0).point[1], outlineAt(section, 0.25).point[0]);
  const told = new Set<string>();
  return clrs.flatMap((clr, i) => {
    const path = clrPath(i);
    const key = path.join('.');
    if (clr >= half || told.has(key)) return [];
    told.add(key);
    return [tightProblem({ clr, half, name, units, kind: 'bend', path })];
  });
}

/** Up must not lie along the tube, or the witness line has no side. */
function upProblems(up: Vec3 | undefined, heading: Vec3, path: JobPath): Problem[] {
  if (!up || length(cross(up, heading)) > PARALLEL_SINE * length(heading)) return [];
  return [
    {
      code: 'field/conflict',
      severity: 'error',
      path,
      message: 'up lies along the heading, so it says nothing about which side is up',
      hint: 'give an up that is square to the heading, or leave it out',
    },
  ];
}
