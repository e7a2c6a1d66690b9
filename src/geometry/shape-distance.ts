import { type Frame, toLocal } from './frame.ts';
import { dot, type Mm, sub, type Vec3 } from './vector.ts';

/** A plain body in space that is not a tube: a box, a cylinder with flat ends, or all that lies behind a plane. */
export type Shape =
  /** `half` sizes to the right, up and along the heading of the frame in its middle. */
  | { readonly kind: 'box'; readonly frame: Frame; readonly half: Vec3 }
  | {
      readonly kind: 'cylinder';
      readonly from: Vec3;
      /** Unit. */
      readonly axis: Vec3;
      readonly length: Mm;
      readonly radius: Mm;
    }
  /** Behind the plane, away from its unit normal. */
  | { readonly kind: 'half-space'; readonly point: Vec3; readonly normal: Vec3 };

/** Signed distance of a point from the shape, exact, negative inside. */
export function shapeDistance(shape: Shape, p: Vec3): Mm {
  switch (shape.kind) {
    case 'half-space':
      return dot(sub(p, shape.point), shape.normal);
    case 'cylinder': {
      const away = sub(p, shape.from);
      const on = dot(away, shape.axis);
      const beside = Math.sqrt(Math.max(0, dot(away, away) - on * on)) - shape.radius;
      return outsideOf([beside, Math.abs(on - shape.length / 2) - shape.length / 2]);
    }
    case 'box': {
      const local = toLocal(shape.frame, p);
      return outsideOf(local.map((x, i) => Math.abs(x) - shape.half[i]!));
    }
  }
}

/** Distance from a body bounded by faces square to each other, from how far past each a point lies. */
function outsideOf(past: readonly Mm[]): Mm {
  let sum = 0;
  let most = Number.NEGATIVE_INFINITY;
  for (const x of past) {
    if (x > 0) sum += x * x;
    if (x > most) most = x;
  }
  return sum > 0 ? Math.sqrt(sum) : most;
}
