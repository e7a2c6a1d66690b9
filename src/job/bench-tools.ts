import type { Deg, Mm } from '../geometry/vector.ts';
import type { JobPath } from './problem.ts';

/** What the job says of a tool that belongs to no one cut end. */
interface BenchTool {
  readonly path: JobPath;
  /** File stem; made from what the tool is for and its kind when the file is silent. */
  readonly name?: string;
}

/** A given angle; a bend's, between its two legs; or a flat cut's, between the fence along the tube and the blade. */
export type BlockAngle =
  | { readonly kind: 'given'; readonly angleDeg: Deg }
  | { readonly kind: 'bend'; readonly member: string; readonly bend: number }
  | {
      readonly kind: 'cut';
      readonly end: { readonly member: string; readonly end: 'start' | 'end'; readonly path: JobPath };
    };

/** Wedge that sets a saw or checks an angle. */
export interface AngleBlockSpec extends BenchTool {
  readonly kind: 'angle-block';
  readonly angle: BlockAngle;
  /** Length of its two faces. */
  readonly length: Mm;
}

/** Ladder of gauges round one section at stepped clearances. */
export interface FitCouponSpec extends BenchTool {
  readonly kind: 'fit-coupon';
  readonly section: string;
  /** Radial clearances of its gauges; steps about the shop's own fit when the file is silent. */
  readonly clearances?: readonly Mm[];
  /** ring: goes round the tube; half: drops onto it. auto: rings where they all fit on one bed. */
  readonly shape: 'auto' | 'ring' | 'half';
}

/** Printed length of dummy tube, to try a layout with. */
export interface StandInSpec extends BenchTool {
  readonly kind: 'stand-in';
  readonly of: StandInSubject;
  /** cut: ends as the member is cut; square: square where the stretch ends. */
  readonly ends: 'cut' | 'square';
  /** Degrees from mark to mark on the outside of its bends. */
  readonly marksDeg: Deg;
}

export type StandInSubject =
  /** A stretch of a member: from and to along its centerline, or one bend with a little straight at both ends. */
  | { readonly kind: 'member'; readonly member: string; readonly from?: Mm; readonly to?: Mm; readonly bend?: number }
  /** Tube of no member: a straight, or a bend with so much straight at both ends. */
  | {
      readonly kind: 'section';
      readonly section: string;
      readonly straight: Mm;
      readonly bend?: { readonly clr: Mm; readonly bendAngleDeg: Deg };
    };

/** Bar that holds parallel tubes at their spacing. */
export interface SpacerSpec extends BenchTool {
  readonly kind: 'spacer';
  readonly members: readonly string[];
  /** Where it sits, along the first member from its start; the middle when the file is silent. */
  readonly at?: Mm;
  /** Length of tube it covers; chosen when the file is silent. */
  readonly thick?: Mm;
}

/** Ring with a flat for each bend of a member, that sets the rotation between them; or two blocks that check it on the bent tube. */
export interface ClockingRingSpec extends BenchTool {
  readonly kind: 'clocking-ring';
  readonly member: string;
  /** Which bends, counted from the start; all when the file is silent. */
  readonly bends?: readonly number[];
  readonly checks: boolean;
}

/** Saddle with a hole for a drill bush, or for the drill itself. */
export interface DrillGuideSpec extends BenchTool {
  readonly kind: 'drill-guide';
  readonly member: string;
  /** Where the axis of the hole meets the outside of the tube, along the centerline from the start of the member. */
  readonly at: Mm;
  /** Side it is drilled from, degrees clockwise from up looking along the heading. */
  readonly towardDeg: Deg;
  /** From square to the tube; positive leans the drill's top to the end of the member. */
  readonly leanDeg: Deg;
  readonly hole: { readonly kind: 'bush' | 'drill'; readonly diameter: Mm };
  /** end: a stop at the nearer end of the tube; mark: a scribed line. */
  readonly datum: 'auto' | 'end' | 'mark';
}

export type BenchToolSpec = FitCouponSpec | StandInSpec | SpacerSpec | ClockingRingSpec | DrillGuideSpec;

export const BENCH_TOOL_KINDS = [
  'fit-coupon',
  'stand-in',
  'spacer',
  'clocking-ring',
  'drill-guide',
] as const satisfies readonly BenchToolSpec['kind'][];

export const isBenchTool = (tool: { readonly kind: string }): tool is BenchToolSpec =>
  BENCH_TOOL_KINDS.some((kind) => kind === tool.kind);
