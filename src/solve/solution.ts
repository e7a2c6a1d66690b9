import type { BendSegment, Centerline } from '../geometry/centerline.ts';
import type { SweptSolid } from '../geometry/distance.ts';
import type { Section } from '../geometry/section.ts';
import type { Deg, Mm, Vec3 } from '../geometry/vector.ts';
import type { Job, MemberSpec, OpeningEdge, Plane } from '../job/job.ts';
import type { JobPath } from '../job/problem.ts';
import type { HeatGrowth } from './heat-growth.ts';
import type { StockPlan } from './nesting/nesting.ts';
import type { Plate } from './plates/plate.ts';

/** The job solved: numbers, frames and curves, never solids. */
export interface Solution {
  /** With the names of members that have elbows carried over to their pieces, and a miter for each weld. */
  readonly job: Job;
  readonly members: readonly Member[];
  readonly ends: readonly CutEnd[];
  readonly merges: readonly MergeReport[];
  readonly elbows: readonly Elbow[];
  readonly openings: readonly Opening[];
  readonly pieces: readonly Piece[];
  /** How near the tubes come to each keep-out of the job. */
  readonly keepOut: readonly KeepOutReport[];
  readonly plates: readonly Plate[];
  /** How the pieces come out of what is bought, for the sections whose stock the job names. */
  readonly stock: readonly StockPlan[];
  /** How much the pieces grow by the rise in temperature that the job names. */
  readonly heat: readonly HeatGrowth[];
}

/** The member that comes nearest to a keep-out. */
export interface KeepOutReport {
  readonly name: string;
  /** Least distance that the job allows. */
  readonly wanted: Mm;
  /** Negative where the member reaches in. */
  readonly nearest: { readonly member: string; readonly distance: Mm; readonly at: Vec3 };
}

/** A section carried along its centerline, drawn from work point to work point. */
export interface Member {
  readonly name: string;
  readonly spec: MemberSpec;
  readonly section: Section;
  readonly nominal: Section;
  readonly material?: string;
  readonly centerline: Centerline;
  readonly mirrorOf?: string;
  /** Values that were `solve` in the file, with what meets the goals. */
  readonly solved: readonly SolvedValue[];
  /** How they were come by; absent where nothing was to solve. */
  readonly solving?: Solving;
}

export interface SolvedValue {
  readonly path: JobPath;
  /** "straight in run item 3". */
  readonly what: string;
  readonly value: number;
  readonly unit: 'mm' | 'deg';
}

/** What a person must know of an answer before cutting: whether there are others, and what was tried. */
export interface Solving {
  /** It was the only answer; the nearest to what the file says; or of several the one with the least bend in all. */
  readonly by: 'only one' | 'near' | 'least bend';
  /** Answers that meet the goals too, in the order in which they would be taken. */
  readonly others: readonly { readonly solved: readonly SolvedValue[]; readonly developedLength: Mm }[];
  /** Choices from stock that did not do. */
  readonly tried: readonly { readonly choice: string; readonly why: string }[];
  /** What the file says of the answer: "bend angle in run item 2 near 45 deg". */
  readonly wanted: readonly string[];
}

export type Surface = 'outer' | 'inner' | 'square';
export type EndName = 'start' | 'end';

/** What a cut runs up to. A plane's normal points away from the body; a gap is already taken off. */
export type Stop =
  | { readonly kind: 'plane'; readonly id: string; readonly point: Vec3; readonly normal: Vec3 }
  | { readonly kind: 'solid'; readonly id: string; readonly solid: SweptSolid; readonly gap: Mm };

/** Everything that fixes one cut end, before any curve is traced. */
export interface EndDefinition {
  readonly member: Member;
  readonly end: EndName;
  readonly joint: string;
  readonly jointKind: 'miter' | 'cope' | 'merge' | 'trim' | 'butt' | 'plain';
  readonly gap: Mm;
  /** How much longer it is cut for what its weld draws in; already in the stops. */
  readonly shrink?: Mm;
  readonly stops: readonly Stop[];
  /** Arc length where a flat cut was asked for: of several places where its plane meets the tube, the one that leads there. */
  readonly near?: Mm;
  /** The outside decides the cut for every surface: inside a merge's trunk the legs are gone, and their drawn ends stop nothing. */
  readonly outsideDecides?: true;
  readonly path: JobPath;
}

/** A cut end with its curves. */
export interface CutEnd extends EndDefinition {
  /** `member.end`, as the job file names it. */
  readonly id: string;
  /** The square curve is there where a tool of the job follows it. */
  readonly curves: { readonly outer: CutCurve; readonly inner: CutCurve; readonly square?: CutCurve };
  /** Set when every generator meets the same single plane. */
  readonly flat?: FlatCut;
  /** Where the cut lies: wholly on one straight or bend, or across several segments. */
  readonly segments: { readonly first: number; readonly last: number };
  /** The bend the whole cut lies in, with how far in, if it does. */
  readonly bend?: { readonly index: number; readonly segment: BendSegment; readonly intoBendDeg: Deg };
  /** Extremes of the outer curve, as s from the member's start: a long point at `start` has the lower s. */
  readonly longPoint: Mm;
  readonly shortPoint: Mm;
}

export interface FlatCut {
  readonly plane: Plane;
  /** Where the plane meets the centerline. */
  readonly s: Mm;
  /** From a square cut. */
  readonly miterDeg: Deg;
  /** Side of the long point, degrees clockwise from up looking along the member's heading there; 0 when square. */
  readonly longPointDeg: Deg;
}

/** s(u) of one surface, closed: samples in increasing u in [0, 1). */
export interface CutCurve {
  readonly surface: Surface;
  readonly samples: readonly CutSample[];
}

export interface CutSample {
  readonly u: number;
  /** Arc length along the centerline from the member's start. */
  readonly s: Mm;
  /** Depth below the outside that decides: 0 outer, wall inner, in between or either for square. */
  readonly depth: Mm;
  readonly point: Vec3;
  /** Index into the end's stops. */
  readonly stop: number;
}

export interface MergeReport {
  readonly joint: string;
  readonly legs: readonly string[];
  readonly trunk: string;
  /** Bore areas, mm^2. */
  readonly legArea: number;
  readonly trunkArea: number;
  /** Trunk bore over the sum of the legs' bores. */
  readonly ratio: number;
  /** Areas of the trunk's start left open by the legs, largest first, mm^2; empty when the legs cover it. */
  readonly cusps: readonly { readonly area: number; readonly at: Vec3 }[];
  /** Moving the trunk's start by this along its heading leaves the least open area. */
  readonly bestShift: { readonly shift: Mm; readonly area: number };
}

/** A turn welded up of straight pieces. */
export interface Elbow {
  readonly name: string;
  /** As the job file names it; the pieces are members of their own. */
  readonly member: string;
  readonly section: Section;
  readonly clr: Mm;
  readonly bendAngleDeg: Deg;
  /** Side it turns to, degrees clockwise from up, looking along the heading; the same on every piece. */
  readonly towardDeg: Deg;
  readonly welds: number;
  readonly gap: Mm;
  /** End piece, middle pieces, end piece, by name; one more than welds. */
  readonly pieces: readonly string[];
  readonly path: JobPath;
}

/** A hole in a member: where an opened cope meets its run, or one asked for by itself. */
export interface Opening {
  /** What makes it: `branch-end`, or its own name. */
  readonly name: string;
  readonly run: Member;
  /** The branch, or a bar of the hole's shape; its generators run along the walls of the hole. */
  readonly cutter: Member;
  readonly end: EndDefinition;
  /** Surface of the cutter that makes the hole. */
  readonly edge: OpeningEdge;
  /** Where the cutter's axis goes through the outside of the run. */
  readonly center: { readonly s: Mm; readonly u: number; readonly point: Vec3 };
  /** Edge on the outside of the run, closed. */
  readonly outside: readonly OpeningSample[];
  /** Where the same lines go through the run's bore; absent where the hole does not open into it all round. */
  readonly inside?: readonly OpeningSample[];
  /** Reach of the outside edge from the center, along the run and round it: negative first. */
  readonly along: readonly [Mm, Mm];
  readonly around: readonly [Mm, Mm];
  readonly path: JobPath;
}

export interface OpeningSample {
  /** Of the cutter's outline. */
  readonly v: number;
  /** On the run; u goes on past 0 and 1 where the hole lies over the witness line. */
  readonly s: Mm;
  readonly u: number;
  /** From the center: round the outside clockwise looking along, and along the run's own line toward its end. */
  readonly x: Mm;
  readonly y: Mm;
  readonly point: Vec3;
}

/** One piece of tube to cut; lengths along the centerline, between the extreme outside generators of its two ends. */
export interface Piece {
  readonly member: Member;
  /** Absent where that end stays as it comes, square at the drawn end. */
  readonly startEnd?: CutEnd;
  readonly finishEnd?: CutEnd;
  readonly longLength: Mm;
  readonly shortLength: Mm;
  /** s of the long points. */
  readonly from: Mm;
  readonly to: Mm;
}
