import { boundsOfLoops, type FlatLoop, loopArea, loopLength } from '../geometry/flat-path.ts';
import type { Deg, Mm, Vec2 } from '../geometry/vector.ts';
import type { Plate } from '../solve/plates/plate.ts';

/** A flat part in numbers: places count from the lower left corner of the box round its outline. */
export interface PlateRow {
  readonly plate: string;
  readonly kind: Plate['spec']['kind'];
  readonly thickness: Mm;
  readonly material?: string;
  readonly width: Mm;
  readonly height: Mm;
  /** Of the sheet that is left, without the holes, mm^2. */
  readonly area: number;
  /** Along all outlines. */
  readonly cutLength: Mm;
  readonly holes: readonly PlateHoleRow[];
}

export interface PlateHoleRow {
  readonly for: string;
  /** Where the axis passes the middle of the sheet. */
  readonly x: Mm;
  readonly y: Mm;
  readonly width: Mm;
  readonly height: Mm;
  /** Of the tube from square to the sheet. */
  readonly leanDeg: Deg;
}

const sizeOf = (loop: FlatLoop): Vec2 => {
  const { min, max } = boundsOfLoops([loop]);
  return [max[0] - min[0], max[1] - min[1]];
};

export function plateRow({ name, spec, outline, holes }: Plate): PlateRow {
  const { min } = boundsOfLoops([outline]);
  const [width, height] = sizeOf(outline);
  const loops = holes.map(({ loop }) => loop);
  return {
    plate: name,
    kind: spec.kind,
    thickness: spec.thickness,
    ...(spec.material === undefined ? {} : { material: spec.material }),
    width,
    height,
    area: loops.reduce((rest, loop) => rest - loopArea(loop), loopArea(outline)),
    cutLength: loops.reduce((sum, loop) => sum + loopLength(loop), loopLength(outline)),
    holes: holes.map((hole) => {
      const [wide, tall] = sizeOf(hole.loop);
      return {
        for: hole.for,
        x: hole.middle[0] - min[0],
        y: hole.middle[1] - min[1],
        width: wide,
        height: tall,
        leanDeg: hole.leanDeg,
      };
    }),
  };
}
