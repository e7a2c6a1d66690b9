import type { Deg, Mm } from './vector.ts';

/** Every small number of the program, each with its unit, purpose and origin. Nothing else may compare against a bare epsilon. */

/** mm. Two directions or places closer than this are one: a thousand times the rounding of a 10 m coordinate in a double. */
export const SAME_PLACE: Mm = 1e-9;

/** mm. A traced cut is bisected to here; a million times finer than a scribed line. */
export const TRACE_ROOT: Mm = 1e-10;

/** mm. A generator that comes this near a stop without crossing counts as touching it (equal tee at its crotch). */
export const TOUCH: Mm = 1e-7;

/**
 * mm. A straight line that enters a tube by less than half of this, or this near to an end of a straight, is traced
 * instead of solved in closed form: a hundred thousand times what a trace calls a touch.
 */
export const GRAZE: Mm = 0.01;

/** mm. Least step of the sphere trace near a stop; a crossing shorter than this along the tube cannot be sawn. */
export const TRACE_STEP: Mm = 1e-4;

/** mm. What that least step grows to where a generator runs along a surface without meeting it, as a leg beside its trunk does. */
export const TRACE_STEP_MOST: Mm = 0.5;

/** Steps of one trace before it counts as a miss: a 10 m tube along a surface at the largest such step. */
export const TRACE_STEPS = 20_000;

/** mm. A dip below a surface no deeper than this is rounding: ten roundings of a 10 m coordinate. */
export const DIP_NOISE: Mm = 3e-11;

/** mm. The trunk of a merge counts as larger by this for its legs, so that one that shares its surface ends on its start; above rounding, and 1e-4 mm along a 50 mm leg that only touches. */
export const SHARED_SURFACE: Mm = 2e-10;

/** mm. Three samples that bow by less than this lie flat to rounding. */
export const BOW_NOISE: Mm = 1e-12;

/** mm along the outline. Neighbors looked at to tell a touch that ends a cut (crotch of an equal tee) from two tubes that lie side by side. */
export const NEIGHBOR: Mm = 1e-3;

/** mm along the tube. How near the neighbors of such a touch must be cut: 50 times their distance, a slope no cope reaches. */
export const NEIGHBOR_CUT: Mm = 0.05;

/** mm. Largest bow of a solved curve between neighboring samples: a tenth of the edge deviation a tool may have. */
export const CURVE_BOW: Mm = 0.002;

/** mm. Samples of a curve are not set closer than this along the outline: below it they fall together in the files. */
export const SAMPLE_SPACING: Mm = 0.02;

/** Radians as a sine. Axes nearer to parallel than this have no crossing a shop could set (0.06 deg). */
export const PARALLEL_SINE = 1e-3;

/** mm. A goal is met when the layout is this near it. */
export const GOAL: Mm = 1e-9;

/** deg. The same for a direction: a hundred roundings of a run of a dozen bends, 2e-9 mm at 1 m. */
export const GOAL_ANGLE: Deg = 1e-10;

/** mm or deg. Goals that agree only this well were written to two or three decimals: met as nearly as they can be, and warned of. */
export const ROUNDED_GOAL = 5e-3;

/** Part of the largest, or of 1 where all are small. A direction of the unknowns stretched less than this is not felt by the goals: far above the rounding of a rate, 1e-13, far below what a layout needs. */
export const RANK = 1e-8;

/** Part of the reach. What a goal depends on by less than this it does not depend on: a thousand roundings. */
export const INDEPENDENT = 1e-11;

/** deg. Least bend that is one: 0.02 mm to the side on 100 mm. */
export const LEAST_BEND: Deg = 0.01;

/** deg. Bend angles nearer than this are one: over 100 mm of reach they differ by 1.5e-12 mm where the reach is flat. */
export const DOUBLE_ROOT: Deg = 1e-5;

/** mm or deg. Values found from several goals nearer than this are one value; the one that meets the goals best is taken. */
export const SAME_VALUE = 1e-4;

/** mm. A traced cut whose points lie this near one plane is flat: a hundred times the tracing error, a hundredth of the grid files carry. */
export const FLAT_CUT: Mm = 1e-7;

/** mm. How far drawn ends that a joint joins may lie apart before we say so: less than a scribed line. */
export const ENDS_APART: Mm = 0.05;

/** mm. Mesh coordinates are rounded to this grid, so that STL and 3MF carry the same points; a kernel's float32 is coarser above 8 mm. */
export const COORDINATE_GRID: Mm = 1e-6;

/** mm. A triangle lower than this over its longest edge has no area: a tenth of the coordinate grid. */
export const FLAT_TRIANGLE: Mm = 1e-7;

/**
 * mm. Edges up to here are shrunk to a point where bodies' faces all but coincide, the least step that gives a clean mesh;
 * the last is the most a working edge may move, a four-hundredth of the edge deviation a tool may have.
 */
export const WELD_STEPS: readonly Mm[] = [0, 2e-6, 1e-5, 5e-5];

/** mm^3. A cut that takes away less has missed the part: a cube of 0.1 mm; a millimeter of printed line holds eighty times that. */
export const LEAST_CUT_VOLUME = 1e-3;

/** mm. Bodies whose boxes are farther apart than this are cut away in one go: a hundred times the rounding of the kernel's float32 at 256 mm. */
export const CUTTERS_APART: Mm = 2e-3;

/** mm. Corners of united letters that bend by less go: a thirtieth of the usual nozzle's line, which cannot draw them. */
export const LETTER_CORNER: Mm = 0.013;

/** Part of a capital's height. Bows of letters flatter than this are drawn straight: 0.2 mm at the usual 5 mm, half the usual nozzle's line. */
export const LETTER_THINNING = 0.04;

/** Sine. Directions of a placement may be off square or unit length by this: a thousand roundings of a double composed frame. */
export const SQUARE_FRAME = 1e-9;

/** mm. Chamfer round the foot of a print: what the squeezed first layers bulge (about one layer, common practice), with a margin. */
export const FOOT_CHAMFER: Mm = 0.5;

/** mm. Flare where a tube enters: two nozzle widths (common practice). */
export const LEAD_IN: Mm = 1;

/** mm. Least wall of any printed part: six lines of a 0.4 mm nozzle. */
export const LEAST_WALL: Mm = 2.4;

/** mm. How deep letters are sunk: three layers of 0.2 mm. */
export const LETTER_DEPTH: Mm = 0.6;

/** mm. A working edge, slot face or datum face may lie this far from where it was solved: half the width of a fine scribed line. */
export const EDGE_DEVIATION: Mm = 0.02;

/** Turn. A working edge may be missing for this much of it: 1 deg, about half a millimeter on a 60 mm tube. */
export const EDGE_GAP = 1 / 360;

/** mm. What lies on the bed may be this far off it: a hundredth of a thin first layer. */
export const ON_BED: Mm = 1e-3;

/** mm. How far a file's coordinate may lie from the built one: half the spacing of float32 up to 512 mm, rounded up. */
export const FILE_ROUNDING: Mm = 2e-5;

/** mm. A face measured at least this far from a body shares nothing with it: four times what the bow between measured places may hide. */
export const CERTAINLY_CLEAR: Mm = 0.02;

/** mm. Bow of the facets of the tube that a tool is tried on: a tenth of a usual slide fit; the clearance itself is measured without facets. */
export const PROOF_FACET: Mm = 0.02;

/** mm. That tube is drawn in by this, so that the bow of a bend's inside never makes it larger than the actual one by more than 0.005. */
export const PROOF_INSET: Mm = 0.015;

/** mm^3. Tube and tool may share this much: the kernel's float32 on faces that touch, a hundred times over; 1 mm of printed line is 80 times more. */
export const OVERLAP_VOLUME = 1e-3;

/** mm. Rounding of a measured clearance or wall: facets, grid and float32 together, a hundredth of a usual slide fit. */
export const CLEARANCE_ROUNDING: Mm = 2.5e-3;

/**
 * Cosine. A facet faces the tube when its normal is within 18 deg of the way to it: bores are within 8, over the edge where
 * a steep taper begins more than 13; lead-ins and chamfers at 45, and saddles' at 27 from upright, which an ellipse's
 * side comes within 19 of.
 */
export const FACING_COSINE = 0.95;

/** mm. Bore facets are looked for up to this much looser than they may be: short of the floor of a slot, 2 mm below the tube. */
export const BORE_SEARCH: Mm = 1;

/** Share of the outline that a fitted bore must cover: nearly all for a sleeve, a cradle holds just under half. */
export const BORE_COVER = { slide: 0.9, lift: 0.4 } as const;

/** Sine. Facets that hang over by 45 deg print without support (common practice); half a degree for rounding. */
export const OVERHANG_SLACK = 0.01;

/** mm. Longest bridge printed without support: strap grooves and letters; common practice allows 5 to 10 mm. */
export const BRIDGE_SPAN: Mm = 6.5;

/** mm. A face narrower than this on average is a chamfer or the side of a letter, no side of a wall: a letter is 0.6 deep. */
export const NARROW_FACE: Mm = 1;

/**
 * mm. Steps between neighboring slices of a tilted channel, tried in turn: thousands of times the files' grid, at most the
 * chord tolerance. With the first alone about one tilted guide in ten came out with touching faces.
 */
export const TILTED_STEPS: readonly Mm[] = [0.005, 0.0071, 0.0089, 0.0037, 0.0097];

/** mm. Radial room of a printed hole: a bush is pressed or glued in, a drill runs free (common practice, from memory). */
export const HOLE_ROOM = { bush: 0.05, drill: 0.15 } as const;

/**
 * mm. Grooves, dowel seats and letters of a stand-in are tried in turn so far from where they are drawn: a corner that all
 * but falls on an edge of the tube's mesh leaves doubled edges. A twentieth of a groove's width at most.
 */
export const MARK_HAIRS: readonly Mm[] = [0, 0.013, 0.029, 0.047];

/** mm. Two lines on paper nearer than this print as one: half the width of a narrow drawn line. */
export const GRAPHIC_DIFFERENCE: Mm = 0.09;

/**
 * A wrap template's paper on the kept side, mm: what a hand holds by, and below what the bend behind it is taken along;
 * `noise` is the share of a step by which a round distance may miss it (rounding).
 */
export const WRAP_ROOM = { wanted: 25, least: 6, noise: 1e-9 } as const;

/** mm. A sharp corner counts as an arc of this radius, so that it has normals: the step of the grid that files carry. */
export const SHARP_CORNER: Mm = 1e-6;

/** mm. How far two runs that meet in a corner lap for a branch cut to both: less than a scribed line, far above rounding. */
export const CORNER_LAP: Mm = 0.02;

/** mm. A facet narrower than this has no direction to trust: its corners are known to 5e-5 mm, so it may lean by 3 deg. */
export const SLIVER: Mm = 1e-3;

/** mm. Members may run into each other by this before it is said: less than a scribed line, and what a solved cut and its neighbor may differ by. */
export const MEMBERS_LAP: Mm = 0.05;

/** mm. A measured clearance is found to here: a tenth of what a tape shows. */
export const CLEARANCE_FOUND: Mm = 0.01;

/** mm. Cuts of a member and of its mirror image that differ by more are not the same piece: half the width of a fine scribed line. */
export const MIRROR_APART: Mm = 0.02;
/** mm. Pieces of an outline whose centers, radii and lines agree within this are one: sharp corners are arcs of a millionth. */
export const SAME_ARC: Mm = 5e-6;

/** mm. How far a plate's arcs may lie from the true oblique section: a tenth of what a laser holds (0.05 to 0.1 mm, common practice). */
export const PLATE_ARC: Mm = 0.005;

/** mm. A piece may be longer than its room in the stock by this: rounding of lengths added up, far below what a saw holds. */
export const STOCK_FIT: Mm = 1e-6;

/** deg. Angles nearer than this are one setting of a saw, and one bought bend: a digital gauge shows 0.05. */
export const SAME_ANGLE: Deg = 0.05;

/** mm. Bought bends of a clr nearer than this are of the clr asked for: bending and measuring differ by more (common practice, from memory). */
export const SAME_CLR: Mm = 0.5;

/** mm. Room round each flank of a key between two printed pieces: common practice is 0.1 to 0.2 on a 0.4 mm nozzle. */
export const KEY_PLAY: Mm = 0.15;

/** mm. Gap between the faces two keyed pieces meet with, so that a bulge of either does not hold them apart. */
export const SPLIT_GAP: Mm = 0.1;

/** mm. Two keyed pieces must touch when moved this far any way but up: four times the play of their keys. */
export const KEY_HOLDS: Mm = 0.6;
