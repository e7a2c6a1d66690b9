import { expect } from 'vitest';
import { rotateVector } from '../../src/geometry/frame.ts';
import type { Section } from '../../src/geometry/section.ts';
import { add, along, type Deg, dot, type Mm, scale, sub, unit, type Vec3 } from '../../src/geometry/vector.ts';
import type {
  CopeJoint,
  EndRef,
  Goal,
  Job,
  JointSpec,
  MemberSpec,
  MergeJoint,
  MirrorMember,
  MiterJoint,
  Plane,
  PointsMember,
  RunItem,
  RunMember,
  Shop,
  ToSolve,
  TrimJoint,
} from '../../src/job/job.ts';
import { cutAt } from '../../src/solve/generator.ts';
import type { CutEnd, Solution, Surface } from '../../src/solve/solution.ts';
import { solveJob } from '../../src/solve/solve.ts';

/** A shop of nobody in particular; the solver reads only the chord tolerance from it. */
export const SHOP: Shop = {
  printer: { bed: [220, 220, 220], nozzle: 0.4, layer: 0.2, material: 'petg' },
  fit: { slide: 0.25 },
  saws: [{ name: 'bandsaw', kind: 'vertical-band', kerf: 1.2, blade: 0.9, clearance: 0.3 }],
  saw: 'bandsaw',
  wall: 4,
  strap: { width: 8, thickness: 1.5 },
  labels: true,
  chordTolerance: 0.01,
};

export const round = (od: Mm, wall: Mm = 1.5): Section => ({ kind: 'round', od, wall });
export const oval = (width: Mm, height: Mm, wall: Mm = 1.5): Section => ({ kind: 'flat-oval', width, height, wall });
export const ellipse = (width: Mm, height: Mm, wall: Mm = 1.5): Section => ({ kind: 'ellipse', width, height, wall });
export const rectangle = (width: Mm, height: Mm, cornerRadius: Mm, wall: Mm = 1.5): Section => ({
  kind: 'rectangle',
  width,
  height,
  cornerRadius,
  wall,
});

/** A member of a test job with its section beside it; `jobOf` sorts the two apart. */
export type Tube = readonly [section: Section, spec: MemberSpec];

const orSolve = (value: number | 'solve' | ToSolve): number | ToSolve =>
  value === 'solve' ? { kind: 'solve' } : value;

export const straight = (length: Mm | 'solve' | ToSolve): RunItem => ({
  kind: 'straight',
  length: orSolve(length),
  path: ['straight'],
});

export const bend = (clr: Mm, bendAngleDeg: Deg | 'solve' | ToSolve, towardDeg: Deg | ToSolve): RunItem => ({
  kind: 'bend',
  clr,
  bendAngleDeg: orSolve(bendAngleDeg),
  toward: { kind: 'toward', deg: towardDeg },
  path: ['bend'],
});

export const taper = (from: Section, to: Section, length: Mm, shift: readonly [Mm, Mm] = [0, 0]): RunItem => ({
  kind: 'taper',
  length,
  to: 'other',
  sections: { from, to },
  shift,
  path: ['taper'],
});

interface RunPlan {
  readonly at?: Vec3;
  readonly heading?: Vec3;
  readonly up?: Vec3;
  readonly run: readonly RunItem[];
  readonly goals?: readonly Goal[];
}

export function runTube(name: string, section: Section, plan: RunPlan): Tube {
  const spec: RunMember = {
    kind: 'run',
    name,
    section: name,
    start: { at: plan.at ?? [0, 0, 0], heading: plan.heading ?? [0, 0, 1], ...(plan.up ? { up: plan.up } : {}) },
    run: plan.run,
    goals: plan.goals ?? [],
    path: ['members', name],
  };
  return [section, spec];
}

/** Straight tube from one point to another. */
export function barTube(name: string, section: Section, bar: { from: Vec3; to: Vec3; up?: Vec3 }): Tube {
  const step = sub(bar.to, bar.from);
  const plan = { at: bar.from, heading: unit(step), run: [straight(Math.hypot(...step))] };
  return runTube(name, section, bar.up ? { ...plan, up: bar.up } : plan);
}

export function pointsTube(
  name: string,
  section: Section,
  plan: { points: readonly Vec3[]; clrs: readonly Mm[]; up?: Vec3 },
): Tube {
  const spec: PointsMember = {
    kind: 'points',
    name,
    section: name,
    points: plan.points,
    clrs: plan.clrs,
    measured: [],
    ...(plan.up ? { up: plan.up } : {}),
    path: ['members', name],
  };
  return [section, spec];
}

export function mirrorTube(name: string, of: Tube, across: Plane): Tube {
  const spec: MirrorMember = { kind: 'mirror', name, of: of[1].name, across, measured: [], path: ['members', name] };
  return [of[0], spec];
}

/** `rail.end` as the job file writes it. */
export function endRef(text: string): EndRef {
  const [member, end] = text.split('.');
  if (!member || (end !== 'start' && end !== 'end')) throw new Error(`not an end: ${text}`);
  return { member, end, path: ['joints', text] };
}

const joint = (name: string, gap: Mm) => ({ name, gap, path: ['joints', name] });

export const cope = (branch: string, runs: readonly string[], gap: Mm = 0): CopeJoint => ({
  ...joint(`${branch} cope`, gap),
  kind: 'cope',
  branch: endRef(branch),
  runs: runs.map((member) => ({ member, path: ['joints', 'runs', member] })),
  open: false,
});

export const merge = (legs: readonly string[], trunk: string, gap: Mm = 0): MergeJoint => ({
  ...joint(`${trunk} merge`, gap),
  kind: 'merge',
  legs: legs.map(endRef),
  trunk: endRef(trunk),
});

export const miter = (first: string, second: string, more: { plane?: Plane; gap?: Mm } = {}): MiterJoint => ({
  ...joint(`${first} miter`, more.gap ?? 0),
  kind: 'miter',
  ends: [endRef(first), endRef(second)],
  ...(more.plane ? { plane: more.plane } : {}),
});

export const butt = (first: string, second: string, gap: Mm = 0): JointSpec => ({
  ...joint(`${first} butt`, gap),
  kind: 'butt',
  ends: [endRef(first), endRef(second)],
});

export const trim = (
  end: string,
  where: TrimJoint['where'],
  more: { miterDeg?: Deg; longPointDeg?: Deg } = {},
): TrimJoint => ({
  ...joint(`${end} trim`, 0),
  kind: 'trim',
  end: endRef(end),
  where,
  miterDeg: more.miterDeg ?? 0,
  longPointDeg: more.longPointDeg ?? 0,
});

export function jobOf(tubes: readonly Tube[], joints: readonly JointSpec[] = []): Job {
  return {
    name: 'test',
    units: 'mm',
    shop: SHOP,
    sections: tubes
      .filter(([, spec]) => spec.kind !== 'mirror')
      .map(([section, spec]) => ({
        name: spec.name,
        nominal: section,
        actual: section,
        path: ['sections', spec.name],
      })),
    members: tubes.map(([, spec]) => spec),
    joints,
    tools: [],
    plates: [],
  };
}

/** The solved job; problems other than warnings fail the test with their wording. */
export function solved(job: Job): Solution {
  const { value, problems } = solveJob(job);
  if (!value) expect.fail(problems.map((problem) => `${problem.code}: ${problem.message}`).join('\n'));
  return value;
}

export function cutOf(solution: Solution, id: string): CutEnd {
  const end = solution.ends.find((candidate) => candidate.id === id);
  if (!end) expect.fail(`no cut end ${id}; there are ${solution.ends.map((candidate) => candidate.id).join(', ')}`);
  return end;
}

/** Cut of one generator, traced anew at exactly u. */
export function sAt(end: CutEnd, u: number, surface: Surface = 'outer'): Mm {
  const cut = cutAt(end, ((u % 1) + 1) % 1, surface);
  if (cut.kind !== 'cut') expect.fail(`generator at u = ${u} of ${end.id} is not cut: ${JSON.stringify(cut)}`);
  return cut.s;
}

export interface Lateral {
  readonly branch: Section;
  readonly run: Section;
  /** Between the axes, from the acute side. */
  readonly angleDeg: Deg;
  readonly offset?: Mm;
  readonly gap?: Mm;
}

/** Length of the branch of a lateral, from its far end to the foot of the common perpendicular. */
export const LATERAL_LENGTH: Mm = 400;

/**
 * Branch on a run that lies along x: the witness line is on the acute side and the offset toward -right, so that the
 * position p of the literature (from the acute side, offset positive) is the turn 1 - u.
 */
export function lateral({ branch, run, angleDeg, offset = 0, gap = 0 }: Lateral): CutEnd {
  const b = (angleDeg * Math.PI) / 180;
  const out: Vec3 = [Math.cos(b), 0, Math.sin(b)];
  const acute: Vec3 = [Math.sin(b), 0, -Math.cos(b)];
  const foot: Vec3 = [0, offset, 0];
  const job = jobOf(
    [
      barTube('run', run, { from: [-900, 0, 0], to: [900, 0, 0], up: [0, 0, 1] }),
      barTube('branch', branch, { from: along(foot, out, LATERAL_LENGTH), to: foot, up: acute }),
    ],
    [cope('branch.end', ['run'], gap)],
  );
  return cutOf(solved(job), 'branch.end');
}

/** Ordinate w of a lateral at p degrees round from the acute side, from the foot of the common perpendicular. */
export const ordinate = (end: CutEnd, pDeg: Deg, surface: Surface = 'outer'): Mm =>
  LATERAL_LENGTH - sAt(end, 1 - pDeg / 360, surface);

/** A motion of the whole job: rotation about an axis through the origin, scale, then a shift. */
export interface Motion {
  readonly axis: Vec3;
  readonly deg: Deg;
  readonly shift: Vec3;
  readonly factor: number;
}

/** The same job carried elsewhere; every member keeps its witness line. The job must give `up` wherever it matters. */
export function carried(job: Job, motion: Motion): Job {
  const turn = (v: Vec3): Vec3 => rotateVector(v, unit(motion.axis), motion.deg);
  const point = (p: Vec3): Vec3 => add(scale(turn(p), motion.factor), motion.shift);
  return mapJob(job, { point, direction: turn, factor: motion.factor, mirror: false });
}

/** The same job in a looking glass: bends to the right go left. */
export function reflected(job: Job, plane: Plane): Job {
  const n = unit(plane.normal);
  const direction = (v: Vec3): Vec3 => along(v, n, -2 * dot(v, n));
  const point = (p: Vec3): Vec3 => along(p, n, -2 * dot(sub(p, plane.point), n));
  return mapJob(job, { point, direction, factor: 1, mirror: true });
}

interface Mapping {
  readonly point: (p: Vec3) => Vec3;
  readonly direction: (v: Vec3) => Vec3;
  readonly factor: number;
  readonly mirror: boolean;
}

function mapJob(job: Job, m: Mapping): Job {
  const k = m.factor;
  const section = (s: Section): Section => {
    if (s.kind === 'round') return { ...s, od: s.od * k, wall: s.wall * k };
    if (s.kind === 'blend') throw new Error('no job has a blend for a section');
    const sized = { ...s, width: s.width * k, height: s.height * k, wall: s.wall * k };
    return sized.kind === 'rectangle' ? { ...sized, cornerRadius: sized.cornerRadius * k } : sized;
  };
  const plane = (p: Plane): Plane => ({ point: m.point(p.point), normal: m.direction(p.normal) });
  const item = (x: RunItem): RunItem => {
    if (x.kind === 'straight') return typeof x.length === 'number' ? { ...x, length: x.length * k } : x;
    if (x.kind === 'taper') {
      const [right, up] = x.shift;
      const sections = { from: section(x.sections.from), to: section(x.sections.to) };
      return { ...x, length: x.length * k, sections, shift: [(m.mirror ? -right : right) * k, up * k] };
    }
    const side = x.toward.deg;
    const deg = m.mirror && typeof side === 'number' ? (360 - side) % 360 : side;
    return { ...x, clr: x.clr * k, toward: { ...x.toward, deg } };
  };
  const goal = (g: Goal): Goal => {
    switch (g.kind) {
      case 'on-plane':
      case 'in-plane':
        return { ...g, plane: plane(g.plane) };
      case 'on-line':
        return { ...g, point: m.point(g.point), direction: m.direction(g.direction) };
      case 'on-point':
        return { ...g, point: m.point(g.point) };
      case 'heading':
        return { ...g, heading: m.direction(g.heading) };
      case 'up':
        return { ...g, up: m.direction(g.up) };
      case 'spacing':
        return { ...g, distance: g.distance * k };
      case 'developed-length':
        return { ...g, length: g.length * k };
      default:
        return g;
    }
  };
  const member = (spec: MemberSpec): MemberSpec => {
    if (spec.kind === 'mirror') return { ...spec, across: plane(spec.across) };
    const up = spec.kind === 'run' ? spec.start.up : spec.up;
    const turned = up ? { up: m.direction(up) } : {};
    if (spec.kind === 'points')
      return { ...spec, points: spec.points.map(m.point), clrs: spec.clrs.map((clr) => clr * k), ...turned };
    const start = { at: m.point(spec.start.at), heading: m.direction(spec.start.heading), ...turned };
    return { ...spec, start, run: spec.run.map(item), goals: spec.goals.map(goal) };
  };
  const jointOf = (spec: JointSpec): JointSpec => {
    const gap = spec.gap * k;
    if (spec.kind === 'miter') return { ...spec, gap, ...(spec.plane ? { plane: plane(spec.plane) } : {}) };
    if (spec.kind !== 'trim') return { ...spec, gap };
    const longPointDeg = m.mirror ? (360 - spec.longPointDeg) % 360 : spec.longPointDeg;
    const where = spec.where;
    if (where.kind === 'at') return { ...spec, gap, longPointDeg, where: { ...where, distance: where.distance * k } };
    if (where.kind === 'plane') return { ...spec, gap, longPointDeg, where: { ...where, plane: plane(where.plane) } };
    if (where.kind === 'size') return { ...spec, gap, longPointDeg, where: { ...where, size: where.size * k } };
    return { ...spec, gap, longPointDeg };
  };
  return {
    ...job,
    sections: job.sections.map((spec) => ({ ...spec, nominal: section(spec.nominal), actual: section(spec.actual) })),
    members: job.members.map(member),
    joints: job.joints.map(jointOf),
  };
}
