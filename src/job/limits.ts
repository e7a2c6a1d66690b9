import type { Deg, Mm } from '../geometry/vector.ts';

/** Smallest and largest value a field takes, both allowed. */
export interface Range<T extends number = number> {
  readonly min: T;
  readonly max: T;
}

/**
 * How large a file may be before it is refused. A job of 50 members is about 10 kB; the bounds keep a hostile or
 * generated file from holding the machine, and are far above what one bench builds at once.
 */
export const FILE_LIMITS = {
  /** Characters of text. */
  characters: 1_000_000,
  /** Words, marks and line ends as the YAML reader counts them: about half the characters of a dense file. */
  lexemes: 250_000,
  /** Maps and lists inside each other; a job needs seven. */
  depth: 20,
  /** Values, counted again each time an alias repeats them. */
  nodes: 100_000,
  /** Aliases in one file. */
  aliases: 200,
  /** Problems listed; a file with more is rarely read to the end. */
  problems: 200,
} as const;

export const COUNTS = {
  sections: 100,
  members: 200,
  joints: 400,
  tools: 1000,
  plates: 200,
  plateMembers: 50,
  plateHoles: 100,
  saws: 100,
  variants: 500,
  keepOuts: 100,
  openings: 200,
  onHand: 10_000,
  stockLengths: 20,
  stockBends: 50,
  runItems: 200,
  points: 200,
  goals: 10,
  /** Values a number to solve may be chosen from. */
  oneOf: 30,
  /** Members one branch is coped to. */
  copeRuns: 20,
  /** Welds of one segmented elbow. */
  welds: 60,
  mergeLegs: 20,
  /** Members one spacer holds. */
  spaced: 20,
  /** Gauges of one fit coupon. */
  gauges: 24,
  /** Saddles asked for on one member. */
  stations: 20,
  /** Characters of a name: leaves room for the kind of tool and the suffix in a file name of 255 bytes. */
  nameLength: 64,
  textLength: 2000,
} as const;

/** Lengths, mm. */
export const LENGTHS = {
  od: { min: 3, max: 2000 },
  wall: { min: 0.1, max: 100 },
  cornerRadius: { min: 0, max: 1000 },
  straight: { min: 0.001, max: 1e5 },
  taper: { min: 1, max: 1e4 },
  taperOffset: { min: -2000, max: 2000 },
  clr: { min: 1, max: 1e5 },
  coordinate: { min: -1e5, max: 1e5 },
  along: { min: 0, max: 1e5 },
  spacing: { min: 0, max: 1e5 },
  gap: { min: 0, max: 20 },
  shrink: { min: 0, max: 20 },
  keepOut: { min: 0.001, max: 1e5 },
  clearance: { min: 0, max: 1000 },
  opening: { min: 1, max: 2000 },
  stockLength: { min: 10, max: 1e5 },
  allowance: { min: 0, max: 1000 },
  grip: { min: 5, max: 1000 },
  block: { min: 20, max: 1000 },
  thick: { min: 6, max: 100 },
  bush: { min: 1, max: 60 },
  plate: { min: 1, max: 1e4 },
  plateRoom: { min: 0, max: 20 },
  plateHole: { min: 0.5, max: 2000 },
  margin: { min: 0, max: 1000 },
  /** Thickness of a flat part. */
  sheet: { min: 0.1, max: 100 },
  heat: { min: 3, max: 300 },
  saddle: { min: 12, max: 200 },
  height: { min: 5, max: 1000 },
  bed: { min: 20, max: 5000 },
  nozzle: { min: 0.1, max: 2 },
  layer: { min: 0.02, max: 1.5 },
  slide: { min: 0, max: 3 },
  printedWall: { min: 2.4, max: 50 },
  strapWidth: { min: 1, max: 60 },
  strapThickness: { min: 0.2, max: 10 },
  chordTolerance: { min: 0.001, max: 0.5 },
  kerf: { min: 0.1, max: 10 },
  blade: { min: 0.1, max: 10 },
  bladeClearance: { min: 0, max: 3 },
} as const satisfies Record<string, Range<Mm>>;

/** Angles, degrees. */
export const ANGLES = {
  /** One bend; a larger turn is written as two bends. */
  bend: { min: 0.01, max: 180 },
  turn: { min: -360, max: 360 },
  /** Between two headings. */
  between: { min: 0, max: 180 },
  intoBend: { min: 0, max: 180 },
  /** Of the axis of a hole from square to the tube. */
  openingLean: { min: -60, max: 60 },
  /** From a square cut; past this the cut is longer than 11 times the tube. */
  miter: { min: 0, max: 85 },
  /** Faces of a wedge; past this it is a straight edge. */
  block: { min: 1, max: 175 },
  /** A guide's hole is printed upright: leaning more it would need support. */
  drillLean: { min: -40, max: 40 },
  /** Between marks on a bend: nearer than a degree they run together. */
  marks: { min: 1, max: 90 },
} as const satisfies Record<string, Range<Deg>>;

/** clr as a multiple of OD: half is a bend whose inside has no radius left. */
export const BEND_RATIO: Range = { min: 0.5, max: 100 };

/** Length of a direction as written, without unit: shorter ones are zero with rounding in them. */
export const DIRECTION: Range = { min: 1e-6, max: 1e9 };

/** A measured bend angle this far from the nominal one, deg, is more likely a slip of the pen than springback: warned of. */
export const BEND_APART: Deg = 10;

/** A measured size this far from the nominal one, as a part of it, is more likely a slip of the pen: warned of. */
export const MEASURED_APART = 0.1;

/** Of the material of a tube, g/cm3: from foamed plastic to tungsten. */
export const DENSITY: Range = { min: 0.1, max: 25 };

/** Of the material of a tube, 1e-6 per degree C: from invar to soft plastics. */
export const EXPANSION: Range = { min: 0.1, max: 300 };

/** Rise in temperature, degrees C: below the melting of any tube named here. */
export const HEAT_RISE: Range = { min: -300, max: 1200 };
