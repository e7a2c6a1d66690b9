import { type Centerline, centerlineFrom, type RunStep } from '../geometry/centerline.ts';
import { frameFrom } from '../geometry/frame.ts';
import { type Deg, unit } from '../geometry/vector.ts';
import type { RunItem, RunMember } from '../job/job.ts';

/** Centerline of a run whose unknowns are all known. */
export function runCenterline(spec: RunMember, run: readonly RunItem[]): Centerline {
  const steps: RunStep[] = [];
  let plane: Deg = 0;
  for (const item of run) {
    if (item.kind === 'straight') {
      if (item.length === 'solve') throw new Error('internal: a straight is still to solve');
      if (item.length > 0) steps.push({ kind: 'straight', length: item.length });
      continue;
    }
    if (item.bendAngleDeg === 'solve') throw new Error('internal: a bend is still to solve');
    plane = (((item.toward.kind === 'toward' ? item.toward.deg : plane + item.toward.deg) % 360) + 360) % 360;
    if (item.bendAngleDeg > 0)
      steps.push({
        kind: 'bend',
        clr: item.clr,
        bendAngleDeg: item.bendAngleDeg,
        towardDeg: plane,
        ...(item.elbow ? { elbow: item.elbow } : {}),
      });
  }
  const start = frameFrom(spec.start.at, unit(spec.start.heading), spec.start.up);
  return steps.length > 0 ? centerlineFrom(start, steps) : { segments: [], length: 0, end: start };
}
