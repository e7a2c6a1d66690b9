import type { FlatLoop } from '../geometry/flat-path.ts';
import { loopThrough } from '../geometry/loop-through.ts';
import type { Mm, Vec2 } from '../geometry/vector.ts';
import type { Plate } from '../solve/plates/plate.ts';
import type { Opening, Solution } from '../solve/solution.ts';

/** What a profile cutter is given, by file stem: contours to cut through and lines to score. */
export interface FlatDrawing {
  readonly name: string;
  readonly outline: FlatLoop;
  readonly holes: readonly FlatLoop[];
  readonly marks: readonly (readonly [Vec2, Vec2])[];
}

/** Every flat part of a job, and every opening unrolled: the hole's edge on the outside, its axis marked. */
export const flatDrawings = ({ plates, openings }: Solution): readonly FlatDrawing[] => [
  ...plates.map(plateDrawing),
  ...openings.map(openingDrawing),
];

export const plateDrawing = ({ name, outline, holes, marks }: Plate): FlatDrawing => ({
  name: `${name}-plate`,
  outline,
  holes: holes.map(({ loop }) => loop),
  marks,
});

/** Scored lines go on this far past the hole, so that they are seen beside it. */
const PAST: Mm = 10;

/** x round the tube, clockwise looking along it, y along it toward its end; seen on the outside, the tube's end upward. */
export const openingDrawing = ({ name, outside, along, around }: Opening): FlatDrawing => ({
  name: `${name}-opening`,
  outline: loopThrough(outside.map(({ x, y }): Vec2 => [x, y])),
  holes: [],
  marks: [
    [
      [around[0] - PAST, 0],
      [around[0], 0],
    ],
    [
      [around[1], 0],
      [around[1] + PAST, 0],
    ],
    [
      [0, along[0] - PAST],
      [0, along[0]],
    ],
    [
      [0, along[1]],
      [0, along[1] + PAST],
    ],
  ],
});
