import type { CopeJoint, Job, JointSpec, MergeJoint } from '../job/job.ts';
import { hasErrors, type Outcome, type Problem } from '../job/problem.ts';
import { cutEnd, type Tracing } from './cut-end.ts';
import { weldUpElbows } from './elbows.ts';
import { heatGrowths } from './heat.ts';
import { copeEnd } from './joints/cope.ts';
import type { JointOutcome, MemberLookup } from './joints/ends.ts';
import { mergeEnds } from './joints/merge.ts';
import { miterEnds } from './joints/miter.ts';
import { buttEnds, trimEnd } from './joints/trim.ts';
import { layOut } from './layout.ts';
import { layoutChecks } from './layout-checks.ts';
import { stockPlans } from './nesting/plan.ts';
import { solveOpenings } from './openings.ts';
import { cutPieces } from './pieces.ts';
import { solvePlates } from './plates/plates.ts';
import { lengthened } from './shrink.ts';
import type { CutEnd, EndDefinition, Member, Solution } from './solution.ts';
import { mergeReport } from './throat.ts';

/** Cut ends traced before, by everything that they follow from; kept by whoever solves nearly the same job again and again. */
export interface KnownCuts {
  readonly recall: (key: string) => CutEnd | undefined;
  readonly keep: (key: string, end: CutEnd) => void;
}

/** Solve a checked job: lay out the members, define every cut end, trace its curves, measure the pieces. */
export function solveJob(given: Job, known?: KnownCuts): Outcome<Solution> {
  const layout = layOut(given);
  if (hasErrors(layout.problems)) return { problems: layout.problems };
  const welded = weldUpElbows(given, layout.value ?? []);
  if (!welded.value || hasErrors(welded.problems)) return { problems: [...layout.problems, ...welded.problems] };
  const { job, members, elbows } = welded.value;
  const defined = defineEnds(job, members);
  const cut = cutEnds(job, defined.ends, known);
  const pieces = cutPieces(members, cut.ends);
  const plates = solvePlates(job, lookup(members), cut.ends);
  const merges = job.joints.flatMap((joint) => (joint.kind === 'merge' ? mergeReport(joint, lookup(members)) : []));
  const problems = [
    ...layout.problems,
    ...defined.problems,
    ...cut.problems,
    ...pieces.problems,
    ...plates.problems,
    // What a filler closes need not be told.
    ...merges.filter(({ report }) => !isFilled(job, report.joint)).flatMap((merge) => merge.problems),
  ];
  if (hasErrors(problems)) return { problems };
  const holes = solveOpenings({ job, members, ends: cut.ends, pieces: pieces.pieces });
  problems.push(...holes.problems);
  if (hasErrors(problems)) return { problems };
  const checks = layoutChecks(job, pieces.pieces);
  const stock = stockPlans(job, pieces.pieces);
  const heat = heatGrowths(job, pieces.pieces);
  problems.push(...checks.problems, ...stock.problems, ...heat.problems);
  if (hasErrors(problems)) return { problems };
  return {
    value: {
      job,
      members,
      ends: cut.ends,
      merges: merges.map((merge) => merge.report),
      elbows,
      openings: holes.openings,
      pieces: pieces.pieces,
      keepOut: checks.keepOut,
      plates: plates.plates,
      stock: stock.plans,
      heat: heat.growths,
    },
    problems,
  };
}

const isFilled = (job: Job, joint: string): boolean =>
  job.plates.some((plate) => plate.kind === 'filler' && plate.merge === joint);

const lookup =
  (members: readonly Member[]): MemberLookup =>
  (name) =>
    members.find((member) => member.name === name);

/** Flat cuts first: a cope or merge may have to know where its run was cut off. */
function defineEnds(job: Job, members: readonly Member[]): JointOutcome {
  const memberNamed = lookup(members);
  const flats = job.joints.map((joint) => flatEnds(joint, memberNamed));
  const flatDefinitions = flats.flatMap((outcome) => outcome.ends);
  const shaped = job.joints.map((joint) => shapedEnds(joint, memberNamed, flatDefinitions));
  return {
    ends: lengthened([...flatDefinitions, ...shaped.flatMap((outcome) => outcome.ends)], job.joints),
    problems: [...flats, ...shaped].flatMap((outcome) => outcome.problems),
  };
}

function flatEnds(joint: JointSpec, memberNamed: MemberLookup): JointOutcome {
  if (joint.kind === 'miter') return miterEnds(joint, memberNamed);
  if (joint.kind === 'trim') return trimEnd(joint, memberNamed);
  if (joint.kind === 'butt') return buttEnds(joint, memberNamed);
  return { ends: [], problems: [] };
}

function shapedEnds(
  joint: CopeJoint | MergeJoint | JointSpec,
  memberNamed: MemberLookup,
  flats: readonly EndDefinition[],
): JointOutcome {
  if (joint.kind === 'cope') return copeEnd(joint, memberNamed, flats);
  if (joint.kind === 'merge') return mergeEnds(joint, memberNamed);
  return { ends: [], problems: [] };
}

function cutEnds(
  job: Job,
  definitions: readonly EndDefinition[],
  known: KnownCuts | undefined,
): { readonly ends: readonly CutEnd[]; readonly problems: readonly Problem[] } {
  const { chordTolerance } = job.shop;
  const outcomes = definitions.map((definition) => {
    const tracing = { chordTolerance, square: asksSquare(job, definition) };
    return known ? knownOrTraced(definition, tracing, known) : cutEnd(definition, tracing);
  });
  return {
    ends: outcomes.flatMap((outcome) => outcome.value ?? []),
    problems: outcomes.flatMap((outcome) => outcome.problems),
  };
}

/** A cut end that was traced before, from the very same definition, with the places in the file as they are now. */
function knownOrTraced(definition: EndDefinition, tracing: Tracing, known: KnownCuts): Outcome<CutEnd> {
  const key = JSON.stringify([definition, tracing], (name, value) => (name === 'path' ? undefined : value));
  const before = known.recall(key);
  if (before) return { value: { ...before, ...definition }, problems: [] };
  const outcome = cutEnd(definition, tracing);
  if (outcome.value && outcome.problems.length === 0) known.keep(key, outcome.value);
  return outcome;
}

/** Whether a tool of the job follows the edge cut square to the wall at this end. */
const asksSquare = ({ tools }: Job, { member, end }: EndDefinition): boolean =>
  tools !== 'auto' &&
  tools.some(
    (tool) => 'surface' in tool && tool.surface === 'square' && tool.end.member === member.name && tool.end.end === end,
  );
