import { cosd, sind } from './angle.ts';
import { PARALLEL_SINE } from './tolerance.ts';
import { add, along, cross, type Deg, dot, scale, squareTo, sub, unit, type Vec3 } from './vector.ts';

/**
 * A place and an attitude: `heading` along the tube, `up` the witness line's side, `right` = heading x up.
 * Looking along the heading with up upward, right is at the right hand. (right, up, heading) are unit and square.
 */
export interface Frame {
  readonly origin: Vec3;
  readonly right: Vec3;
  readonly up: Vec3;
  readonly heading: Vec3;
}

/**
 * Frame from a heading and a wish for up. Without one (or with one along the heading) up is z as nearly as it can be, and x
 * on a tube that stands upright.
 */
export function frameFrom(origin: Vec3, heading: Vec3, upWish?: Vec3): Frame {
  const h = unit(heading);
  const flat = upWish ? squareTo(upWish, h) : undefined;
  const up = flat && Math.hypot(...flat) > 1e-9 * Math.hypot(...(upWish as Vec3)) ? unit(flat) : levelUp(h);
  return { origin, heading: h, up, right: cross(h, up) };
}

function levelUp(heading: Vec3): Vec3 {
  const up = squareTo([0, 0, 1], heading);
  return unit(Math.hypot(...up) > PARALLEL_SINE ? up : squareTo([1, 0, 0], heading));
}

/** Rotation of a vector about a unit axis through the origin, counterclockwise looking against the axis (Rodrigues). */
export function rotateVector(p: Vec3, axis: Vec3, deg: Deg): Vec3 {
  const c = cosd(deg);
  const k = dot(p, axis) * (1 - c);
  const turned = cross(axis, p);
  const s = sind(deg);
  return [
    p[0] * c + turned[0] * s + axis[0] * k,
    p[1] * c + turned[1] * s + axis[1] * k,
    p[2] * c + turned[2] * s + axis[2] * k,
  ];
}

export function rotateFrame(
  frame: Frame,
  about: { readonly point: Vec3; readonly axis: Vec3; readonly deg: Deg },
): Frame {
  const turn = (p: Vec3): Vec3 => rotateVector(p, about.axis, about.deg);
  return {
    origin: add(about.point, turn(sub(frame.origin, about.point))),
    right: turn(frame.right),
    up: turn(frame.up),
    heading: turn(frame.heading),
  };
}

export const moveFrame = (frame: Frame, step: Vec3): Frame => ({ ...frame, origin: add(frame.origin, step) });

/** Mirror image across a plane; right is made anew so that the frame stays right-handed (a section mirrors into itself). */
export function mirrorFrame(frame: Frame, plane: { readonly point: Vec3; readonly normal: Vec3 }): Frame {
  const n = unit(plane.normal);
  const flip = (p: Vec3): Vec3 => along(p, n, -2 * dot(p, n));
  const heading = flip(frame.heading);
  const up = flip(frame.up);
  return { origin: add(plane.point, flip(sub(frame.origin, plane.point))), heading, up, right: cross(heading, up) };
}

/** Coordinates (right, up, heading) of a point in the frame. */
export function toLocal(frame: Frame, p: Vec3): Vec3 {
  const d = sub(p, frame.origin);
  return [dot(d, frame.right), dot(d, frame.up), dot(d, frame.heading)];
}

export const directionToWorld = (frame: Frame, v: Vec3): Vec3 =>
  add(add(scale(frame.right, v[0]), scale(frame.up, v[1])), scale(frame.heading, v[2]));

export const directionToLocal = (frame: Frame, v: Vec3): Vec3 => [
  dot(v, frame.right),
  dot(v, frame.up),
  dot(v, frame.heading),
];

export const toWorld = (frame: Frame, local: Vec3): Vec3 => add(frame.origin, directionToWorld(frame, local));
