import { type FlatLoop, tidyLoop } from '../../geometry/flat-path.ts';
import type { Placement } from '../../geometry/placement.ts';
import type { Deg, Mm, Vec2 } from '../../geometry/vector.ts';
import type { PlateSpec } from '../../job/job.ts';
import type { Problem } from '../../job/problem.ts';

/** A flat part solved: outline and holes in its own x and y, and where it sits in the job. */
export interface Plate {
  /** File stem; of a filler in several places numbered. */
  readonly name: string;
  readonly spec: PlateSpec;
  /** Own x and y in the plane, z along its normal; the plane is the middle of the thickness. */
  readonly at: Placement;
  readonly outline: FlatLoop;
  readonly holes: readonly PlateOpening[];
  /** Lines to score, not to cut through: the axes of the tubes. */
  readonly marks: readonly (readonly [Vec2, Vec2])[];
}

export interface PlateOpening {
  readonly loop: FlatLoop;
  /** What it is for: a member, or a bolt. */
  readonly for: string;
  /** Where the axis pierces the plane, or the middle of the hole. */
  readonly middle: Vec2;
  /** Between the tube and the plate's normal; 0 for a bolt. */
  readonly leanDeg: Deg;
}

export interface PlateOutcome {
  readonly plates: readonly Plate[];
  readonly problems: readonly Problem[];
}

/** Half length of the crossed lines that mark an axis. */
const CROSS: Mm = 5;

/** Two short crossed lines on a point. */
export const crossAt = ([x, y]: Vec2): Plate['marks'] => [
  [
    [x - CROSS, y],
    [x + CROSS, y],
  ],
  [
    [x, y - CROSS],
    [x, y + CROSS],
  ],
];

/** Rectangle between two corners, its own corners rounded as far as it has room. */
export function roundedRectangle(min: Vec2, max: Vec2, corner: Mm): FlatLoop {
  const r = Math.min(corner, (max[0] - min[0]) / 2, (max[1] - min[1]) / 2);
  const [x0, y0] = min;
  const [x1, y1] = max;
  const bulge = r > 0 ? Math.tan(Math.PI / 8) : 0;
  const corners: readonly (readonly [Vec2, Vec2])[] = [
    [
      [x1 - r, y0],
      [x1, y0 + r],
    ],
    [
      [x1, y1 - r],
      [x1 - r, y1],
    ],
    [
      [x0 + r, y1],
      [x0, y1 - r],
    ],
    [
      [x0, y0 + r],
      [x0 + r, y0],
    ],
  ];
  return tidyLoop(
    corners.flatMap(([from, to]) =>
      r > 0
        ? [
            { at: from, bulge },
            { at: to, bulge: 0 },
          ]
        : [{ at: from, bulge: 0 }],
    ),
  );
}
