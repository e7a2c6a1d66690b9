import { compose, IDENTITY, type Placement } from '../geometry/placement.ts';
import { scale, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';

/** Move a solid so that `middle` comes over the bed's origin; the pose follows. */
export function recentered(solid: Solid, pose: Placement, middle: Vec3): { readonly solid: Solid; readonly pose: Placement } {
  const shift: Placement = { ...IDENTITY, origin: scale(middle, -1) };
  return {
    solid: { kind: 'place', name: solid.name, of: solid, at: shift },
    pose: compose(pose, { ...IDENTITY, origin: middle }),
  };
}
