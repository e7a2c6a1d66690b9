import type { Job, PlateSpec } from '../../job/job.ts';
import type { MemberLookup } from '../joints/ends.ts';
import type { CutEnd } from '../solution.ts';
import { fillerPlates } from './filler.ts';
import { flangePlate } from './flange.ts';
import { gussetPlate } from './gusset.ts';
import type { PlateOutcome } from './plate.ts';
import { throughPlate } from './through.ts';

/** The flat parts of a job, where the solved layout puts them. */
export function solvePlates(job: Job, memberNamed: MemberLookup, ends: readonly CutEnd[]): PlateOutcome {
  const outcomes = job.plates.map((spec) => plateOf(spec, { job, memberNamed, ends }));
  return {
    plates: outcomes.flatMap(({ plates }) => plates),
    problems: outcomes.flatMap(({ problems }) => problems),
  };
}

function plateOf(
  spec: PlateSpec,
  solved: { readonly job: Job; readonly memberNamed: MemberLookup; readonly ends: readonly CutEnd[] },
): PlateOutcome {
  const { job, memberNamed, ends } = solved;
  switch (spec.kind) {
    case 'through':
      return throughPlate(spec, memberNamed);
    case 'flange':
      return flangePlate(spec, memberNamed, ends);
    case 'gusset':
      return gussetPlate(spec, memberNamed);
    case 'filler': {
      const merge = job.joints.find((joint) => joint.kind === 'merge' && joint.name === spec.merge);
      if (merge?.kind !== 'merge') throw new Error(`internal: merge "${spec.merge}" of a filler was not checked`);
      return fillerPlates(spec, merge, memberNamed);
    }
  }
}
