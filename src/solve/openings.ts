import { besideAt } from '../geometry/centerline.ts';
import { traceFirst } from '../geometry/trace.ts';
import { generatorOf, sectionAt } from '../geometry/tube-shape.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Job, OpeningEdge } from '../job/job.ts';
import { figure, type JobPath, type Problem } from '../job/problem.ts';
import { traceCurve } from './cut-curve.ts';
import { outward, reachBeyond, stopDistance } from './generator.ts';
import { type PlaceOnRun, placedOnRun, placeOnRun } from './opening-places.ts';
import { curveS } from './pieces.ts';
import { punchEnd } from './punch.ts';
import type { CutCurve, CutEnd, EndDefinition, Member, Opening, OpeningSample, Piece } from './solution.ts';

interface Solved {
  readonly job: Job;
  readonly members: readonly Member[];
  readonly ends: readonly CutEnd[];
  readonly pieces: readonly Piece[];
}

/** What makes a hole: its surface runs along the generators of `end`, to the outside of whatever stops it. */
interface Cutter {
  readonly name: string;
  readonly end: EndDefinition;
  readonly edge: OpeningEdge;
  readonly path: JobPath;
  /** Traced already, where the cope left no gap. */
  readonly traced?: CutCurve;
}

/** Every hole of a job: where opened copes meet their runs, and those asked for by themselves. */
export function solveOpenings(solved: Solved): {
  readonly openings: readonly Opening[];
  readonly problems: readonly Problem[];
} {
  const found = [...copeCutters(solved), ...punchCutters(solved)].map((cutter) => openingOf(cutter, solved));
  return {
    openings: found.flatMap(({ opening }) => opening ?? []),
    problems: found.flatMap(({ problems }) => problems),
  };
}

/** The gap of a cope is between branch and run; the hole knows none. */
function copeCutters({ job, ends }: Solved): readonly Cutter[] {
  return job.joints.flatMap((joint) => {
    if (joint.kind !== 'cope' || joint.open === false) return [];
    const end = ends.find(({ joint: name, jointKind }) => name === joint.name && jointKind === 'cope');
    if (!end) return [];
    const { curves, id, flat, ...rest } = end;
    const stops = end.stops.map((stop) => (stop.kind === 'solid' ? { ...stop, gap: 0 } : stop));
    const name = `${end.member.name}-${end.end}`;
    const fits = joint.gap === 0 && joint.open === 'bore';
    return [
      {
        name,
        end: { ...rest, gap: 0, stops },
        edge: joint.open,
        path: joint.path,
        ...(fits ? { traced: curves.inner } : {}),
      },
    ];
  });
}

const punchCutters = ({ job, members }: Solved): readonly Cutter[] =>
  (job.openings ?? []).flatMap((spec) => {
    const run = members.find(({ name }) => name === spec.on);
    return run ? [{ name: spec.name, end: punchEnd(spec, run), edge: 'outside' as const, path: spec.path }] : [];
  });

interface Found {
  readonly opening?: Opening;
  readonly problems: readonly Problem[];
}

function openingOf(cutter: Cutter, { job, members, pieces }: Solved): Found {
  const { end, edge } = cutter;
  const { chordTolerance } = job.shop;
  const surface = edge === 'bore' ? 'inner' : 'outer';
  const outcome = cutter.traced ? { curve: cutter.traced } : traceCurve(end, surface, chordTolerance);
  if (!('curve' in outcome)) return { problems: [misses(cutter, outcome.faults.length / outcome.of)] };
  const { samples } = outcome.curve;
  const stop = end.stops[samples[0]!.stop];
  const run = members.find(({ name }) => name === stop?.id);
  if (!run || samples.some((sample) => sample.stop !== samples[0]!.stop)) return { problems: [acrossSeam(cutter)] };
  const center = pierced(end, run);
  const outside = placedOnRun(samples, run, center);
  const piece = pieces.find(({ member }) => member.name === run.name);
  const past = piece ? pastEnds(outside, piece) : 0;
  if (past > 0) return { problems: [pastRun(cutter, run, past)] };
  const deeper = traceCurve(
    { ...end, stops: end.stops.map((one) => inside(one, sectionAt(run, center.s))) },
    surface,
    chordTolerance,
  );
  const through = 'curve' in deeper ? placedOnRun(deeper.curve.samples, run, center) : undefined;
  const xs = outside.map(({ x }) => x);
  const ys = outside.map(({ y }) => y);
  return {
    opening: {
      name: cutter.name,
      run,
      cutter: end.member,
      end,
      edge,
      center: { ...center, point: onOutside(run, center) },
      outside,
      ...(through ? { inside: through } : {}),
      along: [Math.min(...ys), Math.max(...ys)],
      around: [Math.min(...xs), Math.max(...xs)],
      path: cutter.path,
    },
    problems: [],
  };
}

/** The bore of the run, as a stop: everywhere a wall below its outside. */
const inside = (
  stop: EndDefinition['stops'][number],
  { wall }: { readonly wall: Mm },
): EndDefinition['stops'][number] => (stop.kind === 'solid' ? { ...stop, gap: stop.gap - wall } : stop);

/** Where the axis of the cutter goes through the outside of the run; where it passes beside it, the place nearest to its end. */
function pierced(end: EndDefinition, run: Member): PlaceOnRun {
  const { centerline } = end.member;
  const at = (t: Mm): Vec3 => besideAt(centerline, outward(end, t), 0, 0);
  const stops = end.stops.filter(({ id }) => id === run.name);
  const distanceAt = (t: Mm): Mm => Math.min(...stops.map((stop) => stopDistance(stop, at(t))));
  const hit = traceFirst(distanceAt, {
    from: 0,
    to: centerline.length + reachBeyond(end),
    speed: 1,
    leave: centerline.length,
  });
  const t = hit.kind === 'hit' ? hit.t : hit.kind === 'miss' ? hit.at : centerline.length;
  return placeOnRun(run, at(t));
}

const onOutside = (run: Member, { s, u }: PlaceOnRun): Vec3 => generatorOf(run, u).pointAt(s);

/** How far the hole lies past a cut or a drawn end of its run. */
function pastEnds(samples: readonly OpeningSample[], { member, startEnd, finishEnd }: Piece): Mm {
  const past = samples.map(({ s, u }) => {
    const at = ((u % 1) + 1) % 1;
    const from = startEnd ? curveS(startEnd.curves.outer, at) : 0;
    const to = finishEnd ? curveS(finishEnd.curves.outer, at) : member.centerline.length;
    return Math.max(from - s, s - to);
  });
  return Math.max(...past);
}

const misses = ({ name, end, path }: Cutter, share: number): Problem => ({
  code: 'opening/off-the-run',
  severity: 'error',
  path,
  message: `the opening "${name}" misses ${end.stops.map(({ id }) => `"${id}"`).join(', ')} on ${figure(100 * share)} % of its edge`,
  hint: 'make it smaller, or move it toward the middle of the tube',
  measured: 100 * share,
  limit: 0,
});

const pastRun = ({ name, path }: Cutter, run: Member, past: Mm): Problem => ({
  code: 'opening/off-the-run',
  severity: 'error',
  path,
  message: `the opening "${name}" reaches ${figure(past)} mm past the end of "${run.name}"`,
  hint: `move it, or lengthen "${run.name}"`,
  measured: past,
  limit: 0,
});

const acrossSeam = ({ name, end, path }: Cutter): Problem => ({
  code: 'opening/across-seam',
  severity: 'warning',
  path,
  message: `the opening "${name}" lies over the seam of ${end.stops.map(({ id }) => `"${id}"`).join(', ')}: it is not laid out`,
  hint: 'weld them first and scribe it through the branch, or move the branch off the seam',
});
