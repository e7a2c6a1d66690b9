import { turnDeg } from '../geometry/angle.ts';
import { type Centerline, centerlineFrom, type RunStep } from '../geometry/centerline.ts';
import { frameFrom } from '../geometry/frame.ts';
import { type Deg, unit } from '../geometry/vector.ts';
import type { RunItem, RunMember, ToSolve } from '../job/job.ts';

function known(value: number | ToSolve): number {
  if (typeof value !== 'number') throw new Error('internal: a number of a run is still to solve');
  return value;
}

/** Centerline of a run whose unknowns are all known. */
export function runCenterline(spec: RunMember, run: readonly RunItem[]): Centerline {
  const steps: RunStep[] = [];
  let plane: Deg = 0;
  for (const item of run) {
    if (item.kind === 'straight') {
      const length = known(item.length);
      if (length > 0) steps.push({ kind: 'straight', length });
      continue;
    }
    if (item.kind === 'taper') {
      const { from, to } = item.sections;
      steps.push({ kind: 'taper', length: item.length, from, to, shift: item.shift });
      continue;
    }
    const [bendAngleDeg, side] = [known(item.bendAngleDeg), known(item.toward.deg)];
    plane = turnDeg(item.toward.kind === 'toward' ? side : plane + side);
    if (bendAngleDeg > 0)
      steps.push({
        kind: 'bend',
        clr: item.clr,
        bendAngleDeg,
        towardDeg: plane,
        ...(item.elbow ? { elbow: item.elbow } : {}),
        ...(item.nominal ? { nominal: item.nominal } : {}),
      });
  }
  const start = frameFrom(spec.start.at, unit(spec.start.heading), spec.start.up);
  return steps.length > 0 ? centerlineFrom(start, steps) : { segments: [], length: 0, end: start };
}
