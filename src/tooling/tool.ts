import type { Placement } from '../geometry/placement.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Plane, Saw, ToolKind } from '../job/job.ts';
import type { JobPath } from '../job/problem.ts';
import type { Solid } from '../solid/expression.ts';
import type { CutCurve, CutEnd, Member, Piece } from '../solve/solution.ts';

export type { ToolKind } from '../job/job.ts';

/** One printed tool: what it is made of, how it is used, and what must be measured on it before it is written. */
export interface Tool {
  /** File stem, safe as a file name and the same from build to build. */
  readonly name: string;
  readonly kind: ToolKind;
  readonly title: string;
  /** What it is for, as people name it: the cut end, the joint, the members. */
  readonly for: string;
  /** The cut it serves, where it serves one: its slot or edge is that cut. */
  readonly end?: CutEnd;
  /** Where in the job file it comes from. */
  readonly path: JobPath;
  /** Short mark engraved on the part, computed from the geometry: a stale print is told from a new one by it. */
  readonly revision: string;
  readonly parts: readonly ToolPart[];
  /** What the person at the bench reads: in order, ready to print. */
  readonly facts: readonly ToolFact[];
  /** What to do with it, one step a line. */
  readonly use: readonly string[];
  readonly saw?: Saw;
  readonly datum?: Datum;
  /** What must hold of all its parts together, standing in the job by their poses. */
  readonly joined?: Joined;
  /** Bodies that are printed in pieces because the bed is smaller: each is measured once more, put together. */
  readonly wholes?: readonly Whole[];
}

/** A tool without the solids it was built of: all that its files are proved against. */
export interface ShapedTool extends Omit<Tool, 'parts'> {
  readonly parts: readonly ShapedPart[];
}

export type ShapedPart = Omit<ToolPart, 'solid'>;

/** Several parts as they stand together in use: measured once more, all at once. */
export interface Joined {
  readonly tubes: readonly HeldTube[];
  readonly features: readonly Feature[];
  /** Parts that are keyed to one another. */
  readonly keys: readonly Keyed[];
}

export interface Keyed {
  /** Names of the two parts; the second comes down on the first from above, or is pushed onto its dowels. */
  readonly parts: readonly [string, string];
  /** From the first to the second, square to the plane they meet on, and up from the table they stand on. */
  readonly across: Vec3;
  readonly up: Vec3;
  /** Keyed by dowels across the plane instead: each about a place on it. */
  readonly dowels?: { readonly at: readonly Vec3[]; readonly radius: Mm; readonly deep: Mm };
}

/** A body in pieces: what was to be one part, and the names of those it became. */
export interface Whole extends Joined {
  readonly name: string;
  readonly parts: readonly string[];
}

/** Every tube that a tool holds or goes round, by its parts or by what they are put together to. */
export const tubesOf = ({ parts, wholes = [] }: Tool): readonly HeldTube[] =>
  [...parts, ...wholes].flatMap(({ tubes }) => tubes);

export interface ToolFact {
  readonly label: string;
  readonly value: number | string;
  readonly unit?: 'mm' | 'deg';
}

/** Where the tool registers along the tube. */
export interface Datum {
  /** end: the tube's other end; stock: the raw end on the waste side; mark: a line scribed on the tube. */
  readonly kind: 'end' | 'stock' | 'mark';
  /** Arc length of the registering plane, square to the centerline there. */
  readonly s: Mm;
  /** From the registering plane to the long point of the cut, along the centerline. */
  readonly distance: Mm;
}

/** One printed body. */
export interface ToolPart {
  /** The tool's name, or with -a, -b behind it. */
  readonly name: string;
  /** In print pose: flat on the bed at z = 0, x and y about the origin. */
  readonly solid: Solid;
  /** From print pose to where it stands on the tube in the job. */
  readonly pose: Placement;
  /** Every tube it holds or goes round; none for a tool that stands by itself. Edges, slots and stops are those of the first. */
  readonly tubes: readonly HeldTube[];
  /** Thinnest printed wall aimed at. */
  readonly leastWall: Mm;
  readonly features: readonly Feature[];
}

/** A tube as it lies in a part, and how it goes in. */
export interface HeldTube {
  readonly member: HeldMember;
  /** The tube as it lies in the tool: from s to s, either of which may lie past its drawn ends. */
  readonly from: Mm;
  readonly to: Mm;
  /** Planes that an end of it is cut on instead of square; their normals lead away from the tube, and lie across the way in. */
  readonly ends?: readonly Plane[];
  readonly insertion: Insertion;
  /** Radial clearance aimed at between tool and tube: at least `least`, and nowhere in the fitted bore more than `most`. */
  readonly clearance: { readonly least: Mm; readonly most: Mm };
  /** For pictures of a tool that cuts nothing: the piece that lies in it, and no more of that than lies about the tool. */
  readonly drawn?: Piece;
}

/** What is needed of a member to hold it: also of one that stands in no job, as a ring's in a fit coupon. */
export type HeldMember = Pick<Member, 'name' | 'section' | 'centerline'>;

/** lift: tube and tool come apart in this direction (job coordinates, the way the tube leaves). slide: the tool slips along the tube. */
export type Insertion = { readonly kind: 'lift'; readonly out: Vec3 } | { readonly kind: 'slide' };

/** What makes the tool right, each proved on the exported mesh. */
export type Feature =
  /** The edge of the bore follows the curve; `from`-`to` is the share of the turn this part carries (whole: 0 to 1; a range may wrap past 1). */
  | {
      readonly kind: 'cut-edge';
      readonly curve: CutCurve;
      readonly from: number;
      readonly to: number;
      /** The rim lies in this plane, instead of being ruled square to the tube's wall. */
      readonly plane?: Plane;
      /** Planes that pieces meet on, whose faces are no rim. */
      readonly joints?: readonly Plane[];
    }
  /** Two faces square to the table. The kept face lies `keptOffset` from the cut toward the waste (negative: toward the body). */
  | { readonly kind: 'slot'; readonly cut: Plane; readonly keptOffset: Mm; readonly width: Mm; readonly kerf: Mm }
  /** A flat face that crosses the centerline at s, for the tube's end to stop against (square to it or as the end is cut), or square for a scribed line; of the first tube, or the one named. */
  | {
      readonly kind: 'datum';
      readonly plane: Plane;
      readonly s: Mm;
      readonly by: 'stop' | 'mark';
      readonly tube?: string;
    }
  /** A hole whose walls stand on a closed edge on the tube's outside, carried straight on along `out`, all the way through. */
  | { readonly kind: 'window'; readonly edge: readonly Vec3[]; readonly out: Vec3 }
  /** A flat face of at least so many mm^2, looking along the plane's normal: to lay against a table, a fence or a square. */
  | { readonly kind: 'face'; readonly plane: Plane; readonly area: number }
  /** A round hole of this radius about an axis, at least so long, that nothing narrower crosses; blind: it begins at the point and ends there. */
  | {
      readonly kind: 'bore';
      readonly point: Vec3;
      readonly axis: Vec3;
      readonly radius: Mm;
      readonly length: Mm;
      readonly blind?: true;
    }
  /** The outside is that of the tube from s to s: nowhere proud of it, nowhere short of it by more than `bow`; one side of the centerline only, or all round. Its ends lie on the curves. */
  | {
      readonly kind: 'skin';
      readonly member: HeldMember;
      readonly from: Mm;
      readonly to: Mm;
      readonly bow: Mm;
      readonly ends: readonly CutCurve[];
      readonly side?: Vec3;
    }
  /** No place of the part comes nearer to any of the seams, each a line of points. */
  | { readonly kind: 'heat'; readonly seams: readonly (readonly Vec3[])[]; readonly least: Mm };
