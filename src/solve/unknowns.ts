import { atan2d } from '../geometry/angle.ts';
import { anglesWhere } from '../geometry/bends.ts';
import { sideOf } from '../geometry/centerline.ts';
import { type Frame, frameFrom, rotateFrame } from '../geometry/frame.ts';
import { SAME_VALUE } from '../geometry/tolerance.ts';
import { along, cross, dot, length, scale, squareTo, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { BendItem, RunItem, RunMember } from '../job/job.ts';
import { figure, type JobPath, type Outcome, type Problem } from '../job/problem.ts';
import { type CompiledGoal, compileGoal } from './goals.ts';
import { runCenterline } from './run.ts';
import type { Member } from './solution.ts';

interface SolvedRun {
  readonly run: readonly RunItem[];
  readonly solved: Member['solved'];
}

/**
 * Find the one straight length or bend angle written `solve` from the goals. Every goal is written as places on planes
 * (or a heading), which are linear in a straight and p cosA + q sinA + r = 0 in a bend, so each has its roots in
 * closed form; a root counts when it meets all goals to 1e-9 mm.
 */
export function solveRun(spec: RunMember, memberNamed: (name: string) => Member | undefined): Outcome<SolvedRun> {
  const unknowns = spec.run.flatMap((item, index) => (isUnknown(item) ? [index] : []));
  const goals = spec.goals.flatMap((goal) => compileGoal(goal, memberNamed) ?? []);
  if (goals.length < spec.goals.length) return { problems: [] };
  if (unknowns.length === 0) return checkKnown(spec, goals);
  const item = spec.run[unknowns[0]!]!;
  if (unknowns.length > 1) return { problems: [tooMany(spec, unknowns)] };
  if (goals.length === 0) return { problems: [noGoal(spec, item)] };
  return solveOne(spec, unknowns[0]!, goals);
}

const isUnknown = (item: RunItem): boolean => (item.kind === 'straight' ? item.length : item.bendAngleDeg) === 'solve';

function withValue(run: readonly RunItem[], index: number, value: number): readonly RunItem[] {
  return run.map((item, i) => {
    if (i !== index) return item;
    return item.kind === 'straight' ? { ...item, length: value } : { ...item, bendAngleDeg: value };
  });
}

function checkKnown(spec: RunMember, goals: readonly CompiledGoal[]): Outcome<SolvedRun> {
  const end = runCenterline(spec, spec.run).end;
  const problems = goals.flatMap((goal): Problem[] => {
    const miss = goal.miss(end);
    if (miss <= 1e-6) return [];
    return [
      {
        code: 'unknown/none',
        severity: 'error',
        path: goal.goal.path,
        message: `nothing in the run of "${spec.name}" is \`solve\`, and its end misses the goal by ${figure(miss)}${goal.heading ? '' : ' mm'}`,
        hint: 'write `solve` for one straight or bend angle, or take the goal away',
        measured: miss,
        limit: 0,
      },
    ];
  });
  return problems.length > 0 ? { problems } : { value: { run: spec.run, solved: [] }, problems };
}

function solveOne(spec: RunMember, index: number, goals: readonly CompiledGoal[]): Outcome<SolvedRun> {
  const item = spec.run[index]!;
  const endFor = (value: number): Frame => runCenterline(spec, withValue(spec.run, index, value)).end;
  const candidates = goals.flatMap((goal) =>
    item.kind === 'straight' ? straightRoots(goal, endFor) : bendRoots(spec, { index, item, goal }),
  );
  const worst = (value: number): number => Math.max(...goals.map((goal) => goal.miss(endFor(value))));
  const possible = distinct(candidates, worst).filter((value) => value > 1e-9);
  const meeting = possible.filter((value) => worst(value) <= 1e-7);
  // A turn of more than a half circle is taken only when nothing less will do.
  const plain = item.kind === 'straight' ? meeting : meeting.filter((value) => value <= 180);
  const roots = plain.length > 0 ? plain : meeting.filter((value) => value < 360);
  const { path } = item;
  const unitOf = item.kind === 'straight' ? ('mm' as const) : ('deg' as const);
  const best = roots[0];
  if (best === undefined) return { problems: [noSolution(spec, { path, goals, possible, worst, item, candidates })] };
  const solved = [{ path, what: item.kind === 'straight' ? 'straight' : 'bend angle', value: best, unit: unitOf }];
  const problems = roots.length > 1 ? [twoSolutions(spec, { path, roots, unit: unitOf })] : [];
  return { value: { run: withValue(spec.run, index, best), solved }, problems };
}

/** Ascending; of values that mean one solution (found through several planes), the one that meets the goals best. */
function distinct(values: readonly number[], miss: (value: number) => number): readonly number[] {
  const kept: number[] = [];
  for (const value of [...values].sort((p, q) => p - q)) {
    const last = kept.at(-1);
    if (last === undefined || value - last > SAME_VALUE) kept.push(value);
    else if (miss(value) < miss(last)) kept[kept.length - 1] = value;
  }
  return kept;
}

/** The end moves along a line as the straight grows: one root for each plane, two round an axis. */
function straightRoots(goal: CompiledGoal, endFor: (value: number) => Frame): readonly number[] {
  const at0 = endFor(1);
  const step = sub(endFor(2).origin, at0.origin);
  if (goal.around) {
    const { point, direction, distance } = goal.around;
    const aside = squareTo(sub(at0.origin, point), direction);
    const sideways = squareTo(step, direction);
    return quadraticRoots(
      dot(sideways, sideways),
      2 * dot(aside, sideways),
      dot(aside, aside) - distance * distance,
    ).map((x) => 1 + x);
  }
  return goal.planes(at0).flatMap(({ point, normal, at }) => {
    const rate = dot(step, normal);
    return Math.abs(rate) < 1e-12 ? [] : [1 - (dot(sub(at0.origin, point), normal) - at) / rate];
  });
}

/** Real roots of p x^2 + q x + r, by the form that keeps its digits. */
function quadraticRoots(p: number, q: number, r: number): readonly number[] {
  const square = q * q - 4 * p * r;
  if (p < 1e-12 || square < 0) return [];
  const sum = -(q + Math.sign(q || 1) * Math.sqrt(square)) / 2;
  return sum === 0 ? [0] : [sum / p, r / sum];
}

/** Angles where a function of the bend angle changes sign: scanned by half degrees, then halved to the last bit. */
function rootsOverTurn(miss: (deg: number) => number): readonly number[] {
  const steps = Array.from({ length: 720 }, (_, i) => i / 2);
  return steps.flatMap((from) => {
    let [low, high] = [from, from + 0.5];
    const sign = Math.sign(miss(low));
    if (sign === Math.sign(miss(high))) return [];
    for (let i = 0; i < 60; i++) {
      const middle = (low + high) / 2;
      if (Math.sign(miss(middle)) === sign) low = middle;
      else high = middle;
    }
    return [(low + high) / 2];
  });
}

/** Everything behind the bend turns about the bend's axis as the angle grows. */
function bendRoots(spec: RunMember, one: { index: number; item: RunItem; goal: CompiledGoal }): readonly number[] {
  const { item, goal } = one;
  if (item.kind !== 'bend') return [];
  const before = bendStart(spec, one.index);
  const toward = sideOf(before.frame, before.towardDeg);
  const axis = cross(before.frame.heading, toward);
  const center = along(before.frame.origin, toward, item.clr);
  // The end for an angle of zero: the rest of the run set straight on the bend's start.
  const rest = runCenterline(spec, withValue(spec.run, one.index, 90)).end;
  const zero = rotateFrame(rest, { point: center, axis, deg: -90 });
  if (goal.around) {
    const { point, direction, distance } = goal.around;
    const endAt = (deg: number): Vec3 => rotateFrame(zero, { point: center, axis, deg }).origin;
    return rootsOverTurn((deg) => length(squareTo(sub(endAt(deg), point), direction)) - distance);
  }
  if (goal.heading) return turnsOnto(zero.heading, goal.heading, axis);
  const arm = squareTo(sub(zero.origin, center), axis);
  const lift = sub(sub(zero.origin, center), arm);
  const turned = cross(axis, arm);
  return goal.planes(rest).flatMap(({ point, normal, at }) => {
    const r = dot(normal, sub(along(center, lift, 1), point)) - at;
    return anglesWhere(dot(normal, arm), dot(normal, turned), r).map((deg) => (deg < 0 ? deg + 360 : deg));
  });
}

/** Frame and plane of bend where the unknown bend starts. */
function bendStart(spec: RunMember, index: number): { frame: Frame; towardDeg: number } {
  const before = spec.run.slice(0, index);
  const item = spec.run[index] as BendItem;
  const first = frameFrom(spec.start.at, unit(spec.start.heading), spec.start.up);
  const frame = before.length === 0 ? first : runCenterline(spec, before).end;
  const previous = before.filter((x) => x.kind === 'bend');
  const plane = previous.reduce(
    (sum, bend) => (bend.toward.kind === 'toward' ? bend.toward.deg : sum + bend.toward.deg),
    0,
  );
  return { frame, towardDeg: item.toward.kind === 'toward' ? item.toward.deg : plane + item.toward.deg };
}

function turnsOnto(from: Vec3, onto: Vec3, axis: Vec3): readonly number[] {
  const p = squareTo(from, axis);
  if (length(p) < 1e-9) return [];
  return [onto, scale(onto, -1)].flatMap((wanted) => {
    const q = squareTo(wanted, axis);
    if (length(q) < 1e-9) return [];
    const deg = atan2d(dot(cross(p, q), axis), dot(p, q));
    return [deg < 0 ? deg + 360 : deg];
  });
}

const tooMany = (spec: RunMember, unknowns: readonly number[]): Problem => ({
  code: 'unknown/too-many',
  severity: 'error',
  path: spec.run[unknowns[1]!]!.path,
  message: `the run of "${spec.name}" has ${unknowns.length} values to solve; one can be`,
  hint: 'give numbers to all but one',
  measured: unknowns.length,
  limit: 1,
});

const noGoal = (spec: RunMember, item: RunItem): Problem => ({
  code: 'unknown/no-goal',
  severity: 'error',
  path: item.path,
  message: `a ${item.kind} of "${spec.name}" is \`solve\`, but no goal says what it must reach`,
  hint: 'add `goal:` to the member, for instance `goal: { on-plane: { at: [0, 0, 0], normal: [1, 0, 0] } }`',
});

const twoSolutions = (spec: RunMember, found: { path: JobPath; roots: readonly number[]; unit: string }): Problem => ({
  code: 'unknown/two-solutions',
  severity: 'warning',
  path: found.path,
  message: `${found.roots.length} values meet the goal of "${spec.name}": ${found.roots.map((x) => `${figure(x)} ${found.unit}`).join(' and ')}; the smallest is taken`,
  hint: 'write the other number in its place if it is the one wanted',
  measured: found.roots.length,
  limit: 1,
});

interface NoSolution {
  readonly path: JobPath;
  readonly goals: readonly CompiledGoal[];
  readonly possible: readonly number[];
  readonly candidates: readonly number[];
  readonly worst: (value: number) => number;
  readonly item: RunItem;
}

/** Says how near the goal can be come, and by which value. */
function noSolution(spec: RunMember, found: NoSolution): Problem {
  const scan = found.item.kind === 'straight' ? [1, 10, 100, 1000] : Array.from({ length: 179 }, (_, i) => i + 1);
  const nearest = [...found.possible, ...scan].reduce((best, value) =>
    found.worst(value) < found.worst(best) ? value : best,
  );
  const miss = found.worst(nearest);
  const negative = found.candidates.find((value) => value <= 0);
  const what = found.item.kind === 'straight' ? 'straight length' : 'bend angle';
  const unitOf = found.item.kind === 'straight' ? 'mm' : 'deg';
  return {
    code: 'unknown/no-solution',
    severity: 'error',
    path: found.path,
    message:
      found.item.kind === 'straight' && negative !== undefined
        ? `no ${what} of "${spec.name}" meets its goal: it would have to be ${figure(negative)} mm`
        : `no ${what} of "${spec.name}" meets its goal: at ${figure(nearest)} ${unitOf} it still misses by ${figure(miss)} mm`,
    hint:
      found.item.kind === 'straight'
        ? 'move the goal, or shorten what comes before the straight'
        : `a bend of clr ${figure(found.item.clr)} mm reaches only so far: change the clr, the straight behind it, or the goal`,
    measured: miss,
    limit: 0,
  };
}
