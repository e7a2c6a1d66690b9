import type { Deg } from './vector.ts';

const RAD = Math.PI / 180;

/** Sine of degrees, exact at multiples of 90. */
export function sind(deg: Deg): number {
  const r = ((deg % 360) + 360) % 360;
  if (r === 0 || r === 180) return 0;
  if (r === 90) return 1;
  if (r === 270) return -1;
  return Math.sin(r * RAD);
}

/** Cosine of degrees, exact at multiples of 90. */
export const cosd = (deg: Deg): number => sind(deg + 90);

/** Tangent of degrees; 90 gives Infinity, which the caller rules out by name. */
export const tand = (deg: Deg): number => sind(deg) / cosd(deg);

export const acosd = (x: number): Deg => Math.acos(Math.max(-1, Math.min(1, x))) / RAD;
export const atan2d = (y: number, x: number): Deg => Math.atan2(y, x) / RAD;
export const toRadians = (deg: Deg): number => deg * RAD;
export const toDegrees = (rad: number): Deg => rad / RAD;

/** The angle in [0, 360). */
export const turnDeg = (deg: Deg): Deg => ((deg % 360) + 360) % 360;
