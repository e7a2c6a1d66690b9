import { frameFrom } from '../geometry/frame.ts';
import type { Shape } from '../geometry/shape-distance.ts';
import { distance, lerp, sub, unit } from '../geometry/vector.ts';
import type { KeepOut } from './keep-out.ts';
import type { RawKeepOut } from './keep-out-schema.ts';

/** A keep-out as a shape in space; undefined where the file gave none, which is told already. */
export function keepOutSpec(name: string, raw: RawKeepOut): KeepOut | undefined {
  const shape = shapeOf(raw);
  return shape && { name, shape, clearance: raw.clearance, path: ['keep-out', name] };
}

function shapeOf({ box, cylinder, plane }: RawKeepOut): Shape | undefined {
  if (plane) return { kind: 'half-space', point: plane.at, normal: plane.normal };
  if (cylinder) {
    const { from, to, od } = cylinder;
    return { kind: 'cylinder', from, axis: unit(sub(to, from)), length: distance(from, to), radius: od / 2 };
  }
  if (box?.from && box.to) {
    const { from, to } = box;
    const half = [Math.abs(to[1] - from[1]) / 2, Math.abs(to[2] - from[2]) / 2, Math.abs(to[0] - from[0]) / 2] as const;
    return { kind: 'box', frame: frameFrom(lerp(from, to, 0.5), [1, 0, 0], [0, 0, 1]), half };
  }
  if (!box?.at || !box.size) return undefined;
  const [length, width, height] = box.size;
  return {
    kind: 'box',
    frame: frameFrom(box.at, box.heading ?? [1, 0, 0], box.up ?? [0, 0, 1]),
    half: [width / 2, height / 2, length / 2],
  };
}
