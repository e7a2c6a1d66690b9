import { compose, IDENTITY, type Placement } from '../geometry/placement.ts';
import { scale, type Vec3 } from '../geometry/vector.ts';
import type { Solid } from '../solid/expression.ts';

/** Move a solid so that `middle` comes over the bed's origin; the pose follows. */
export function recentered(
  solid: Solid,
  pose: Placement,
  middle: Vec3,
): { readonly solid: Solid; readonly pose: Placement } {
  const shift: Placement = { ...IDENTITY, origin: scale(middle, -1) };
  const moved = (one: Solid): Solid => ({ kind: 'place', name: one.name, of: one, at: shift });
  return {
    solid:
      solid.kind === 'either' ? { ...solid, of: [moved(solid.of[0]), ...solid.of.slice(1).map(moved)] } : moved(solid),
    pose: compose(pose, { ...IDENTITY, origin: middle }),
  };
}
