import { atan2d, toDegrees } from '../geometry/angle.ts';
import { type BendSegment, type Centerline, frameAt, segmentAt } from '../geometry/centerline.ts';
import { sideDistance } from '../geometry/distance.ts';
import { directionToLocal } from '../geometry/frame.ts';
import { CORNER_LAP, FLAT_CUT, SAME_PLACE } from '../geometry/tolerance.ts';
import { traceFirst, traceNear } from '../geometry/trace.ts';
import { cross, type Deg, dot, length, type Mm, scale, sub, unit, type Vec3 } from '../geometry/vector.ts';
import type { Plane } from '../job/job.ts';
import { figure, type Outcome, type Problem } from '../job/problem.ts';
import { faultProblem } from './curve-fault.ts';
import { traceCurve } from './cut-curve.ts';
import { outward, reachBeyond, stopDistance } from './generator.ts';
import type { CutCurve, CutEnd, CutSample, EndDefinition, FlatCut, Surface } from './solution.ts';

/** Which curves of an end to trace besides the outer and the inner one, and how finely. */
export interface Tracing {
  readonly chordTolerance: Mm;
  /** The square curve takes as long as the other two together, and few tools follow it. */
  readonly square: boolean;
}

/** Trace the surfaces of an end and measure what the shop needs: angle, place, long and short point. */
export function cutEnd(definition: EndDefinition, { chordTolerance, square: withSquare }: Tracing): Outcome<CutEnd> {
  const id = `${definition.member.name}.${definition.end}`;
  const curves: Partial<Record<Surface, CutCurve>> = {};
  for (const surface of ['outer', 'inner', ...(withSquare ? (['square'] as const) : [])] as const) {
    const { outer } = curves;
    if (outer && definition.outsideDecides) {
      curves[surface] = { ...outer, surface };
      continue;
    }
    const outcome = traceCurve(definition, surface, chordTolerance);
    if ('faults' in outcome) return { problems: [faultProblem(definition, { surface, ...outcome })] };
    curves[surface] = outcome.curve;
  }
  const { outer, inner, square } = curves;
  if (!outer || !inner) throw new Error('internal: a surface was not traced');
  const problems = pastRunEnd(definition, outer);
  const extremes = outer.samples.map((sample) => outward(definition, sample.s));
  const all = [...outer.samples, ...inner.samples].map((sample) => sample.s);
  const flat = flatCut(definition, { outer, inner });
  const line = definition.member.centerline;
  const segments = { first: segmentIndex(line, Math.min(...all)), last: segmentIndex(line, Math.max(...all)) };
  const bend = bendOf(definition, segments, flat);
  return {
    value: {
      ...definition,
      id,
      curves: { outer, inner, ...(square ? { square } : {}) },
      ...(flat ? { flat } : {}),
      segments,
      ...(bend ? { bend } : {}),
      longPoint: outward(definition, Math.max(...extremes)),
      shortPoint: outward(definition, Math.min(...extremes)),
    },
    problems,
  };
}

const segmentIndex = (line: Centerline, s: Mm): number => line.segments.indexOf(segmentAt(line, s));

/** Where the cut's plane meets the centerline, and how it stands to it there; none for a curved cut. */
function flatCut(
  definition: EndDefinition,
  curves: { readonly outer: CutCurve; readonly inner: CutCurve },
): FlatCut | undefined {
  const plane = planeOf(definition, [...curves.outer.samples, ...curves.inner.samples]);
  if (!plane) return undefined;
  const stop = { kind: 'plane', id: 'cut', ...plane } as const;
  const line = definition.member.centerline;
  const distanceAt = (t: Mm): Mm => stopDistance(stop, frameAt(line, outward(definition, t)).origin);
  const range = { from: 0, to: line.length + reachBeyond(definition), speed: 1, leave: line.length };
  const near = definition.near === undefined ? undefined : outward(definition, definition.near);
  const hit = near === undefined ? traceFirst(distanceAt, range) : traceNear(distanceAt, near, range);
  if (hit.kind !== 'hit') return undefined;
  const s = outward(definition, hit.t);
  const frame = frameAt(line, s);
  const out = scale(frame.heading, definition.end === 'end' ? 1 : -1);
  const local = directionToLocal(frame, stop.normal);
  // An arccosine alone makes 1e-6 deg of the rounding in a square cut.
  const miterDeg = snapDeg(atan2d(Math.hypot(local[0], local[1]), dot(out, stop.normal)));
  const longPointDeg = miterDeg === 0 ? 0 : snapDeg((toDegrees(Math.atan2(-local[0], -local[1])) + 360) % 360) % 360;
  return { plane: { point: stop.point, normal: stop.normal }, s, miterDeg, longPointDeg };
}

/** The plane that stops the end, or the flat side of a run that the whole cut lies on. */
function planeOf(definition: EndDefinition, samples: readonly CutSample[]): Plane | undefined {
  const only = definition.stops.length === 1 ? definition.stops[0] : undefined;
  if (only?.kind === 'plane') return { point: only.point, normal: only.normal };
  if (definition.jointKind !== 'cope' || samples.some((sample) => sample.stop !== samples[0]!.stop)) return undefined;
  const [p, q, r] = [0, 1 / 3, 2 / 3].map((u) => samples.find((sample) => sample.u >= u)!.point) as [Vec3, Vec3, Vec3];
  const across = cross(sub(q, p), sub(r, p));
  if (!(length(across) > SAME_PLACE)) return undefined;
  const normal = unit(across);
  if (samples.some((sample) => Math.abs(dot(sub(sample.point, p), normal)) > FLAT_CUT)) return undefined;
  const heading = frameAt(definition.member.centerline, samples[0]!.s).heading;
  const out = dot(normal, heading) * (definition.end === 'end' ? 1 : -1) > 0;
  return { point: p, normal: out ? normal : scale(normal, -1) };
}

/** Rounding noise off an angle that the job gave as a round number (1e-9 deg is 1e-9 mm at 60 mm). */
const snapDeg = (deg: Deg): Deg => {
  const round = Math.round(deg * 1e6) / 1e6;
  return Math.abs(deg - round) < 3e-7 ? round : deg;
};

function bendOf(definition: EndDefinition, segments: CutEnd['segments'], flat: FlatCut | undefined): CutEnd['bend'] {
  if (segments.first !== segments.last) return undefined;
  const line = definition.member.centerline;
  const segment = line.segments[segments.first];
  if (segment?.kind !== 'bend') return undefined;
  const bends = line.segments.filter((x): x is BendSegment => x.kind === 'bend');
  const s = flat?.s ?? (definition.end === 'end' ? line.length : 0);
  const into = definition.end === 'end' ? s - segment.s0 : segment.s0 + segment.length - s;
  return {
    index: bends.indexOf(segment),
    segment,
    intoBendDeg: snapDeg((into / segment.length) * segment.bendAngleDeg),
  };
}

/** A sample on the square end face of a run (not a merge trunk) means the branch hangs over the end of it. */
function pastRunEnd(definition: EndDefinition, curve: CutCurve): readonly Problem[] {
  if (definition.jointKind !== 'cope') return [];
  for (const sample of curve.samples) {
    const stop = definition.stops[sample.stop];
    if (stop?.kind !== 'solid') continue;
    const off = Math.abs(sideDistance(stop.solid, sample.point) - stop.gap);
    // Runs that meet in a corner lap: on its outside a hair of each one's end stands out of the other.
    if (off < 1e-5 + (definition.stops.length > 1 ? CORNER_LAP : 0)) continue;
    return [
      {
        code: 'joint/past-run-end',
        severity: 'error',
        path: definition.path,
        message: `branch "${definition.member.name}" runs over the end of "${stop.id}": ${figure(off)} mm of it meets the end face, not the tube`,
        hint: `lengthen "${stop.id}" past the branch, or move the branch`,
        measured: off,
        limit: 0,
      },
    ];
  }
  return [];
}
