import { frameAt } from '../geometry/centerline.ts';
import { outlineAt, type Section, sectionDistance } from '../geometry/section.ts';
import { SAME_PLACE } from '../geometry/tolerance.ts';
import { isTapered } from '../geometry/tube-shape.ts';
import { dot, type Mm, type Vec2, type Vec3 } from '../geometry/vector.ts';
import type { Body } from './nearest.ts';
import { besideTube, bodyShape, isBeside, shapeOf, type Tube } from './tube.ts';

/**
 * Everything the tube passes through on its straight way out, as a body; undefined when the tube does not lie level to
 * that way or tapers (then its section there is not the same all along).
 */
export function shadowOf(tube: Tube, out: Vec3): Body | undefined {
  const frames = tube.line.segments.flatMap((segment) => [
    segment.start,
    frameAt(tube.line, segment.s0 + segment.length),
  ]);
  const [first] = frames;
  if (isTapered(shapeOf(tube))) return undefined;
  if (!first || frames.some(({ heading }) => Math.abs(dot(heading, out)) > SAME_PLACE)) return undefined;
  const way: Vec2 = [dot(out, first.right), dot(out, first.up)];
  const turned = frames.some(
    ({ right, up }) => Math.abs(dot(out, right) - way[0]) + Math.abs(dot(out, up) - way[1]) > SAME_PLACE,
  );
  if (turned) return undefined;
  const distance = sectionShadow(tube.section, way);
  return {
    distance: (p) => {
      const { a, b } = besideTube(tube, p);
      return distance(a, b);
    },
    counts: (p) => isBeside(tube, p),
    ...bodyShape({ section: tube.section, centerline: tube.long.centerline }),
  };
}

/** Signed distance from the strip a section sweeps on its way out: upright sides from its widest places, itself below them. */
function sectionShadow(section: Section, way: Vec2): (a: Mm, b: Mm) => Mm {
  const across: Vec2 = [way[1], -way[0]];
  const widest = widestAcross(section, across);
  const half = widest[0] * across[0] + widest[1] * across[1];
  const rise = widest[0] * way[0] + widest[1] * way[1];
  return (a, b) => {
    const side = a * across[0] + b * across[1];
    const d = sectionDistance(section, a, b);
    if (Math.abs(side) >= half) {
      // The section is its own image through the axis: its widest place on the other side lies as much lower.
      const above = a * way[0] + b * way[1] > Math.sign(side) * rise;
      return above ? Math.abs(side) - half : d;
    }
    const lower = (t: Mm): Mm => sectionDistance(section, a - t * way[0], b - t * way[1]);
    return lower(STEP) < d ? leastOn(lower, 2 * Math.hypot(a, b)) : d;
  };
}

const STEP: Mm = 1e-3;
const GOLDEN = (Math.sqrt(5) - 1) / 2;

/** Least of a convex function from 0 to `far`, to a hundredth of a millimeter of the way. */
function leastOn(f: (t: Mm) => Mm, far: Mm): Mm {
  let [low, high] = [0, far];
  while (high - low > 0.01) {
    const [p, q] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    if (f(p) < f(q)) high = q;
    else low = p;
  }
  return f((low + high) / 2);
}

/** Place of the outline farthest in a direction: the best of many, then closed in on. */
function widestAcross(section: Section, across: Vec2): Vec2 {
  const reach = (u: number): Mm => {
    const [a, b] = outlineAt(section, u).point;
    return a * across[0] + b * across[1];
  };
  const places = Array.from({ length: PLACES }, (_, i) => i / PLACES);
  const best = places.reduce((p, q) => (reach(q) > reach(p) ? q : p));
  let [low, high] = [best - 1 / PLACES, best + 1 / PLACES];
  for (let i = 0; i < 40; i++) {
    const [p, q] = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    if (reach(p) > reach(q)) high = q;
    else low = p;
  }
  return outlineAt(section, (low + high) / 2).point;
}

const PLACES = 96;
