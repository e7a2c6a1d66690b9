import type { NominalBend } from '../geometry/centerline.ts';
import type { Section } from '../geometry/section.ts';
import type { Deg, Mm, Vec2, Vec3 } from '../geometry/vector.ts';
import type { AngleBlockSpec, BenchToolSpec } from './bench-tools.ts';
import type { FitUpCradleSpec } from './fit-up.ts';
import type { KeepOut } from './keep-out.ts';
import type { MeasuredBend } from './measured-bend.ts';
import type { OpeningEdge, OpeningGaugeSpec, OpeningSpec } from './opening.ts';
import type { JobPath } from './problem.ts';
import type { StockSpec } from './stock.ts';
import type { TaperItem } from './taper-item.ts';

export type { OpeningEdge, OpeningGaugeSpec, OpeningShape, OpeningSpec } from './opening.ts';
export type { TaperItem } from './taper-item.ts';

/** A job as read and checked field by field: all lengths mm, all angles degrees, every default filled in. */
export interface Job {
  readonly name: string;
  readonly about?: string;
  /** What a bare number in the file meant, and what people read on labels and tables. */
  readonly units: 'mm' | 'in';
  readonly shop: Shop;
  readonly sections: readonly SectionSpec[];
  readonly members: readonly MemberSpec[];
  readonly joints: readonly JointSpec[];
  readonly tools: 'auto' | readonly ToolSpec[];
  /** The list holds the word `auto` too: cut ends that it names no tool for get what suits them. */
  readonly restAuto?: true;
  /** What the tubes must stay clear of. */
  readonly keepOut?: readonly KeepOut[];
  /** Holes that no branch makes. */
  readonly openings?: readonly OpeningSpec[];
  /** Least distance between members that no joint joins; touching is all that is looked for where it is absent. */
  readonly clearance?: Mm;
  readonly plates: readonly PlateSpec[];
  /** Degrees C by which the assembly gets hotter than it is welded up at. */
  readonly heatRise?: number;
  /** What is bought of each section, where the file says. */
  readonly stock?: readonly StockSpec[];
}

/** Everything that points back into the file carries its path, so that later stages can name line and column. */
export interface Located {
  readonly path: JobPath;
}

export interface Shop {
  readonly printer: Printer;
  readonly fit: Fit;
  readonly saws: readonly Saw[];
  /** Name of the saw used where a tool names none. */
  readonly saw: string;
  /** Printed wall of sleeves and cradles. */
  readonly wall: Mm;
  /** Strap or cable tie that holds the tool to the tube: width and room for its thickness. */
  readonly strap: { readonly width: Mm; readonly thickness: Mm };
  /** Engrave names, numbers and the kept-side arrow on the printed parts. */
  readonly labels: boolean;
  /** Largest distance between a printed facet and the true curve. */
  readonly chordTolerance: Mm;
  /** What the tube bender can do; absent when bends are bought or not checked. */
  readonly bender?: Bender;
}

/** Least straights a bender needs and the tightest bend it makes; what is absent is not checked. */
export interface Bender {
  /** Straight before the first bend. */
  readonly first?: Mm;
  readonly between?: Mm;
  /** Straight behind the last bend. */
  readonly last?: Mm;
  readonly clr?: Mm;
}

export interface Printer {
  /** Usable bed: x, y and height. */
  readonly bed: readonly [Mm, Mm, Mm];
  readonly nozzle: Mm;
  readonly layer: Mm;
  readonly material: 'pla' | 'petg' | 'abs' | 'asa' | 'pa' | 'pc' | 'resin';
}

/** Radial clearances between print and tube. */
export interface Fit {
  /** Sleeves that slip on, cradles the tube drops into. */
  readonly slide: Mm;
}

export interface Saw {
  readonly name: string;
  /** vertical-band: the blade stands up, the work slides on a table. top-down: the blade comes down on the work. */
  readonly kind: 'vertical-band' | 'top-down';
  /** Width the blade takes. */
  readonly kerf: Mm;
  /** Thickness of the blade's body. */
  readonly blade: Mm;
  /** Added to the blade thickness for the slot, in all. */
  readonly clearance: Mm;
}

export interface SectionSpec extends Located {
  readonly name: string;
  /** As ordered, from the nominal size. */
  readonly nominal: Section;
  /** What the tools follow: nominal with what calipers said put over it. */
  readonly actual: Section;
  readonly material?: string;
  /** g/cm3, where the file gives it. */
  readonly density?: number;
  /** 1e-6 per degree C, where the file gives it. */
  readonly expansion?: number;
}

export type MemberSpec = RunMember | PointsMember | MirrorMember;

interface MemberBase extends Located {
  readonly name: string;
}

export interface RunMember extends MemberBase {
  readonly kind: 'run';
  readonly section: string;
  readonly start: Start;
  readonly run: readonly RunItem[];
  /** What the unknowns in the run must achieve; empty when nothing is to solve. */
  readonly goals: readonly Goal[];
}

export interface Start {
  readonly at: Vec3;
  readonly heading: Vec3;
  /** Which way the witness line lies; chosen by us when the file is silent. */
  readonly up?: Vec3;
}

/** A number left to the goals of its member. */
export interface ToSolve {
  readonly kind: 'solve';
  /** All of one name in a member are one number. */
  readonly name?: string;
  /** Of several answers, the nearest to this is taken. */
  readonly near?: number;
  /** Only answers within; a side of the tube counts clockwise from the first to the second. */
  readonly between?: readonly [number, number];
  /** Only one of these will do. */
  readonly oneOf?: readonly number[];
}

export type RunItem = StraightItem | BendItem | TaperItem;

export interface StraightItem extends Located {
  readonly kind: 'straight';
  readonly length: Mm | ToSolve;
}

export interface BendItem extends Located {
  readonly kind: 'bend';
  /** Actual, where calipers and protractor were used, as is the angle. */
  readonly clr: Mm;
  readonly bendAngleDeg: Deg | ToSolve;
  /**
   * Which way it turns, in degrees clockwise from up, looking along the heading: up 0, right 90, down 180, left 270.
   * `planeOfBendDeg` instead is the turn from the plane of the bend before (the first bend counts from up).
   */
  readonly toward:
    | { readonly kind: 'toward'; readonly deg: Deg | ToSolve }
    | { readonly kind: 'plane-of-bend'; readonly deg: Deg | ToSolve };
  /** What was asked of the bender, where the bend was measured. */
  readonly nominal?: NominalBend;
  /** An `elbow` item: the turn is welded up of straight pieces, one more than it has welds. */
  readonly elbow?: { readonly welds: number; readonly gap: Mm };
}

export interface PointsMember extends MemberBase {
  readonly kind: 'points';
  readonly section: string;
  readonly points: readonly Vec3[];
  /** clr at each inner corner, points.length - 2 of them. */
  readonly clrs: readonly Mm[];
  readonly up?: Vec3;
  readonly measured: readonly MeasuredBend[];
}

export interface MirrorMember extends MemberBase {
  readonly kind: 'mirror';
  readonly of: string;
  readonly across: Plane;
  /** Bends of the image that came out otherwise than the original's. */
  readonly measured: readonly MeasuredBend[];
}

export interface Plane {
  readonly point: Vec3;
  readonly normal: Vec3;
}

/** What a member must reach, at its end or behind an item of its run. */
export type Goal = GoalBase &
  (
    | { readonly kind: 'on-plane'; readonly plane: Plane }
    | { readonly kind: 'on-line'; readonly point: Vec3; readonly direction: Vec3 }
    | { readonly kind: 'on-point'; readonly point: Vec3 }
    /** On the axis of a straight of another member. */
    | ({ readonly kind: 'on-axis' } & AxisOf)
    | { readonly kind: 'heading'; readonly heading: Vec3 }
    /** The witness line lies on this side, as nearly as the heading lets it. */
    | { readonly kind: 'up'; readonly up: Vec3 }
    /** The place lies in the plane and the heading along it. */
    | { readonly kind: 'in-plane'; readonly plane: Plane }
    | ({ readonly kind: 'parallel-to' } & AxisOf)
    /** Between the heading and the heading of another member's straight, 0 to 180. */
    | ({ readonly kind: 'angle-to'; readonly angleDeg: Deg } & AxisOf)
    /** Distance from the axis of another member's straight. */
    | ({ readonly kind: 'spacing'; readonly distance: Mm } & AxisOf)
    | { readonly kind: 'developed-length'; readonly length: Mm }
  );

interface GoalBase extends Located {
  /** How many items of the run lie before the place that is meant; all when absent. */
  readonly after?: number;
}

interface AxisOf {
  readonly member: string;
  /** Which of its straights, counted from 1; the longest when absent. */
  readonly straight?: number;
}

export interface EndRef extends Located {
  readonly member: string;
  readonly end: 'start' | 'end';
}

interface JointBase extends Located {
  readonly name: string;
  /** Weld gap left between the parts. */
  readonly gap: Mm;
  /** What the weld draws in, added to the lengths of the parts. */
  readonly shrink?: Mm;
}

export type JointSpec = MiterJoint | CopeJoint | MergeJoint | ButtJoint | TrimJoint;

export interface MiterJoint extends JointBase {
  readonly kind: 'miter';
  readonly ends: readonly [EndRef, EndRef];
  /** Given plane; without it the plane that bisects the two axes. */
  readonly plane?: Plane;
}

export interface CopeJoint extends JointBase {
  readonly kind: 'cope';
  readonly branch: EndRef;
  /** One member, or several when the branch ends in a corner where more than one stands. */
  readonly runs: readonly (Located & { readonly member: string })[];
  /**
   * The run is opened where the branch meets it. bore: the branch stands on the run, the hole is as large as its bore. outside:
   * the branch is set into the hole, and cut flush with the inside of the run.
   */
  readonly open: false | OpeningEdge;
}

export interface MergeJoint extends JointBase {
  readonly kind: 'merge';
  readonly legs: readonly EndRef[];
  readonly trunk: EndRef;
}

export interface ButtJoint extends JointBase {
  readonly kind: 'butt';
  readonly ends: readonly [EndRef, EndRef];
}

export interface TrimJoint extends JointBase {
  readonly kind: 'trim';
  readonly end: EndRef;
  readonly where: /** Distance along the centerline from the member's start. */
    | { readonly kind: 'at'; readonly distance: Mm }
    /** Degrees into the bend that lies nearest the end (the last for `end`, the first for `start`), from its near tangent point on the kept side. */
    | { readonly kind: 'into-bend'; readonly bendAngleDeg: Deg; readonly bend?: number }
    | { readonly kind: 'plane'; readonly plane: Plane }
    /** Where a taper, the one nearest the end that has it, is so wide or high. */
    | { readonly kind: 'size'; readonly across: 'width' | 'height'; readonly size: Mm };
  /** Miter angle from a square cut at that place; 0 for square. */
  readonly miterDeg: Deg;
  /** Side of the long point, degrees clockwise from up; used with a miter angle. */
  readonly longPointDeg: Deg;
}

export type DatumChoice = 'auto' | 'end' | 'stock' | 'mark';

/** A printed tool asked for by name: for one cut end, or for something else in the job. */
export type ToolSpec = CutToolSpec | OtherToolSpec;
export type ToolKind = ToolSpec['kind'];
/** Tools that do not belong to one cut end. */
export type OtherToolSpec = AngleBlockSpec | BenchToolSpec | SegmentGuideSpec | OpeningGaugeSpec | FitUpCradleSpec;

interface ToolBase extends Located {
  /** File stem; made from what the tool is for and its kind when the file is silent. */
  readonly name?: string;
}

export interface CutToolSpec extends ToolBase {
  readonly kind: 'saw-guide' | 'marking-gauge' | 'notch-collar';
  readonly end: EndRef;
  readonly saw?: string;
  /** end: the tube's other end; stock: the raw end on the waste side; mark: a line scribed at a stated distance. */
  readonly datum: DatumChoice;
  readonly surface: 'outer' | 'inner' | 'square';
  readonly parts: 'auto' | 1 | 2;
  /** Length of tube the tool holds on the kept side; chosen when the file is silent. */
  readonly grip?: Mm;
}

/** A flat part cut by laser or saw from sheet, in the place where it sits in the layout. */
export type PlateSpec = ThroughPlate | FlangePlate | GussetPlate | FillerPlate;

interface PlateBase extends Located {
  readonly name: string;
  readonly thickness: Mm;
  readonly material?: string;
}

/** Round hole, placed in the plate's own x and y. */
export interface PlateHole {
  readonly at: Vec2;
  readonly diameter: Mm;
}

/** A plate that tubes pass through: spacer, bulkhead, foot. */
export interface ThroughPlate extends PlateBase {
  readonly kind: 'through';
  readonly members: readonly (Located & { readonly member: string })[];
  /** Room left round each tube. */
  readonly room: Mm;
  /** Middle of the plate's thickness. */
  readonly plane: Plane;
  /** Which way the plate's own x runs; chosen when the file is silent. */
  readonly along?: Vec3;
  readonly outline:
    | { readonly kind: 'margin'; readonly margin: Mm; readonly corner: Mm }
    | { readonly kind: 'rectangle'; readonly width: Mm; readonly height: Mm; readonly corner: Mm }
    | { readonly kind: 'round'; readonly diameter: Mm };
  readonly holes: readonly PlateHole[];
}

/** A plate on a flat-cut end: the tube stands in it (over) or on it (on), with bolt holes round it. */
export interface FlangePlate extends PlateBase {
  readonly kind: 'flange';
  readonly end: EndRef;
  readonly fit: 'over' | 'on';
  readonly room: Mm;
  /** From the tube's outside to the edge. */
  readonly margin: Mm;
  readonly bolts?: BoltHoles;
}

/** Evenly spaced holes: on a circle, from `fromDeg` clockwise of up; or along a line `out` outside the tube, from up. */
export interface BoltHoles {
  readonly count: number;
  readonly diameter: Mm;
  readonly on:
    | { readonly kind: 'circle'; readonly diameter: Mm; readonly fromDeg: Deg }
    | { readonly kind: 'outside'; readonly out: Mm; readonly from: number };
}

/** A plate in the plane of two tubes' axes, in the corner between them. */
export interface GussetPlate extends PlateBase {
  readonly kind: 'gusset';
  readonly between: readonly [Located & { readonly member: string }, Located & { readonly member: string }];
  readonly legs: readonly [Mm, Mm];
  /** Left between the edge and the tube. */
  readonly gap: Mm;
  /** Width of the two ends, square to the tubes. */
  readonly blunt: Mm;
  /** Cut off the inside corner, measured along each tube, to clear the weld there. */
  readonly corner: Mm;
}

/** Flat patterns that close what the legs of a merge leave open in the start of the trunk. */
export interface FillerPlate extends PlateBase {
  readonly kind: 'filler';
  readonly merge: string;
}

/** For the middle pieces of an elbow, which all come off one tube. */
export interface SegmentGuideSpec extends ToolBase {
  readonly kind: 'segment-guide';
  /** Member the elbow is in, and which of its elbows, from 1. */
  readonly elbow: string;
  readonly number: number;
  readonly saw?: string;
  /** Length of tube held on the side it is fed from. */
  readonly grip?: Mm;
}
