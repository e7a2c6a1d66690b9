import { acosd } from '../geometry/angle.ts';
import { frameAt } from '../geometry/centerline.ts';
import type { Placement } from '../geometry/placement.ts';
import { placementFrom } from '../geometry/placement.ts';
import { PARALLEL_SINE } from '../geometry/tolerance.ts';
import {
  along,
  anySquareTo,
  cross,
  type Deg,
  dot,
  length,
  type Mm,
  scale,
  unit,
  type Vec3,
} from '../geometry/vector.ts';
import type { FitUpCradleSpec } from '../job/fit-up.ts';
import { type Gathering, headingAt, placeOn } from './fit-up-joints.ts';

/** A tube leaning more than this over the bench would slide out of its saddles. */
export const MOST_LEAN: Deg = 60;
/** Ways up that are tried after the best one. */
const TRIED = 6;
/** The same of a whole assembly: both ways up of the few planes that most of it lies in. */
const TRIED_WHOLE = 8;
/** So much more lean than over the best is put up with; a table on its side is no way out of a base that is too large. */
const MORE_LEAN: Deg = 15;
/** Stretch of each member, beyond the heat distance, whose lean counts. */
const NEAR: Mm = 120;
const STEP: Mm = 20;

/** Headings of a member near the joints it is held at. */
interface Leaning {
  readonly name: string;
  readonly headings: readonly Vec3[];
}

/** Ways up from the bench, best first: the given one, else those over which the members lie most level, then upward in the job. */
export function waysUp(gathering: Gathering, spec: FitUpCradleSpec): readonly Vec3[] {
  if (spec.up) return [unit(spec.up)];
  const near = leanings(gathering, spec.heat);
  const ways = distinct([...candidates(gathering, near)]).flatMap((way) => [upright(way), scale(upright(way), -1)]);
  return spec.holds.kind === 'joints' ? mostLevel(near, ways) : mostHeld(gathering, ways);
}

/** For joints by themselves: near them the steepest member counts first. */
function mostLevel(near: readonly Leaning[], ways: readonly Vec3[]): readonly Vec3[] {
  const rated = ways.map((way) => ({ way, lean: leansOver(near, way) }));
  rated.sort((p, q) => p.lean.most - q.lean.most || p.lean.sum - q.lean.sum || rank(q.way) - rank(p.way));
  const best = rated[0]?.lean.most ?? 0;
  return rated
    .filter(({ lean }) => lean.most <= best + MORE_LEAN)
    .slice(0, TRIED)
    .map(({ way }) => way);
}

/**
 * For whole assemblies: over which fewest members stand steep all along, then over which most of the tube lies quite level
 * (in tenths), then over which the whole is lowest. Ways that hardly differ are tried once.
 */
function mostHeld({ pieces }: Gathering, ways: readonly Vec3[]): readonly Vec3[] {
  const tubes = pieces.map(({ member, from, to }) => {
    const places = placesBetween(from, to, Math.max(2, Math.ceil((to - from) / STEP)));
    const frames = places.map((s) => frameAt(member.centerline, s));
    return { share: (to - from) / frames.length, frames };
  });
  const whole = tubes.reduce((sum, { share, frames }) => sum + share * frames.length, 0);
  const rated = ways.map((way) => {
    const leans = tubes.map(({ frames }) => frames.map(({ heading }) => leanOver(heading, way)));
    const level = tubes.reduce((sum, { share }, i) => sum + share * leans[i]!.filter((lean) => lean < LEVEL).length, 0);
    const heights = tubes.flatMap(({ frames }) => frames.map(({ origin }) => dot(origin, way)));
    const tall = Math.max(...heights) - Math.min(...heights);
    const steep = leans.filter((each) => Math.min(...each) > MOST_LEAN).length;
    return { way, steep, level: Math.round((10 * level) / whole), tall: Math.round(tall / STEP) };
  });
  rated.sort((p, q) => p.steep - q.steep || q.level - p.level || p.tall - q.tall || rank(q.way) - rank(p.way));
  const chosen: Vec3[] = [];
  for (const { way } of rated)
    if (chosen.length < TRIED_WHOLE && chosen.every((other) => acosd(dot(way, other)) > APART)) chosen.push(way);
  return chosen;
}

/** A tube lies quite level up to here: what a spirit level shows. */
const LEVEL: Deg = 0.5;
/** Ways up that differ by less are one. */
const APART: Deg = 5;

const placesBetween = (from: Mm, to: Mm, count: number): readonly Mm[] =>
  Array.from({ length: count + 1 }, (_, i) => from + ((to - from) * i) / count);

function leanings({ pieces, joints }: Gathering, heat: Mm): readonly Leaning[] {
  return pieces.map(({ member, from, to }) => {
    const places = joints
      .filter(({ members }) => members.includes(member.name))
      .flatMap((joint) => {
        const middle = placeOn(member, joint);
        const reach = heat + NEAR;
        return placesBetween(middle - reach, middle + reach, Math.ceil((2 * reach) / STEP));
      });
    return { name: member.name, headings: places.filter((s) => s >= from && s <= to).map((s) => headingAt(member, s)) };
  });
}

/** Square to two tubes, to the bends, to the sides of a section; and the job's own axes. */
function candidates({ pieces }: Gathering, near: readonly Leaning[]): readonly Vec3[] {
  const firsts = near.flatMap(({ headings }) => distinct(headings));
  const squares = firsts.flatMap((p, i) => firsts.slice(i + 1).map((q) => cross(p, q)));
  const bends = pieces.flatMap(({ member }) =>
    member.centerline.segments.flatMap((segment) => (segment.kind === 'bend' ? [segment.axis] : [])),
  );
  const sides = pieces.flatMap(({ member }) => {
    const frame = member.centerline.segments[0]?.start;
    return frame ? [frame.up, frame.right] : [];
  });
  const all: readonly Vec3[] = [...squares, ...bends, ...sides, [0, 0, 1], [0, 1, 0], [1, 0, 0]];
  return all.filter((way) => length(way) > PARALLEL_SINE).map(unit);
}

/** Directions, one of each pair that are the same or opposite within a hundredth of a degree. */
function distinct(ways: readonly Vec3[]): readonly Vec3[] {
  const kept: Vec3[] = [];
  for (const way of ways) if (!kept.some((other) => length(cross(way, other)) < 2e-4)) kept.push(way);
  return kept;
}

/** Of a direction and its opposite the one that points up in the job; where it lies level, along y or x. */
const upright = (way: Vec3): Vec3 => {
  const [x, y, z] = way.map((k) => (Math.abs(k) < 1e-9 ? 0 : k)) as [number, number, number];
  return (z || y || x) < 0 ? scale(way, -1) : way;
};

/** A hundredth of a degree of lean makes no difference at the bench. */
const coarse = (deg: Deg): number => Math.round(deg * 100) / 100;

function leansOver(near: readonly Leaning[], way: Vec3): { readonly most: number; readonly sum: number } {
  const leans = near.map(({ headings }) => Math.max(0, ...headings.map((heading) => leanOver(heading, way))));
  return { most: coarse(Math.max(...leans)), sum: coarse(leans.reduce((sum, lean) => sum + lean, 0)) };
}

/** How far a heading leans out of level. */
export const leanOver = (heading: Vec3, up: Vec3): Deg => Math.abs(90 - acosd(dot(heading, up)));

/** Upward first, then along y, then along x. */
const rank = ([x, y, z]: Vec3): number => Math.round(z * 100) * 1e6 + Math.round(y * 100) * 1e3 + Math.round(x * 100);

/**
 * The table for a way up, through the job's origin: x along the most level of the job's own axes where several joints stand
 * on it, else along the member that lies longest on it.
 */
export function tableOver({ pieces, joints }: Gathering, up: Vec3): Placement {
  const axes: readonly Vec3[] = [
    [1, 0, 0],
    [0, 1, 0],
    [0, 0, 1],
  ];
  const level = (way: Vec3): Vec3 => along(way, up, -dot(way, up));
  const longest = [...pieces]
    .sort((p, q) => q.to - q.from - (p.to - p.from))
    .map(({ member }) => joints.map((joint) => headingAt(member, placeOn(member, joint)))[0]!);
  const wishes = joints.length > 1 ? axes : longest;
  const wish = wishes.find((way) => length(level(way)) > 0.9) ?? wishes.find((way) => length(level(way)) > 0.5);
  return placementFrom([0, 0, 0], up, wish ?? anySquareTo(up));
}
