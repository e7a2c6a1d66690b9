import { cosd, sind } from './angle.ts';
import { outlineAt, type Section } from './section.ts';
import type { Deg } from './vector.ts';

/** u of the outline point that lies farthest toward a side; the middle of a flat that is square to it. */
export function outlineToward(section: Section, deg: Deg): number {
  const quarter = (((deg % 360) + 360) % 360) / 90;
  if (Number.isInteger(quarter)) return quarter / 4;
  if (section.kind === 'round') return quarter / 4;
  const reach = (u: number): number => {
    const [a, b] = outlineAt(section, u).point;
    return a * sind(deg) + b * cosd(deg);
  };
  let best = 0;
  for (let i = 1; i < 360; i++) if (reach(i / 360) > reach(best)) best = i / 360;
  let [low, high] = [best - 1 / 360, best + 1 / 360];
  // The outline is convex, so its reach has one top: thirds close in on it to 1e-12 of the turn.
  for (let i = 0; i < 60; i++) {
    const third = (high - low) / 3;
    if (reach(low + third) < reach(high - third)) low += third;
    else high -= third;
  }
  return ((((low + high) / 2) % 1) + 1) % 1;
}
