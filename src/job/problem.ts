import type { Mm } from '../geometry/vector.ts';

export type Severity = 'error' | 'warning';
export type JobPath = readonly (string | number)[];

/**
 * Something wrong with the job: a value, collected with all the others and shown at once. Never thrown.
 * `path` leads to the field in the job file; `at` is its line and column (1-based), known once the text is at hand.
 */
export interface Problem {
  readonly code: ProblemCode;
  readonly severity: Severity;
  readonly path: JobPath;
  readonly at?: { readonly line: number; readonly col: number; readonly width?: number };
  readonly message: string;
  readonly hint?: string;
  readonly measured?: number;
  readonly limit?: number;
}

/** A value, or the problems that stand in its way; warnings may come with a value. */
export interface Outcome<T> {
  readonly value?: T;
  readonly problems: readonly Problem[];
}

/** Every problem code with its one-line meaning; DEVELOPERS.md lists them from here. */
export const PROBLEM_CODES = {
  'yaml/unreadable': 'the text is not YAML 1.2',
  'yaml/too-large': 'the file or a part of it is larger than a job may be',
  'yaml/alias': 'aliases expand beyond the limit',
  'yaml/not-a-map': 'the top of the file is not a map of fields',
  'field/unknown': 'a field we do not know',
  'field/missing': 'a field that must be there',
  'field/wrong-type': 'a value of another kind than the field takes',
  'field/out-of-range': 'a number outside the range of the field',
  'field/unknown-choice': 'a word that is not one of the choices',
  'field/conflict': 'two fields that cannot stand together',
  'field/name': 'a name that cannot be a file name, or is used twice',
  'field/unsupported': 'understood, but not made by this version',
  'unit/unreadable': 'a length or angle that cannot be read',
  'unit/ambiguous': 'a value that could mean two things',
  'set/path': '--set or a variant names a field that is not in the job',
  'reference/unknown': 'a name that is not defined in this job',
  'reference/loop': 'a member that is defined through itself',
  'section/wall': 'wall too thick for the section',
  'section/shape': 'width, height or corner radius that do not make this section',
  'section/measured': 'a measured size far from the nominal one',
  'bend/leg-too-short': 'the straight between two corners is shorter than their setbacks',
  'bend/tighter-than-tube': 'clr below half the width of the tube: the inside of the bend folds',
  'elbow/no-throat': 'the gores of a segmented elbow have no length on the inside',
  'elbow/too-few-welds': 'too few welds for the turn: the cuts would be too steep',
  'bend/measured': 'a measured bend far from the nominal one',
  'bend/grip': 'a straight shorter than the bender needs',
  'bend/tighter-than-bender': 'clr below what the bender makes',
  'bend/corner-straight': 'a corner without a turn, or turning straight back',
  'member/empty': 'a member without length',
  'unknown/no-goal': 'a value to solve with no goal to fix it',
  'unknown/none': 'a goal with nothing to solve, and the layout does not meet it',
  'unknown/too-many': 'more unknowns than goals fix',
  'unknown/no-solution': 'no value meets the goal',
  'unknown/goals-clash': 'goals that cannot be met together',
  'unknown/two-solutions': 'several answers meet the goals and nothing chooses',
  'joint/same-end-twice': 'one end cut by two joints',
  'joint/misses': 'the cut never meets the tube',
  'joint/starts-inside': 'the body of the tube lies inside what should cut its end',
  'joint/grazes': 'a cut that only grazes what it should meet',
  'joint/past-run-end': 'the branch runs past the end of the run',
  'joint/short-of-run': 'the drawn centerline ends before it reaches the run, or runs on past it',
  'joint/branch-larger-than-run': 'the branch is larger than the run',
  'joint/branch-overhangs-run': 'the offset carries the branch past the side of the run',
  'joint/parallel-axes': 'axes that never cross',
  'joint/sections-differ': 'a miter between sections that do not match',
  'joint/re-enters': 'a generator that leaves and re-enters what cuts it',
  'joint/ends-apart': 'ends that should meet lie apart',
  'joint/open-throat': 'the trunk is not covered by the legs: an open area is left',
  'joint/merge-parallel': 'merge members that never meet',
  'opening/off-the-run': 'a hole that does not lie wholly on the member it is in',
  'opening/across-seam': 'a hole that lies over the seam of several members',
  'trim/outside': 'a trim outside the member',
  'trim/too-steep': 'a cut too steep for the tube',
  'layout/members-touch': 'members that overlap where no joint is',
  'layout/clearance': 'members nearer to each other than the job allows',
  'layout/keep-out': 'a member nearer to a keep-out than it allows',
  'layout/mirror-differs': 'a mirror image that is cut differently from its original',
  'stock/too-short': 'a piece longer than the lengths its section is bought in',
  'stock/not-enough': 'more is needed than is on hand',
  'stock/no-bend': 'a piece that no bought bend holds',
  'stock/leg-too-short': 'the legs of the bought bends are too short for a piece',
  'bend/tighter-than-stock': 'a bend tighter than the bends that are bought',
  'piece/nothing-left': 'the cuts at both ends leave no tube',
  'plate/misses': 'a member that does not pass the plane of a plate',
  'plate/in-bend': 'a member that passes a plate in a bend, or where it tapers aslant to it',
  'plate/too-flat': 'a member that leans too far to a plate for a hole',
  'plate/not-flat': 'a plate where no flat one fits',
  'plate/thin': 'too little left of a plate between holes or at its edge',
  'plate/nothing-open': 'a filler where nothing is open',
  'tool/no-cut': 'a tool asked for an end that is not cut',
  'tool/not-flat': 'a tool that needs a flat cut on a curved one',
  'tool/crosses-bend': 'the tool does not fit on the part of the tube it needs',
  'tool/cannot-build': 'the tool cannot be built as asked',
  'tool/cannot-insert': 'the tube cannot go into the tool',
  'tool/larger-than-bed': 'the tool is larger than the printer bed',
  'tool/no-room': 'no place on a tube is free for what the tool needs there',
  'tool/duplicate-name': 'two tools with one name',
  'material/unknown': 'a material whose figures are asked for and not known',
  'saw/unknown': 'no saw by that name',
  'proof/not-closed': 'the mesh is not closed or not oriented',
  'proof/degenerate': 'triangles without area',
  'proof/shells': 'wrong number of separate bodies',
  'proof/volume': 'the volume differs from what was built',
  'proof/bed': 'the part does not lie on or fit the bed',
  'proof/overlap': 'the tube does not go in without touching',
  'proof/clearance': 'the clearance between tool and tube is not as asked',
  'proof/edge': 'the working edge is not on the cut',
  'proof/slot': 'the blade slot is not at the cut, or not open for the blade',
  'proof/datum': 'the face the tool registers on is not where it should be',
  'proof/skin': 'the outside of a stand-in is not that of the tube',
  'proof/bore': 'the hole of a drill guide is not where it should be',
  'proof/kept-side': 'the blade would touch the kept side',
  'proof/thin-wall': 'a wall thinner than can be printed',
  'proof/overhang': 'an overhang that needs support',
  'proof/heat': 'the print comes nearer to a seam than the heat distance',
  'proof/joined': 'parts that stand together overlap, do not hold each other or do not come together',
  'output/exists': 'a file we did not make is in the way',
  'output/unwritable': 'the output cannot be written',
  'output/unsafe-name': 'a name that would leave the output folder',
  'tools/none': 'no tool matches',
} as const;

export type ProblemCode = keyof typeof PROBLEM_CODES;

export const hasErrors = (problems: readonly Problem[]): boolean => problems.some((p) => p.severity === 'error');

/** Number for a message: at most four decimals, no trailing zeros. */
export function figure(x: Mm): string {
  if (!Number.isFinite(x)) return String(x);
  const text = x.toFixed(Math.abs(x) >= 100 ? 2 : 3);
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text;
}
