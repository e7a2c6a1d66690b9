import type { Placement } from '../geometry/placement.ts';
import type { Mm, Vec3 } from '../geometry/vector.ts';
import type { Plane, Saw } from '../job/job.ts';
import type { Solid } from '../solid/expression.ts';
import type { CutCurve, CutEnd } from '../solve/solution.ts';

export type ToolKind = 'saw-guide' | 'marking-gauge' | 'notch-collar';

/** One printed tool: what it is made of, how it is used, and what must be measured on it before it is written. */
export interface Tool {
  /** File stem, safe as a file name and the same from build to build. */
  readonly name: string;
  readonly kind: ToolKind;
  readonly title: string;
  readonly end: CutEnd;
  /** Short mark engraved on the part, computed from the geometry: a stale print is told from a new one by it. */
  readonly revision: string;
  readonly parts: readonly ToolPart[];
  /** What the person at the bench reads: in order, ready to print. */
  readonly facts: readonly ToolFact[];
  /** What to do with it, one step a line. */
  readonly use: readonly string[];
  readonly saw?: Saw;
  readonly datum: Datum;
}

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
  /** The tube as it lies in the tool: stock from s to s, and how it goes in. */
  readonly tube: { readonly from: Mm; readonly to: Mm };
  readonly insertion: Insertion;
  /** Radial clearance aimed at between tool and tube: at least `least`, and nowhere in the fitted bore more than `most`. */
  readonly clearance: { readonly least: Mm; readonly most: Mm };
  /** Thinnest printed wall aimed at. */
  readonly leastWall: Mm;
  readonly features: readonly Feature[];
}

/** lift: tube and tool come apart in this direction (job coordinates, the way the tube leaves). slide: the tool slips along the tube. */
export type Insertion = { readonly kind: 'lift'; readonly out: Vec3 } | { readonly kind: 'slide' };

/** What makes the tool right, each proved on the exported mesh. */
export type Feature =
  /** The edge of the bore follows the curve; `from`-`to` is the share of the turn this part carries (whole: 0 to 1; a range may wrap past 1). */
  | { readonly kind: 'cut-edge'; readonly curve: CutCurve; readonly from: number; readonly to: number }
  /** Two faces square to the table. The kept face lies `keptOffset` from the cut toward the waste (negative: toward the body). */
  | { readonly kind: 'slot'; readonly cut: Plane; readonly keptOffset: Mm; readonly width: Mm; readonly kerf: Mm }
  /** A flat face, square to the centerline at s, that the tube's end or a scribed line is set against. */
  | { readonly kind: 'datum'; readonly plane: Plane; readonly s: Mm };
